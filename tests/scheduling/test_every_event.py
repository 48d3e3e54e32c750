"""Whatever happens, in whatever order it is told: one state, a plan that holds, nothing lost."""

from dataclasses import replace
from typing import get_args

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_cook import KITCHEN, LEAVES, MENU, NOON, GreedyPlanner, step

from domain.menu import Dish, Follow, Use
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.events import Event, EventKind
from scheduling.keeping_up import SAME_S
from scheduling.live import fold
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.menu_now import added
from scheduling.replanning import SolvingPlanner, progress, with_extras

BROTH = Dish(
    "broth",
    "Clear broth",
    4,
    600,
    (),
    (
        step("broth", "chop", 3, pausable=True),
        step("broth", "steep", 9, "watched", uses=(Use("ring"),), follows=(Follow("broth/chop"),)),
    ),
)
STEPS = [*(step.key for step in (*MENU.steps, *BROTH.steps)), "broth/no such step"]
DISHES = [*(dish.name for dish in MENU.dishes), "broth"]
TIMERS = ["tea", "egg"]
REMINDERS = ["salt", "plates"]
OTHERS: dict[str, list[str]] = {
    "equipment_changed": ["ring", "oven", "bowl"],
    **dict.fromkeys(("dish_dropped", "course_moved"), DISHES),
    **dict.fromkeys(("timer_set", "timer_cancelled", "timer_acknowledged"), TIMERS),
    **dict.fromkeys(("reminder_set", "reminder_cancelled"), REMINDERS),
    **dict.fromkeys(
        ("began", "finished", "longer", "gate_seen", "skipped", "put_down", "taken_up"), STEPS
    ),
}


def _happening(kind: str) -> st.SearchStrategy[tuple[str, str, int, float]]:
    """A kind or "wait", a subject, a number, and whole seconds, as plans are in, since the last."""
    return st.tuples(
        st.just(kind),
        st.sampled_from(OTHERS.get(kind, [""])),
        st.integers(0, 1500),
        st.sampled_from([0.0, 1.0, 59.0, 240.0, 700.0]),
    )


OFTEN = ("began", "finished", "longer", "dish_added", "course_moved", "gate_seen", "undone", "wait")
HAPPENINGS = st.lists(
    st.one_of(*map(_happening, (*get_args(EventKind), *OFTEN, *OFTEN))), min_size=3, max_size=16
)


def event(kind: str, subject: str, number: int, now: float) -> Event:
    """An event of this kind that may or may not be possible."""
    if kind == "dish_added":
        return added(now, BROTH if number % 2 else replace(LEAVES, title="Other leaves"))
    if kind == "course_moved":
        return Event(now, kind, subject, float(number - 600))
    if kind in ("longer", "undone"):
        return Event(now, kind, subject, float(1 + number % 6 if kind == "undone" else number))
    if kind in ("service_moved", "timer_set", "cook_started"):
        return Event(now, kind, subject, now + 4 * number if number else None)
    if kind == "reminder_set":
        moments = ("service", *(f"{moment} {key}" for moment in ("start", "end") for key in STEPS))
        return Event(now, kind, subject, float(number), note=moments[number % len(moments)])
    if kind in ("equipment_changed", "cooks_changed", "servings_changed"):
        return Event(now, kind, subject, float(number % 4))
    return Event(now, kind, subject)


def cooked(happened, planner, check=lambda live, clock: None):
    """A cook to whom all this happens, and whose ticks come now and then."""
    clock = SimulatedClock(NOON)
    store = MemoryStore()
    live = LiveSchedule(MENU, KITCHEN, clock, store, planner)
    live.apply(Event(NOON, "cook_started"))
    for kind, subject, number, wait_s in happened:
        clock.advance(wait_s)
        if kind == "wait":
            live.tick()
        else:
            live.apply(event(kind, subject, number, clock.now()))
        check(live, clock)
    return live, clock, store


@given(HAPPENINGS, st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_the_state_is_the_fold_in_whatever_order_and_however_often_events_come(happened, random):
    live, _, _ = cooked(happened, GreedyPlanner())
    log = live.events()
    assert [event.seq for event in log] == list(range(1, len(log) + 1))
    delivered = [*log, *random.choices(log, k=len(log))]
    random.shuffle(delivered)
    assert fold(MENU, delivered, lambda menu: {s.key: s for s in menu.steps}) == (
        live.snapshot().state
    )


@given(HAPPENINGS)
@example([("undone", "", 0, 0.0), ("service_moved", "", 1, 0.0)])
@example([("began", "barley/simmer", 0, 0.0), ("undone", "", 0, 0.0), ("wait", "", 0, 1300.0)])
@settings(max_examples=40, deadline=None)
def test_a_restart_at_once_has_the_same_state_and_menu(happened) -> None:
    live, clock, store = cooked(happened, GreedyPlanner())
    live.tick()
    before = live.snapshot()
    again = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner()).snapshot()
    assert again.state == before.state
    assert again.menu == before.menu
    assert again.kitchen == before.kitchen


def holds(live, clock) -> None:
    """The plan keeps every rule for what is not begun, or it is told why not."""
    view = live.snapshot()
    if view.why_not or view.state.paused_at is not None:
        return
    so_far = progress(view.steps, view.state, view.now, view.timetable)
    menu = with_extras(view.menu, view.state)
    wrong = timetable_violations(menu, view.kitchen, view.timetable, so_far)
    # A gap that is too long already is told in `missed`.
    told = [w for w in wrong if "too long after" not in w or not view.timetable.missed]
    assert [w for w in told if not _done_so(w, view)] == []
    for key, standing in view.state.steps.items():
        slot = view.timetable.slots.get(key)
        if standing.began_at is not None and slot and standing.status != "skipped":
            assert slot.start_at == pytest.approx(standing.began_at, abs=SAME_S)


def _done_so(wrong: str, view) -> bool:
    """A clash among what is begun or over alone: the cook did it so, no plan can undo it."""
    named = {key for key in view.steps if f"“{key}”" in wrong}
    states = view.state.steps
    return bool(named) and all(states[k].began_at is not None or states[k].over for k in named)


@given(HAPPENINGS)
@settings(max_examples=40, deadline=None)
def test_the_plan_holds_after_any_event_and_nothing_begun_moves(happened) -> None:
    cooked(happened, SolvingPlanner(limit_s=1.0), holds)

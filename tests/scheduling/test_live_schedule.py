"""The plan keeps up with whatever happens, and nothing that happened is lost."""

import threading
import time
from dataclasses import replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from small_cook import KITCHEN, MENU, NOON, GreedyPlanner, take_back

from domain.errors import KitchenError
from scheduling.checker import timetable_violations
from scheduling.clock import RealClock, SimulatedClock
from scheduling.events import Event
from scheduling.keeping_up import SAME_S, kitchen_now
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import finished, service_at, time_left
from scheduling.replanning import SolvingPlanner, progress, with_extras

MINUTE = 60.0


def start(planner=None, store=None, replan="now", wanted_at=None):
    clock = SimulatedClock(NOON)
    live = LiveSchedule(
        MENU, KITCHEN, clock, store or MemoryStore(), planner or GreedyPlanner(), replan
    )
    if not live.events():
        live.apply(Event(NOON, "cook_started", value=wanted_at))
    return live, clock


def say(live, clock, kind, subject="", value=None):
    return live.apply(Event(clock.now(), kind, subject, value))


def cook_as_planned(live, clock, every_s=MINUTE, most=200) -> None:
    """A cook who ends each step when its time is up."""
    for _ in range(most):
        clock.advance(every_s)
        live.tick()
        view = live.snapshot()
        for step in view.running():
            if (time_left(view, step.key) or 0) <= 0:
                live.apply(Event(clock.now(), "finished", step.key))
        if finished(live.snapshot()):
            return


def test_a_cook_who_keeps_to_the_plan_needs_no_new_one() -> None:
    planner = GreedyPlanner()
    live, clock = start(planner)
    promised = live.snapshot().timetable.service_at
    cook_as_planned(live, clock)
    view = live.snapshot()
    assert finished(view)
    assert service_at(view) == promised
    assert (planner.plans, planner.repairs) == (1, 0)


def test_the_next_step_begins_as_soon_as_the_cook_is_done() -> None:
    live, clock = start()
    clock.advance(90)
    outcome = say(live, clock, "finished", "barley/rinse")
    (event,) = outcome.also
    assert (event.kind, event.subject, event.at) == ("began", "barley/boil", NOON + 90)


def test_an_overdue_step_slides_the_plan_and_does_not_ask_for_it_each_second() -> None:
    planner = GreedyPlanner()
    live, clock = start(planner)
    promised = service_at(live.snapshot())
    for _ in range(300):  # rinsing takes two minutes; the cook says nothing for five
        clock.advance(1)
        live.tick()
    assert service_at(live.snapshot()) == pytest.approx(promised + 180, abs=60)
    assert planner.plans < 8


def test_longer_moves_what_follows() -> None:
    live, clock = start()
    clock.advance(60)
    outcome = say(live, clock, "longer", "barley/rinse", 300.0)
    assert outcome.refused is None
    assert outcome.moved_s == 300
    assert time_left(live.snapshot(), "barley/rinse") == 360


def test_a_refused_event_is_not_stored() -> None:
    live, clock = start()
    before = live.events()
    outcome = say(live, clock, "resumed")
    assert outcome.refused == "We are not paused."
    assert live.events() == before
    assert live.apply(Event(clock.now() + 600, "paused")).refused == "That has not happened yet."
    nan = live.apply(Event(clock.now(), "service_moved", value=float("nan")))
    assert nan.refused == "That is not a number I can use."
    assert live.events() == before


def test_a_store_that_fails_leaves_everything_as_it_was() -> None:
    class Full(MemoryStore):
        full = False

        def append(self, events):
            if self.full:
                raise KitchenError("the disk is full")
            return super().append(events)

    store = Full()
    live, clock = start(store=store)
    view, store.full = live.snapshot(), True
    with pytest.raises(KitchenError, match="disk is full"):
        say(live, clock, "skipped", "leaves/wash")
    assert live.snapshot() == view


def test_undo_takes_back_the_cooks_word_and_what_came_of_it() -> None:
    live, clock = start()
    clock.advance(60)
    before = live.snapshot()
    say(live, clock, "finished", "barley/rinse")
    assert live.snapshot().state.steps["barley/boil"].status == "running"
    assert take_back(live).refused is None
    after = live.snapshot()
    assert after.state.steps == before.state.steps
    assert service_at(after) == service_at(before)


def test_a_beginning_that_the_clock_took_for_granted_can_be_taken_back() -> None:
    live, clock = start()
    clock.advance(60)
    (began,) = [event for event in live.events() if event.kind == "began"]
    assert (began.subject, began.by) == ("barley/rinse", "clock")
    assert say(live, clock, "undone", value=float(began.seq)).refused is None
    assert live.snapshot().state.steps["barley/rinse"].began_at == NOON + 60  # due: begun anew


def test_while_paused_nothing_begins_and_the_heat_goes_on() -> None:
    live, clock = start()
    clock.advance(120)
    say(live, clock, "finished", "barley/rinse")
    say(live, clock, "gate_seen", "barley/boil")
    assert live.snapshot().state.steps["barley/simmer"].status == "running"
    promised = service_at(live.snapshot())
    say(live, clock, "paused")
    for _ in range(30):
        clock.advance(60)
        live.tick()
    view = live.snapshot()
    assert view.state.steps["barley/simmer"].status == "done"
    assert view.running() == []
    say(live, clock, "resumed")
    assert service_at(live.snapshot()) == promised + 10 * MINUTE  # the simmering took twenty


def test_losing_everything_to_cook_on_keeps_the_cook_going() -> None:
    live, clock = start()
    outcome = say(live, clock, "equipment_changed", "ring", 0.0)
    assert outcome.after.why_not == ("there is nothing to cook on",)
    say(live, clock, "equipment_changed", "ring", 1.0)
    assert live.snapshot().why_not == ()
    assert live.snapshot().kitchen.rings == 1


def test_what_if_changes_nothing() -> None:
    live, _ = start()
    before, events = live.snapshot(), live.events()
    outcome = live.what_if(Event(NOON, "longer", "barley/rinse", 600.0))
    assert outcome.moved_s == 600
    assert live.snapshot() == before
    assert live.events() == events
    assert live.what_if(Event(NOON, "resumed")).refused == "We are not paused."


def test_a_restart_goes_on_with_the_same_plan_and_times() -> None:
    store = MemoryStore()
    live, clock = start(store=store)
    clock.advance(130)
    say(live, clock, "finished", "barley/rinse")
    say(live, clock, "timer_set", "tea", clock.now() + 240)
    before = live.snapshot()
    again = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner())
    after = again.snapshot()
    assert after.state == before.state
    assert after.timetable.slots == before.timetable.slots
    assert after.first_service_at == before.first_service_at


def test_after_a_gap_what_ran_has_ended_and_nothing_was_begun_unheard() -> None:
    store = MemoryStore()
    live, clock = start(store=store)
    clock.advance(120)
    say(live, clock, "finished", "barley/rinse")
    say(live, clock, "gate_seen", "barley/boil")
    clock.advance(40 * MINUTE)  # nobody there
    again = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner())
    view = again.snapshot()
    assert view.state.steps["barley/simmer"].ended_at == NOON + 22 * MINUTE
    assert view.running() == []
    assert view.timetable.slots["barley/fluff"].start_at == clock.now()
    assert [event.subject for event in again.tick()] == ["barley/fluff"]


@pytest.mark.parametrize("by_s", [-3600.0, 3600.0, -30 * 86400.0])
def test_a_wall_clock_that_is_set_moves_nothing_of_a_cook(monkeypatch, by_s: float) -> None:
    clock = RealClock()
    live = LiveSchedule(MENU, KITCHEN, clock, MemoryStore(), GreedyPlanner())
    live.apply(Event(clock.now(), "cook_started"))
    live.apply(Event(clock.now(), "timer_set", "tea", clock.now() + 240))
    before, wall = live.snapshot(), time.time()
    monkeypatch.setattr(time, "time", lambda: wall + by_s)
    assert live.tick() == ()
    after = live.snapshot()
    assert (after.state, after.timetable) == (before.state, before.timetable)
    assert 0 <= after.now - before.now < 60
    assert say(live, clock, "finished", "barley/rinse").refused is None


def test_service_moved_before_the_start_outlives_a_restart() -> None:
    store, clock = MemoryStore(), SimulatedClock(NOON)
    for _ in range(2):
        live = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner(), wanted_at=NOON + 7200)
        if not live.events():
            assert live.snapshot().state.wanted_at == NOON + 7200
            say(live, clock, "service_moved", value=NOON + 9000)
        assert live.snapshot().state.wanted_at == NOON + 9000
    take_back(live)
    assert live.snapshot().state.wanted_at == NOON + 7200


def test_a_kept_plan_that_cannot_be_read_is_made_anew() -> None:
    store = MemoryStore()
    start(store=store)
    store.keep_plan('{"slots": 3}')
    live, _ = start(store=store)
    assert set(live.snapshot().timetable.slots) == {step.key for step in MENU.steps}


def test_a_plan_in_the_background_is_put_in_place_when_it_is_done() -> None:
    gate = threading.Event()

    class Slow(GreedyPlanner):
        def plan(self, *args):
            if self.plans:
                assert gate.wait(10)
            made = super().plan(*args)
            return replace(made, missed=("from the thread",)) if self.plans > 1 else made

    live, clock = start(Slow(), replan="background")
    say(live, clock, "longer", "barley/rinse", 300.0)
    assert live.snapshot().timetable.missed == ()  # the quick repair
    gate.set()
    deadline = time.monotonic() + 10
    while not live.snapshot().timetable.missed and time.monotonic() < deadline:
        time.sleep(0.01)
    assert live.snapshot().timetable.missed == ("from the thread",)
    live.close()


def test_a_plan_that_events_have_overtaken_is_asked_for_again() -> None:
    gate, asked = threading.Event(), []

    class Slow(GreedyPlanner):
        def plan(self, menu, kitchen, state, now, last):
            asked.append(state.steps["barley/rinse"].extra_s)
            if len(asked) > 1:
                assert gate.wait(10)
            return super().plan(menu, kitchen, state, now, last)

    live, clock = start(Slow(), replan="background")
    say(live, clock, "longer", "barley/rinse", 300.0)
    say(live, clock, "longer", "barley/rinse", 300.0)
    gate.set()
    deadline = time.monotonic() + 10
    while asked[-1] != 600 and time.monotonic() < deadline:
        live.tick()
        time.sleep(0.01)
    assert asked[-1] == 600
    assert live.snapshot().timetable.slots["barley/rinse"].end_at == NOON + 120 + 600
    live.close()


KINDS = [
    *("began", "finished", "longer", "gate_seen", "skipped", "undone", "paused", "resumed"),
    *("dish_dropped", "service_moved", "equipment_changed", "cooks_changed", "wait"),
]
happenings = st.lists(
    st.tuples(
        st.sampled_from(KINDS),
        st.sampled_from([*(step.key for step in MENU.steps), "pears", "ring", "bowl"]),
        st.floats(1, 1500),
    ),
    max_size=12,
)


def value_for(kind: str, amount: float, now: float) -> float | None:
    if kind == "longer":
        return amount
    if kind == "service_moved":
        return now + 4 * amount
    return float(int(amount) % 3) if kind in ("equipment_changed", "cooks_changed") else None


@given(happenings)
@settings(max_examples=25, deadline=None)
def test_whatever_happens_the_log_tells_the_state(happened) -> None:
    store = MemoryStore()
    live, clock = start(store=store)
    for kind, subject, amount in happened:
        clock.advance(amount)
        live.tick()
        begun = {k: s.began_at for k, s in live.snapshot().state.steps.items() if s.began_at}
        if kind == "undone":
            take_back(live)
            continue
        if kind != "wait":
            say(live, clock, kind, subject, value_for(kind, amount, clock.now()))
        after = live.snapshot()
        for key, began_at in begun.items():
            assert after.state.steps[key].began_at in (began_at, clock.now(), None)
        for slot in after.timetable.slots.values():
            if after.state.steps[slot.key].status == "waiting" and not after.why_not:
                assert slot.start_at >= after.now - 30
    again = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner())
    assert again.snapshot().state.steps.keys() == live.snapshot().state.steps.keys()
    shorter = [e for e in again.events() if e.seq <= live.events()[-1].seq]
    assert shorter == live.events()


@given(happenings)
@example([("paused", "barley/rinse", 1.0), ("undone", "barley/rinse", 872.0)])
@example([("began", "pears/halve", 1.0), ("undone", "barley/rinse", 1.0)])
@example([("began", "barley/rinse", 3.0), ("undone", "barley/rinse", 117.0)])
@example([("longer", "barley/boil", 1.0), ("began", "barley/rinse", 1179.0)])
@settings(max_examples=25, deadline=None)
def test_after_any_event_the_plan_is_valid_and_nothing_begun_has_moved(happened) -> None:
    live, clock = start(SolvingPlanner(limit_s=1.0))
    for kind, subject, amount in happened:
        clock.advance(amount)
        live.tick()
        if kind == "undone":
            take_back(live)
        elif kind != "wait":
            say(live, clock, kind, subject, value_for(kind, amount, clock.now()))
        view = live.snapshot()
        if view.why_not or view.state.paused_at is not None:
            continue
        so_far = progress(view.steps, view.state, view.now, view.timetable)
        wrong = timetable_violations(
            with_extras(MENU, view.state),
            kitchen_now(KITCHEN, view.state),
            view.timetable,
            so_far,
        )
        assert [w for w in wrong if "too long after" not in w and not _already(w, view)] == []
        for key, standing in view.state.steps.items():
            slot = view.timetable.slots.get(key)
            if standing.began_at is not None and slot and standing.status != "skipped":
                assert slot.start_at == pytest.approx(standing.began_at, abs=SAME_S)


def _already(wrong: str, view) -> bool:
    """A clash among steps that are under way: the cook did it so, no plan can undo it."""
    started = {k for k, s in view.state.steps.items() if s.began_at is not None or s.over}
    named = {key for key in view.steps if f"“{key}”" in wrong}
    return bool(named) and named <= started

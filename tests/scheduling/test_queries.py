"""Every answer is a query on the view."""

from dataclasses import replace

import pytest
from small_cook import KITCHEN, MENU, NOON, GreedyPlanner, with_gate_at_start

from scheduling.clock import SimulatedClock
from scheduling.dispatch import due_events
from scheduling.events import Event
from scheduling.keeping_up import kitchen_now, moved_share
from scheduling.live import fold
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.obstacles import obstacles
from scheduling.queries import (
    finished,
    left_to_do,
    next_steps,
    now_steps,
    on_heat,
    pace_s,
    ready_at,
    service_at,
    starts_at,
    time_left,
    waiting_for,
)
from scheduling.replanning import SolvingPlanner
from scheduling.slack import can_start, slack
from scheduling.view import View


def view_after(*events: Event, now: float = NOON, menu=MENU, kitchen=KITCHEN) -> View:
    """The view at `now` after these events, planned then."""
    steps = {step.key: step for step in menu.steps}
    log = [replace(event, seq=i + 1) for i, event in enumerate(events)]
    state = fold(menu, log)
    timetable = GreedyPlanner().plan(menu, kitchen, state, now, None)
    first = GreedyPlanner().plan(menu, kitchen, fold(menu, []), NOON, None).service_at
    return View(menu, kitchen_now(kitchen, state), steps, state, timetable, now, first)


STARTED = Event(NOON, "cook_started")


def names(steps) -> list[str]:
    return [step.key for step in steps]


def test_now_puts_hands_before_what_runs_by_itself() -> None:
    view = view_after(Event(NOON, "began", "barley/simmer"), Event(NOON, "began", "pears/halve"))
    assert names(now_steps(view)) == ["pears/halve", "barley/simmer"]


def test_next_is_in_the_plans_order() -> None:
    view = view_after(STARTED, Event(NOON, "began", "barley/rinse"), now=NOON + 60)
    assert names(next_steps(view, 2)) == ["barley/boil", "barley/simmer"]
    assert names(left_to_do(view))[0] == "barley/rinse"
    assert len(left_to_do(view)) == len(MENU.steps)


def test_time_left_goes_below_zero_and_is_none_when_nothing_runs() -> None:
    begun = Event(NOON, "began", "pears/halve")
    assert time_left(view_after(begun, now=NOON + 100), "pears/halve") == 140
    assert time_left(view_after(begun, now=NOON + 300), "pears/halve") == -60
    assert time_left(view_after(), "pears/halve") is None


def test_while_paused_hands_stand_still_and_heat_does_not() -> None:
    view = view_after(
        Event(NOON, "began", "pears/halve"),
        Event(NOON, "began", "barley/simmer"),
        Event(NOON + 100, "paused"),
        now=NOON + 160,
    )
    assert time_left(view, "pears/halve") == 140
    assert time_left(view, "barley/simmer") == 20 * 60 - 160


def test_ready_and_service() -> None:
    view = view_after()
    # Hands in the menu's order: 2 min, then 5 + 20 unattended, fluff 1; halve, bake, plate; wash,
    # dress: 28, then 32 - 47 - 49, then 52, 54 minutes.
    assert ready_at(view, "barley") == NOON + 28 * 60
    assert ready_at(view, "pears") == NOON + 49 * 60
    assert ready_at(view, "pears/bake") == NOON + 47 * 60
    assert service_at(view) == NOON + 54 * 60
    assert starts_at(view, "leaves/dress") == NOON + 52 * 60
    with pytest.raises(KeyError):
        ready_at(view, "soup")


def test_a_dish_left_out_is_never_ready_and_does_not_hold_up_service() -> None:
    view = view_after(Event(NOON, "dish_dropped", "leaves"))
    assert ready_at(view, "leaves") is None
    assert service_at(view) == NOON + 49 * 60


def test_pace_is_against_the_wanted_service_or_the_first_plan() -> None:
    late = view_after(Event(NOON, "cook_started", value=NOON + 50 * 60))
    assert pace_s(late) == 4 * 60
    in_time = view_after(Event(NOON, "cook_started", value=NOON + 60 * 60))
    assert pace_s(in_time) == 0
    ahead = view_after(STARTED, Event(NOON, "finished", "leaves/wash"))
    assert pace_s(ahead) == -3 * 60


def test_on_heat_keeps_what_nobody_said_was_off() -> None:
    begun = Event(NOON, "began", "barley/simmer")
    ended = Event(NOON + 1200, "finished", "barley/simmer", by="clock")
    taken = Event(NOON + 1200, "began", "barley/fluff", by="clock")
    (running,) = on_heat(view_after(begun, now=NOON + 60))
    assert (running.until, running.oven, running.over) == (NOON + 1200, None, False)
    (left,) = on_heat(view_after(begun, ended, taken, now=NOON + 1260))
    assert (left.step.key, left.over) == ("barley/simmer", True)
    fluffed = Event(NOON + 1260, "finished", "barley/fluff")
    assert on_heat(view_after(begun, ended, taken, fluffed, now=NOON + 1260)) == []
    confirmed = Event(NOON + 1260, "finished", "barley/simmer")
    assert on_heat(view_after(begun, ended, taken, confirmed, now=NOON + 1260)) == []


def test_on_heat_names_the_oven_and_leaves_gates_open() -> None:
    things = on_heat(
        view_after(Event(NOON, "began", "barley/boil"), Event(NOON, "began", "pears/bake"))
    )
    assert [(t.step.key, t.oven, t.until) for t in things] == [
        ("pears/bake", "oven", NOON + 900),
        ("barley/boil", None, None),
    ]


def test_waiting_for_gates_and_for_what_runs() -> None:
    menu = with_gate_at_start()
    view = view_after(
        STARTED,
        Event(NOON, "began", "barley/boil"),
        Event(NOON, "finished", "pears/halve"),
        menu=menu,
    )
    found = [(w.step.key, w.gate.shown if w.gate else None) for w in waiting_for(view)]
    assert ("barley/boil", "the water boils") in found
    assert ("pears/bake", "the oven is hot") in found


def test_can_start_says_what_is_in_the_way() -> None:
    def why(view, key):
        answer = can_start(view, key)
        assert not answer.yes
        return answer.why

    busy = view_after(Event(NOON, "began", "pears/halve"))
    assert why(busy, "leaves/wash") == "your hands are busy with “halve”"
    assert why(busy, "pears/bake") == "it waits for “halve”"
    assert why(busy, "pears/halve") == "“halve” is already under way"
    bowl = view_after(
        Event(NOON, "finished", "leaves/wash"), kitchen=replace(KITCHEN, equipment={})
    )
    assert why(bowl, "leaves/dress") == "there is no bowl for it"
    paused = view_after(Event(NOON, "paused"))
    assert why(paused, "leaves/wash") == "we are paused"
    menu = with_gate_at_start()
    gated = view_after(Event(NOON, "finished", "pears/halve"), menu=menu)
    assert why(gated, "pears/bake") == "we wait until the oven is hot"


def test_can_start_says_when_it_would_hurt() -> None:
    wanted = Event(NOON, "cook_started", value=NOON + 3600)
    early = can_start(view_after(wanted, Event(NOON, "finished", "leaves/wash")), "leaves/dress")
    assert early.yes
    assert early.waits_s == 3600 - 120 - 300  # the leaves hold for five minutes
    assert "longer than it keeps well" in early.why
    harmless = can_start(view_after(wanted), "pears/halve")
    assert (harmless.yes, harmless.hurts) == (True, False)


def test_slack_is_what_can_wait() -> None:
    spare = slack(view_after())
    assert spare["leaves/dress"] == spare["leaves/wash"] == 0
    assert spare["barley/rinse"] == 0  # its one cook has everything else after it
    relaxed = slack(view_after(Event(NOON, "cook_started", value=NOON + 60 * 60)))
    assert relaxed["leaves/dress"] == 6 * 60
    assert all(left >= 0 for left in relaxed.values())


@pytest.mark.parametrize("key", ["barley/rinse", "pears/bake", "leaves/wash"])
def test_a_step_longer_by_its_slack_moves_nothing_and_by_more_does(key) -> None:
    live = LiveSchedule(MENU, KITCHEN, SimulatedClock(NOON), MemoryStore(), SolvingPlanner())
    live.apply(Event(NOON, "cook_started", value=NOON + 45 * 60))
    spare = int(slack(live.snapshot())[key])
    within = live.what_if(Event(NOON, "longer", key, spare + 0.5))
    beyond = live.what_if(Event(NOON, "longer", key, spare + 120.0))
    assert within.moved_s <= 1
    assert beyond.moved_s > 0


def test_the_clock_does_nothing_before_the_cook_starts() -> None:
    assert due_events(view_after(now=NOON + 60)) == []


def test_the_clock_ends_and_begins_in_the_order_of_time() -> None:
    view = replace(view_after(STARTED, Event(NOON, "finished", "barley/boil")), now=NOON + 40 * 60)
    events = due_events(view)
    assert [(e.kind, e.subject, (e.at - NOON) / 60) for e in events] == [
        ("began", "barley/simmer", 0.0),
        ("finished", "barley/simmer", 20.0),
        ("began", "barley/fluff", 20.0),
    ]
    assert due_events(view) == events


def test_an_oven_is_full_or_at_another_temperature() -> None:
    one_shelf = replace(KITCHEN, ovens=(replace(KITCHEN.ovens[0], shelves=1),))
    bake = MENU.step("pears/bake")
    hot = replace(bake, name="crisp", follows=(), uses=(replace(bake.uses[0], celsius=230.0),))
    warm = replace(bake, name="warm", follows=())
    pears = replace(MENU.dish("pears"), steps=(*MENU.dish("pears").steps, hot, warm))
    menu = replace(MENU, dishes=(MENU.dishes[0], pears, MENU.dishes[2]))
    baking = Event(NOON, "began", "pears/bake")
    full = obstacles(view_after(baking, menu=menu, kitchen=one_shelf), "pears/warm", NOON)
    assert [(o.kind, o.by, o.until) for o in full] == [("oven", ("pears/bake",), NOON + 900)]
    assert obstacles(view_after(baking, menu=menu), "pears/warm", NOON) == []
    clash = obstacles(view_after(baking, menu=menu), "pears/crisp", NOON)
    assert [(o.kind, o.by) for o in clash] == [("oven", ("pears/bake",))]


def test_every_ring_is_taken() -> None:
    boil = MENU.step("barley/boil")
    leaves = MENU.dish("leaves")
    blanch = replace(boil, name="blanch", dish="leaves", follows=(), gate=None)
    menu = replace(MENU, dishes=(*MENU.dishes[:2], replace(leaves, steps=(*leaves.steps, blanch))))
    boiling = Event(NOON, "began", "barley/boil")
    assert can_start(view_after(boiling, menu=menu), "leaves/blanch").yes
    lost = Event(NOON, "equipment_changed", "ring", 1.0)
    answer = can_start(view_after(boiling, lost, menu=menu), "leaves/blanch")
    assert answer.why == "every ring is taken: “boil”"


def test_an_oven_that_heats_is_waited_for() -> None:
    live = LiveSchedule(MENU, KITCHEN, SimulatedClock(NOON), MemoryStore(), SolvingPlanner())
    live.apply(Event(NOON, "cook_started"))
    live.apply(Event(NOON, "began", "oven/heat the oven to 180"))
    live.apply(Event(NOON, "finished", "pears/halve"))
    answer = can_start(live.snapshot(), "pears/bake")
    assert not answer.yes
    assert answer.obstacles[0].until == pytest.approx(NOON + 600 * 160 / 180, abs=2)


def test_everything_done_is_finished() -> None:
    events = [Event(NOON + 60, "finished", step.key) for step in MENU.steps]
    view = view_after(STARTED, *events, now=NOON + 60)
    assert finished(view)
    assert left_to_do(view) == []
    assert service_at(view) == NOON + 60


def test_the_kitchen_as_it_is_now() -> None:
    state = fold(
        MENU,
        [
            Event(NOON, "equipment_changed", "ring", 1.0, seq=1),
            Event(NOON, "equipment_changed", "oven", 0.0, seq=2),
            Event(NOON, "equipment_changed", "bowl", 3.0, seq=3),
            Event(NOON, "cooks_changed", value=2.0, seq=4),
        ],
    )
    now = kitchen_now(KITCHEN, state)
    assert (now.rings, now.ovens, now.equipment) == (1, (), {"bowl": 3})
    assert now.cooks == ("cook", "helper 1")


def test_moved_share_counts_moves_over_two_minutes() -> None:
    before = view_after().timetable
    state = view_after().state
    slots = dict(before.slots)
    first, second = list(slots)[-2:]
    slots[first] = replace(slots[first], start_at=slots[first].start_at + 121)
    slots[second] = replace(slots[second], start_at=slots[second].start_at + 119)
    after = replace(before, slots=slots)
    assert moved_share(before, after, state) == 1 / len(MENU.steps)


def test_going_along_with_service_is_no_move() -> None:
    before = view_after().timetable
    state = view_after().state
    slots = dict(before.slots)
    stays, along, between, beyond = list(slots)[-4:]
    for key, by_s in ((stays, -119), (along, 719), (between, 300), (beyond, 721)):
        slots[key] = replace(slots[key], start_at=slots[key].start_at + by_s)
    after = replace(before, slots=slots, service_at=before.service_at + 600)
    assert moved_share(before, after, state) == 1 / len(MENU.steps)

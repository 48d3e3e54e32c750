"""What would matter if something happened, and that asking changes nothing."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_cook import KITCHEN, LEAVES, MENU, NOON

from domain.kitchen import Oven
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.menu_now import added
from scheduling.queries import heating_next, service_at, time_left
from scheduling.replanning import SolvingPlanner
from scheduling.what_if import upshot

HEAT_S = round(600 * (180 - 20) / (200 - 20))  # from cold
AFTER_HEAT_S = (15 + 2) * 60  # the pears bake and are plated


def start(kitchen=KITCHEN, wanted_at=None):
    clock = SimulatedClock(NOON)
    live = LiveSchedule(MENU, kitchen, clock, MemoryStore(), SolvingPlanner(), wanted_at=wanted_at)
    live.apply(Event(NOON, "cook_started", value=wanted_at))
    return live, clock


def heating(live):
    view = live.snapshot()
    return next(key for key in view.steps if view.heats(key))


def until_heating(live, clock):
    """A cook who ends each step when its time is up, until the oven is set."""
    while live.snapshot().state.steps[heating(live)].status == "waiting":
        clock.advance(10)
        live.tick()
        for step in live.snapshot().running():
            if step.attention == "hands-on" and (time_left(live.snapshot(), step.key) or 0) <= 0:
                live.apply(Event(clock.now(), "finished", step.key))


def late(live, minutes, solve=False):
    view = live.snapshot()
    step = heating_next(view)
    assert step is not None
    event = Event(view.now, "longer", step.key, minutes * 60)
    return event, live.what_if(event, solve=solve)


@pytest.mark.parametrize("solve", [False, True])
def test_a_late_oven_under_way_moves_service_by_what_cannot_be_caught_up(solve) -> None:
    live, clock = start()
    until_heating(live, clock)
    began = live.snapshot().state.steps[heating(live)].began_at
    _, outcome = late(live, 20, solve)
    told = upshot(outcome)
    assert told.possible
    assert service_at(outcome.after) == began + HEAT_S + 20 * 60 + AFTER_HEAT_S
    assert told.moved_s == service_at(outcome.after) - service_at(outcome.before) > 60


@pytest.mark.parametrize("solve", [False, True])
def test_a_late_oven_that_is_still_to_be_heated_takes_longer_from_when_it_is(solve) -> None:
    two_hours = NOON + 7200
    live, clock = start(wanted_at=two_hours)
    view = live.snapshot()
    key = heating(live)
    assert view.state.steps[key].status == "waiting"
    event, outcome = late(live, 20, solve)
    slot = outcome.after.timetable.slots[key]
    assert slot.end_at - slot.start_at == HEAT_S + 20 * 60
    assert upshot(outcome).moved_s == 0  # it is set that much sooner
    live.apply(event)
    until_heating(live, clock)
    view = live.snapshot()
    began = view.state.steps[key].began_at
    assert view.end_of(key) == began + HEAT_S + 20 * 60  # once, not twice


def test_of_two_ovens_the_one_named_is_late() -> None:
    small = Oven("small oven", 1, 600, 60)
    live, _ = start(replace(KITCHEN, ovens=(*KITCHEN.ovens, small)))
    view = live.snapshot()
    assert heating_next(view, "no oven") is None
    step = heating_next(view)
    assert step is not None
    assert view.heats(step.key)


def test_a_dish_that_would_wait_too_long_is_told_with_by_how_much() -> None:
    live, _ = start()
    live.apply(Event(NOON, "finished", "leaves/wash"))
    live.apply(Event(NOON, "finished", "leaves/dress"))
    view = live.snapshot()
    assert service_at(view) - NOON > LEAVES.hold_s
    told = upshot(live.what_if(Event(NOON, "service_moved", value=service_at(view) + 600)))
    assert told.moved_s == 600
    assert told.waits_s == {"leaves": service_at(view) + 600 - NOON - LEAVES.hold_s}


def test_a_limit_that_would_be_missed_is_told_and_one_missed_already_is_not() -> None:
    live, _ = start()
    live.apply(Event(NOON, "finished", "barley/rinse"))
    live.apply(Event(NOON, "gate_seen", "barley/boil"))
    live.apply(Event(NOON, "began", "barley/simmer"))
    live.apply(Event(NOON, "began", "pears/halve"))
    told = upshot(live.what_if(Event(NOON, "longer", "pears/halve", 3600.0)))
    assert any("Fluff the barley" in limit for limit in told.missed)  # its hands are busy
    live.apply(Event(NOON, "longer", "pears/halve", 3600.0))
    again = upshot(live.what_if(Event(NOON, "timer_set", "tea", NOON + 60)))
    assert again.missed == ()


def test_what_cannot_happen_and_what_would_leave_no_plan_are_told() -> None:
    live, _ = start()
    refused = upshot(live.what_if(Event(NOON, "resumed")))
    assert (refused.possible, refused.refused) == (False, "We are not paused.")
    lost = upshot(live.what_if(Event(NOON, "equipment_changed", "ring", 0.0)))
    assert not lost.possible
    assert any("ring" in why for why in lost.why_not)


def test_a_skipped_step_and_a_dish_more_have_their_upshot() -> None:
    live, _ = start()
    dropped = upshot(live.what_if(Event(NOON, "dish_dropped", "barley"), solve=True))
    assert dropped.possible
    assert dropped.moved_s < 0
    live.apply(Event(NOON, "dish_dropped", "leaves"))
    back = upshot(live.what_if(added(NOON, LEAVES), solve=True))
    assert back.possible
    assert back.waits_s == {}


SUPPOSED = st.one_of(
    st.builds(
        Event,
        st.just(NOON),
        st.sampled_from(["began", "finished", "skipped", "gate_seen", "longer"]),
        st.sampled_from([step.key for step in MENU.steps]),
        st.floats(1, 5000),
    ),
    st.builds(Event, st.just(NOON), st.just("dish_dropped"), st.sampled_from(["pears", "leaves"])),
    st.builds(Event, st.just(NOON), st.just("cooks_changed"), st.just(""), st.just(2.0)),
    st.builds(Event, st.just(NOON), st.just("equipment_changed"), st.just("ring"), st.just(0.0)),
    st.builds(Event, st.just(NOON), st.just("course_moved"), st.just("pears"), st.just(600.0)),
    st.just(added(NOON, replace(LEAVES, name="more", steps=()))),
    st.just(Event(NOON, "paused")),
)


@given(st.lists(SUPPOSED, max_size=4))
@settings(max_examples=30, deadline=None)
def test_asking_what_if_changes_nothing(supposed) -> None:
    live, _ = start()
    before, events = live.snapshot(), live.events()
    told = upshot(live.what_if(*supposed))
    assert told.possible or (told.refused or told.why_not)
    assert live.snapshot() == before
    assert live.events() == events

"""A dish that is added while cooking is told by the log alone."""

from dataclasses import replace

import pytest
from small_cook import KITCHEN, LEAVES, MENU, NOON, GreedyPlanner, step, take_back

from domain.menu import Dish, Follow, Use
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.live import fold, tell
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.menu_now import added, added_dish
from scheduling.refusals import refuse

BROTH = Dish(
    "broth",
    "Leek broth",
    4,
    900,
    (),
    (
        step("broth", "chop", 5),
        step(
            "broth",
            "simmer",
            10,
            "unattended",
            uses=(Use("ring"),),
            follows=(Follow("broth/chop"),),
        ),
    ),
)


def start(store=None):
    clock = SimulatedClock(NOON)
    live = LiveSchedule(MENU, KITCHEN, clock, store or MemoryStore(), GreedyPlanner())
    if not live.events():
        live.apply(Event(NOON, "cook_started"))
    return live, clock


def why_not(dish: Dish, *before: Event) -> str:
    told = tell(MENU, [replace(event, seq=n + 1) for n, event in enumerate(before)])
    why = refuse(told.steps, told.state, added(NOON, dish))
    assert why is not None
    return why


def test_the_dish_is_in_the_event() -> None:
    assert added_dish(added(NOON, BROTH)) == BROTH
    assert added_dish(Event(NOON, "dish_added", "broth", note="{")) is None
    assert added_dish(replace(added(NOON, BROTH), subject="pears")) is None


def test_an_added_dish_is_planned_with_the_rest() -> None:
    live, _ = start()
    outcome = live.apply(added(NOON, BROTH))
    assert outcome.refused is None
    view = live.snapshot()
    assert view.menu.dish("broth") == BROTH
    assert {"broth/chop", "broth/simmer"} <= view.steps.keys() & view.timetable.slots.keys()


def test_a_restart_knows_the_added_dish_from_the_log_alone() -> None:
    store = MemoryStore()
    live, clock = start(store)
    live.apply(added(NOON, BROTH))
    live.apply(Event(NOON, "began", "broth/chop"))
    live.apply(Event(NOON, "course_moved", "broth", -600.0))
    again = LiveSchedule(MENU, KITCHEN, clock, store, GreedyPlanner()).snapshot()
    assert again.menu.dish("broth") == BROTH
    assert again.state == live.snapshot().state
    assert again.state.courses == {"broth": -600}
    assert again.state.steps["broth/chop"].status == "running"


def test_taking_back_the_addition_lets_go_of_its_steps() -> None:
    live, _ = start()
    before = live.snapshot()
    live.apply(added(NOON, BROTH))
    take_back(live)
    after = live.snapshot()
    assert after.menu == before.menu
    assert after.state.steps.keys() == before.state.steps.keys()
    assert after.timetable.slots.keys() == before.timetable.slots.keys()


def test_a_dropped_dish_may_come_back_and_what_was_done_stays_done() -> None:
    log = [
        Event(NOON, "finished", "leaves/wash", seq=1),
        Event(NOON, "dish_dropped", "leaves", seq=2),
        replace(added(NOON, LEAVES), seq=3),
    ]
    state = fold(MENU, log)
    assert state.dropped == frozenset()
    assert state.steps["leaves/wash"].status == "done"
    assert state.steps["leaves/dress"].status == "waiting"


def test_what_if_adds_a_dish_to_a_copy_alone() -> None:
    live, _ = start()
    before, events = live.snapshot(), live.events()
    outcome = live.what_if(added(NOON, BROTH))
    assert "broth/chop" in outcome.after.timetable.slots
    assert live.snapshot() == before
    assert live.events() == events


def test_what_cannot_be_added_is_refused_in_words() -> None:
    assert "already in this menu" in why_not(LEAVES)
    waits = replace(BROTH, steps=(replace(BROTH.steps[0], follows=(Follow("cake/ice"),)),))
    assert "“cake/ice”, which is in no dish here" in why_not(waits)
    dropped = Event(NOON, "dish_dropped", "pears")
    late = replace(BROTH, steps=(replace(BROTH.steps[0], follows=(Follow("pears/plate"),)),))
    assert "in no dish here" in why_not(late, dropped)
    ring = replace(BROTH.steps[0], follows=(Follow("broth/simmer"),))
    assert "wait" in why_not(replace(BROTH, steps=(ring, BROTH.steps[1])))
    many = [added(NOON, _named(f"broth-{n}")) for n in range(17)]
    assert "at most 20" in why_not(BROTH, *many)


def _named(name: str) -> Dish:
    return replace(BROTH, name=name, steps=(step(name, "chop", 5),))


def test_a_dish_that_the_kitchen_lacks_things_for_is_refused() -> None:
    live, _ = start()
    grated = replace(BROTH, steps=(step("broth", "grate", 5, uses=(Use("grater"),)),))
    outcome = live.apply(added(NOON, grated))
    assert outcome.refused is not None
    assert "needs “grater”" in outcome.refused


@pytest.mark.parametrize("value", [None, 0.5, 90000.0])
def test_a_course_is_moved_by_whole_seconds_within_a_day(value) -> None:
    told = tell(MENU, [])
    assert refuse(told.steps, told.state, Event(NOON, "course_moved", "pears", value))
    assert refuse(told.steps, told.state, Event(NOON, "course_moved", "soup", 60.0))

"""What a re-plan aims at: nothing moves without need, and what moves with service has not moved."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from domain.cookbook import load_kitchen, load_menu
from domain.kitchen import Kitchen
from domain.menu import Dish, Duration, Menu, Step
from scheduling.compose import plan_menu
from scheduling.timetable import MOVED_S, Progress, Slot, Timetable

NOW = 1_700_000_000.0
KITCHEN = Kitchen("home", "Home", 4, (), {}, ("cook",))


def dish(name: str, minutes: int, hold: int = 60) -> Dish:
    length = Duration(60 * minutes, 60 * minutes, 60 * minutes)
    step = Step("chop", name, f"Chop the {name}.", length, "hands-on")
    return Dish(name, name.capitalize(), 4, 60 * hold, (), (step,))


MENU = Menu("menu", "Menu", 4, (dish("a", 10), dish("b", 20)))


def last(minutes: float, service: float) -> Timetable:
    """b under way since five minutes ago; a planned at `minutes` from now."""
    slots = (
        Slot("b/chop", NOW - 300, NOW + 900, "cook"),
        Slot("a/chop", NOW + 60 * minutes, NOW + 60 * (minutes + 10), "cook"),
    )
    ready_at = {slot.key.split("/")[0]: slot.end_at for slot in slots}
    at = NOW + 60 * service
    return Timetable({slot.key: slot for slot in slots}, at, at, ready_at)


def replanned(before: Timetable, service: float, b_ends: float) -> Timetable:
    running = {"b/chop": (NOW - 300, NOW + 60 * b_ends)}
    so_far = Progress(running=running, started_at=NOW - 300)
    made = plan_menu(
        MENU, KITCHEN, now=NOW, wanted_at=NOW + 60 * service, progress=so_far, hint=before
    )
    assert isinstance(made, Timetable)
    assert made.proven
    return made


def moved(made: Timetable) -> int:
    return next(level.cost for level in made.levels if level.name == "moved")


def start(made: Timetable) -> float:
    return (made.slots["a/chop"].start_at - NOW) / 60


def test_a_step_that_nothing_touches_moves_by_two_minutes_at_most() -> None:
    # Service at 50: a at 40 would wait least. It was planned at 20, so it goes to 22.
    made = replanned(last(20, 50), service=50, b_ends=15)
    assert (start(made), moved(made)) == (22, 0)


def test_a_step_that_must_move_moves_no_further_than_it_must() -> None:
    # The one cook is at b until 25: five minutes later than a was planned, three beyond the two.
    made = replanned(last(20, 50), service=50, b_ends=25)
    assert (start(made), moved(made)) == (25, 3 * 60)


@pytest.mark.parametrize("later", [0, 10, 45])
def test_a_step_may_go_along_with_a_later_service(later: int) -> None:
    # Two minutes beyond going along is free, and is where a waits least.
    made = replanned(last(20, 50), service=50 + later, b_ends=15)
    assert (start(made), moved(made)) == (22 + later, 0)


def test_a_step_goes_along_with_an_earlier_service() -> None:
    # Service at 40 in place of 50: from 12 to 18, each minute nearer to along is one further from
    # where a was, so all costs the same six minutes; at 18 a waits least.
    made = replanned(last(20, 50), service=40, b_ends=15)
    assert (start(made), moved(made)) == (18, 6 * 60)
    assert made.service_at == NOW + 40 * 60


@given(some.sampled_from(["bench-half-hour", "harbour-supper", "ridge-sunday"]), some.floats(0, 1))
@settings(max_examples=12, deadline=None)
def test_when_all_goes_as_planned_a_new_plan_moves_nothing(name: str, share: float) -> None:
    of = load_menu(name)
    kitchen = load_kitchen(of.kitchen or "home")
    first = plan_menu(of, kitchen, now=NOW, wanted_at=None)
    assert isinstance(first, Timetable)
    at = round(NOW + share * (first.service_at - NOW))
    slots = first.slots.values()
    so_far = Progress(
        done={slot.key: (slot.start_at, slot.end_at) for slot in slots if slot.end_at <= at},
        running={s.key: (s.start_at, s.end_at) for s in slots if s.start_at <= at < s.end_at},
        started_at=NOW,
        ovens={slot.key: slot.oven for slot in slots if slot.oven},
    )
    again = plan_menu(of, kitchen, now=at, wanted_at=None, progress=so_far, hint=first)
    assert isinstance(again, Timetable)
    assert again.service_at == first.service_at
    for step in of.steps:
        move_s = again.slots[step.key].start_at - first.slots[step.key].start_at
        assert abs(move_s) <= MOVED_S

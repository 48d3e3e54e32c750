"""A dish is ready a little before a wanted service, as its steps may take longer than likely."""

from dataclasses import replace

import pytest

from domain.cookbook import load_kitchen, load_menu
from domain.kitchen import Kitchen
from domain.menu import Dish, Duration, Follow, Menu, Step, Way
from scheduling.case import Case
from scheduling.checker import timetable_violations
from scheduling.compose import plan_menu
from scheduling.forecast import forecast, view_of_plan
from scheduling.margin import margin_s
from scheduling.timetable import Progress, Timetable

NOW = 1_700_000_000.0
KITCHEN = Kitchen("home", "Home", 4, (), {}, ("cook",))


def step(name: str, likely: int, high: int, *after: str, attention="unattended") -> Step:
    """Minutes; dishes are told apart by the letter before the dash."""
    follows = tuple(Follow(f"{one[0]}/{one}") for one in after)
    lasts = Duration(60 * likely, 60 * likely, 60 * high)
    return Step(name, name[0], "Do it.", lasts, attention, follows=follows)


def dish(*steps: Step, hold: int = 60, spoils: float = 1.0) -> Dish:
    return Dish(steps[0].dish, steps[0].dish, 4, 60 * hold, (), steps, spoils=spoils)


def menu(*dishes: Dish) -> Menu:
    return Menu("menu", "Menu", 4, dishes)


# Boils 10 to 13 and rests 20 to 24: the root of 3² + 4² is 5. The sauce beside it is shorter, and
# what it may overrun does not count.
ROAST = dish(
    step("a-boil", 10, 13),
    step("a-sauce", 5, 15),
    step("a-rest", 20, 24, "a-boil", "a-sauce"),
)


def margin(of: Dish, wanted: bool = True, **so_far) -> float:
    case = Case(menu(of), KITCHEN, NOW, NOW + 3600 if wanted else None, Progress(**so_far))
    return margin_s(case, of) / 60


def planned(of: Menu, minutes: float | None) -> Timetable:
    at = None if minutes is None else NOW + 60 * minutes
    made = plan_menu(of, KITCHEN, now=NOW, wanted_at=at)
    assert isinstance(made, Timetable)
    assert made.proven
    assert timetable_violations(of, KITCHEN, made) == []
    return made


def waits(made: Timetable) -> dict[str, float]:
    return {name: (made.service_at - at) / 60 for name, at in made.ready_at.items()}


def test_the_overruns_along_the_longest_chain_count_as_the_root_of_their_squares() -> None:
    assert margin(ROAST) == 5


def test_a_dish_has_no_more_margin_than_it_holds() -> None:
    assert margin(replace(ROAST, hold_s=120)) == 2


def test_only_what_is_left_counts() -> None:
    over = dict.fromkeys(("a/a-boil", "a/a-sauce"), (NOW - 900, NOW - 60))
    assert margin(ROAST, done=over) == 4
    assert margin(ROAST, skipped=frozenset({"a/a-rest"})) == 3
    assert margin(ROAST, dropped=frozenset({"a"})) == 0


def test_a_dish_is_ready_by_its_margin_before_a_wanted_service_and_no_sooner() -> None:
    made = planned(menu(ROAST), 60)
    assert made.service_at == NOW + 3600
    assert waits(made) == {"a": 5}


def test_as_soon_as_possible_has_no_margin() -> None:
    assert margin(ROAST, wanted=False) == 0
    assert planned(menu(ROAST), None).service_at == NOW + 30 * 60


def test_margin_gives_way_to_service_in_time() -> None:
    # The chain takes 30: wanted at 33, three minutes are left for the margin; at 30, none.
    assert waits(planned(menu(ROAST), 33)) == {"a": 3}
    made = planned(menu(ROAST), 30)
    assert (made.late_s, waits(made)) == (0, {"a": 0})


def test_waiting_within_the_margin_costs_nothing_and_lacking_it_does() -> None:
    # The one cook takes 4 minutes for each, and b alone has a margin, of 2.
    chop = dish(step("a-chop", 4, 4, attention="hands-on"))
    fry = dish(step("b-fry", 4, 6, attention="hands-on"))
    made = planned(menu(chop, fry), 60)
    # b done at -4 and a at 0: b waits 2 beyond its margin. a at -6 and b at -2: a waits 6.
    assert waits(made) == {"a": 0, "b": 4}
    assert [level.cost for level in made.levels if level.name in ("margin", "waiting")] == [0, 120]


@pytest.mark.parametrize("name", ["bench-half-hour", "harbour-supper", "ridge-sunday"])
def test_sample_menus_are_in_time_in_four_of_five_cooks(name: str) -> None:
    """Wanted ten minutes after the earliest service; without margins the last is in one of four."""
    of = load_menu(name)
    kitchen = load_kitchen(of.kitchen or "home")
    soonest = plan_menu(of, kitchen, now=NOW, wanted_at=None)
    assert isinstance(soonest, Timetable)
    made = plan_menu(of, kitchen, now=NOW, wanted_at=soonest.service_at + 600)
    assert isinstance(made, Timetable)
    chance = forecast(view_of_plan(of, kitchen, made, NOW), runs=500).chance
    assert chance is not None
    assert chance > 0.75


def test_of_several_ways_what_is_longest_in_any_counts() -> None:
    # Fried 10 to 12 or baked 18 to 23 min: 5 over; once begun on the ring, 2.
    oven = Way("in the oven", "Bake.", Duration(18 * 60, 18 * 60, 23 * 60), "unattended")
    lamb = dish(replace(step("a-cook", 10, 12), ways=(oven,)))
    assert margin(lamb) == 5
    begun = {"a/a-cook": (NOW, NOW + 600)}
    assert margin(lamb, running=begun) == 2
    assert margin(lamb, running=begun, ways={"a/a-cook": "in the oven"}) == 5

"""The best plans of tiny menus, found by trying every start: the planner must find as good ones.

All times are whole minutes, so the best plan is among those that start at whole minutes: with the
order on each resource fixed, what is left is a network of differences, whose best points are whole
multiples. What is tried is judged by the independent checker alone.
"""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Menu, Step, Use
from scheduling.checker import timetable_violations
from scheduling.compose import plan_menu
from scheduling.timetable import NoTimetable, Slot, Timetable

NOW = 1_700_000_000.0
MINUTE = 60
KITCHEN = Kitchen("hut", "The hut", 1, (Oven("oven", 1, 0, 60),), {"bowl": 1}, ("cook",))
Costs = tuple[float, float, float]  # minutes late, minutes over hold, weighted minutes of waiting


def step(dish: str, name: str, minutes: int, attention: str, *uses: Use, after=()) -> Step:
    seconds = minutes * MINUTE
    follows = tuple(
        Follow(f"{dish}/{other}", least * MINUTE, None if most is None else most * MINUTE)
        for other, least, most in after
    )
    lasts = Duration(seconds, seconds, seconds)
    return Step(name, dish, f"{name} it", lasts, attention, uses, follows)


def dish(name: str, *steps: Step, hold: int = 2, spoils: float = 1.0) -> Dish:
    return Dish(name, name.capitalize(), 4, hold * MINUTE, (), steps, spoils=spoils)


def menu_of(*dishes: Dish, **more) -> Menu:
    return Menu("tiny", "Tiny", 4, dishes, **more)


# --- by trying everything -----------------------------------------------------------------------


def every_start(steps: list[Step], latest: int) -> Iterator[dict[str, int]]:
    """Every choice of starts, in minutes, that keeps the gaps; what is followed comes first."""

    def further(index: int, ends: dict[str, int]) -> Iterator[dict[str, int]]:
        if index == len(steps):
            yield {s.key: ends[s.key] - s.duration.likely_s // MINUTE for s in steps}
            return
        one, first, last = steps[index], 0, latest
        for follow in one.follows:
            first = max(first, ends[follow.step] + follow.least_s // MINUTE)
            if follow.most_s is not None:
                last = min(last, ends[follow.step] + follow.most_s // MINUTE)
        length = one.duration.likely_s // MINUTE
        for start in range(first, last + 1):
            yield from further(index + 1, {**ends, one.key: start + length})

    return further(0, {})


def as_timetable(
    menu: Menu, kitchen: Kitchen, starts: dict[str, int], wanted: int | None
) -> Timetable:
    """The starts as a timetable served as soon as all is ready, and not before it is wanted.

    Hands-on steps go to the cook who is free first; there is one oven.
    """
    free = dict.fromkeys(kitchen.cooks, 0)
    slots = {}
    for one in sorted(menu.steps, key=lambda s: starts[s.key]):
        start, cook = starts[one.key], None
        end = start + one.duration.likely_s // MINUTE
        if one.attention == "hands-on":
            cook = min(free, key=lambda name: free[name])
            free[cook] = end
        oven = "oven" if any(use.what == "oven" for use in one.uses) else None
        slots[one.key] = Slot(one.key, NOW + 60 * start, NOW + 60 * end, cook, oven)
    ready = {d.name: max(slots[s.key].end_at for s in d.steps) for d in menu.dishes}
    courses = {d.name: menu.courses.get(d.name, 0) for d in menu.dishes}
    service_at = max(NOW + 60 * (wanted or 0), *(ready[name] - courses[name] for name in ready))
    serve_at = {name: service_at + later for name, later in courses.items()}
    return Timetable(slots, service_at, None, ready, serve_at=serve_at)


def costs(menu: Menu, timetable: Timetable, wanted: int | None) -> Costs:
    """The aims in their order, from the slots alone."""
    over = waiting = 0.0
    for one in menu.dishes:
        ready_at = max(timetable.slots[s.key].end_at for s in one.steps)
        waits = timetable.service_at + menu.courses.get(one.name, 0) - ready_at
        over += max(0.0, waits - one.hold_s)
        waiting += one.spoils * waits
    late = timetable.service_at - NOW - 60 * (wanted or 0)
    return round(late / 60, 6), round(over / 60, 6), round(waiting / 60, 6)


def by_trying(menu: Menu, kitchen: Kitchen, wanted: int | None) -> Costs | None:
    """The least costs of any valid timetable; None when there is none."""
    lags = sum(follow.least_s for s in menu.steps for follow in s.follows)
    longest = sum(s.duration.likely_s for s in menu.steps) + lags
    spread = sum(map(abs, menu.courses.values()))
    latest = max(longest // MINUTE, wanted or 0) + spread // MINUTE
    best: Costs | None = None
    for starts in every_start(list(menu.steps), latest):
        made = as_timetable(menu, kitchen, starts, wanted)
        found = costs(menu, made, wanted)
        better = best is None or found < best
        if better and not timetable_violations(menu, kitchen, made):
            best = found
    return best


def assert_best(menu: Menu, kitchen: Kitchen, wanted: int | None) -> Costs | None:
    """The planner's plan is valid and costs what the best does; where none is, it says so."""
    best = by_trying(menu, kitchen, wanted)
    wanted_at = None if wanted is None else NOW + 60 * wanted
    made = plan_menu(menu, kitchen, now=NOW, wanted_at=wanted_at)
    if best is None:
        assert isinstance(made, NoTimetable)
        return None
    assert isinstance(made, Timetable)
    assert timetable_violations(menu, kitchen, made) == []
    assert costs(menu, made, wanted) == best
    return best


# --- menus by hand ------------------------------------------------------------------------------

RING, OVEN, BOWL = Use("ring"), Use("oven"), Use("bowl")
RICE = dish(
    "rice",
    step("rice", "boil", 4, "unattended", RING),
    step("rice", "fluff", 1, "hands-on", after=[("boil", 0, 1)]),
)
SAUCE = dish("sauce", step("sauce", "simmer", 3, "watched", RING), hold=1, spoils=2.0)
SALAD = dish("salad", step("salad", "toss", 2, "hands-on", BOWL), hold=0, spoils=4.0)


def test_one_ring_makes_the_second_pan_wait():
    # boil 4 and simmer 3 share the ring: 7 min; fluff (hands) is done beside the simmer. Boiling
    # last would end 3 + 4 + 1 = 8. The fluff may come a minute after the boil: the rice is ready
    # at 6 and waits for the sauce until 7.
    assert assert_best(menu_of(RICE, SAUCE), KITCHEN, None) == (7, 0, 1)


def test_a_second_ring_lets_both_pans_end_at_service():
    assert assert_best(menu_of(RICE, SAUCE), replace(KITCHEN, rings=2), None) == (5, 0, 0)


def test_hands_keep_what_spoils_fastest_for_last():
    # Before a service in 9 minutes: toss 7-9 (weight 4), fluff 6-7: the rice waits 2 = its hold.
    assert assert_best(menu_of(RICE, SALAD), KITCHEN, 9) == (0, 0, 2)


def test_what_must_be_held_too_long_is_held_as_little_as_can_be():
    # Two dishes of two minutes in one bowl: the first is ready 2 min before the second.
    other = dish("slaw", step("slaw", "mix", 2, "unattended", BOWL), hold=1)
    assert assert_best(menu_of(SALAD, other), KITCHEN, 6) == (0, 1, 2)


def test_one_shelf_in_the_oven():
    pie = dish("pie", step("pie", "bake", 3, "unattended", OVEN), hold=5)
    pears = dish("pears", step("pears", "bake", 2, "unattended", OVEN), hold=5, spoils=0.5)
    # The pears wait while the pie bakes: 3 min at half weight, against 2 min at full weight.
    assert assert_best(menu_of(pie, pears), KITCHEN, 8) == (0, 0, 1.5)


def test_two_temperatures_in_one_oven():
    shelves = replace(KITCHEN, ovens=(Oven("oven", 2, 0, 60),))
    hot, mild = Use("oven", 1, 220.0, 0.0), Use("oven", 1, 200.0, 0.0)
    pie = dish("pie", step("pie", "bake", 3, "unattended", hot), hold=9)
    pears = dish("pears", step("pears", "bake", 2, "unattended", mild), hold=9, spoils=0.5)
    # 20 degrees at a minute for ten: pears, 2 min of change, pie; or the other way round. The
    # pears wait 5 min at half weight, or the pie 4 at full weight.
    assert assert_best(menu_of(pie, pears), shelves, 9) == (0, 0, 2.5)


def test_courses_each_at_their_own_moment():
    # Salad 4 min before service, rice at it: toss 2-4 and served at 4, boil 3-7, fluff 7-8.
    served = menu_of(RICE, SALAD, courses={"salad": -4 * MINUTE})
    assert assert_best(served, KITCHEN, 8) == (0, 0, 0)


def test_a_course_before_service_decides_when_service_can_be():
    # The sauce is served 2 min before the rice and both need the ring. Sauce first: 3, then the
    # boil from 3 to 7, fluffed at 8, the sauce served at 6, 3 min after it is ready. Rice first:
    # the sauce is ready at 7, served then at the soonest, service at 9.
    served = menu_of(RICE, SAUCE, courses={"sauce": -2 * MINUTE})
    assert assert_best(served, KITCHEN, None) == (8, 2, 6)


def test_gaps_that_the_hands_cannot_keep():
    # Both pans are to be seen to at once as they end, and they start together on two rings.
    together = dish(
        "pair",
        step("pair", "warm", 1, "hands-on"),
        step("pair", "one", 2, "unattended", RING, after=[("warm", 0, 0)]),
        step("pair", "two", 2, "unattended", RING, after=[("warm", 0, 0)]),
        step("pair", "lift one", 1, "hands-on", after=[("one", 0, 0)]),
        step("pair", "lift two", 1, "hands-on", after=[("two", 0, 0)]),
    )
    two_rings = replace(KITCHEN, rings=2)
    assert assert_best(menu_of(together), two_rings, None) is None
    two_cooks = replace(two_rings, cooks=("Ana", "Bo"))
    assert assert_best(menu_of(together), two_cooks, None) == (4, 0, 0)


# --- menus by chance ----------------------------------------------------------------------------


def by_chance(seed: int) -> tuple[Menu, Kitchen, int | None]:
    """Three dishes of one or two steps each, five in all at most, and little to cook them with."""
    chance = Random(seed)
    dishes = []
    for name, most_steps in zip(("one", "two", "three"), chance.choice(SHARED_OUT), strict=True):
        steps: list[Step] = []
        for index in range(most_steps):
            attention = chance.choice(("hands-on", "hands-on", "watched", "unattended"))
            uses = chance.choice(((), (RING,), (RING,), (OVEN,), (BOWL,)))
            least = chance.randint(0, 1)
            most = chance.choice((None, least, least + 1))
            after = [(str(index - 1), least, most)] if index else []
            minutes = chance.randint(1, 3)
            steps.append(step(name, str(index), minutes, attention, *uses, after=after))
        hold, spoils = chance.randint(0, 2), chance.choice((0.5, 1.0, 2.0))
        dishes.append(dish(name, *steps, hold=hold, spoils=spoils))
    courses = chance.choice(({}, {}, {"one": -2 * MINUTE}, {"two": 3 * MINUTE}))
    cooks = chance.choice((("Ana",), ("Ana",), ("Ana", "Bo")))
    wanted = chance.choice((None, 5, 9))
    return menu_of(*dishes, courses=courses), replace(KITCHEN, cooks=cooks), wanted


SHARED_OUT = ((1, 1, 1), (1, 2, 1), (2, 1, 2), (2, 2, 1), (1, 2, 2))


@pytest.mark.parametrize("seed", range(30))
def test_no_plan_of_a_menu_by_chance_is_better(seed):
    assert_best(*by_chance(seed))

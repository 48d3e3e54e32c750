"""Steps broken off for several cooks and in several ways: tiny menus, numbers beside them."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from test_compose import HOME, NOW, after, dish, menu, service, step, timetable
from test_pausing import breaks, fish

from domain.menu import Dish, Duration, Mark, Menu, Step, Use, Way
from scheduling.checker import timetable_violations
from scheduling.compose import Timetable, plan_menu
from scheduling.timetable import Slot

TWO = replace(HOME, cooks=("Ana", "Bo"), equipment={"machine": 1})
CHOP = "salad/chop"


def by_machine(minutes: int, name: str = "by machine") -> Way:
    length = 60 * minutes
    return Way(name, name, Duration(length, length, length), "hands-on", (Use("machine"),))


def chopped(minutes: int, *ways: Way) -> Dish:
    return dish("salad", step("salad", "chop", minutes, pausable=True, ways=ways))


# --- several cooks ------------------------------------------------------------------------------


def test_a_cook_of_two_breaks_off_while_the_other_cannot() -> None:
    # Bo stirs for 25. The chopping, 20 whole, is done after the turn at 10: until 32. Broken off
    # for the turn it is done at 22, and the fish at 25.
    stirred = dish("roast", step("roast", "stir", 25))
    whole = dish("salad", step("salad", "chop", 20))
    assert service(menu(whole, stirred, fish()), TWO) == 32
    made = timetable(menu(chopped(20), stirred, fish()), TWO)
    assert (made.service_at - NOW) / 60 == 25
    assert breaks(made) == [(10, 12)]


def test_the_cook_whose_hands_are_free_goes_on() -> None:
    # The turn takes one cook from 10 to 30, the stirring the other until 12, who then goes on.
    stirred = dish("roast", step("roast", "stir", 12))
    of = menu(chopped(20), stirred, fish(20, 0), marks=(Mark("roast/stir", 0),))
    made = timetable(of, TWO)
    assert (made.service_at - NOW) / 60 == 30
    assert breaks(made) == [(10, 12)]
    slot = made.slots[CHOP]
    assert (slot.cooks[1], slot.cooks[0]) == (
        made.slots["roast/stir"].cook,
        made.slots["fish/turn"].cook,
    )
    wrong = replace(made, slots=made.slots | {CHOP: replace(slot, then=(slot.cook,))})
    assert timetable_violations(of, TWO, wrong) == [
        f"“salad/chop” and “fish/turn” both need {slot.cook}"
    ]


# --- several ways -------------------------------------------------------------------------------


def test_the_way_that_is_broken_off_is_one_and_the_best() -> None:
    # The fish takes 10 + 2 + 7 = 19: by hand, 20 + 2 of break, it would be 22; by machine, 16 + 2.
    of = menu(chopped(20, by_machine(16)), fish(rest=7))
    kitchen = replace(TWO, cooks=("Ana",))
    made = timetable(of, kitchen)
    assert (made.service_at - NOW) / 60 == 19
    assert (made.slots[CHOP].way, breaks(made)) == ("by machine", [(10, 12)])
    # The turn too takes the machine, which what is broken off still holds: by hand then.
    both = menu(chopped(20, by_machine(16)), fish(rest=7, uses=(Use("machine"),)))
    made = timetable(both, kitchen)
    assert (made.service_at - NOW) / 60 == 22
    assert made.slots[CHOP].way == ""
    assert [until - since for since, until in breaks(made)] == [2]


def test_a_way_of_fewer_parts_has_no_breaks_that_it_does_not_need() -> None:
    # By machine a minute, in one part; it is not begun before the turn only to end after it.
    mixed = dish(
        "salad",
        step("salad", "chop", 20, pausable=True, ways=(by_machine(1),)),
        step("salad", "toss", 1, follows=after(CHOP, 0, 0)),
    )
    made = timetable(menu(mixed, fish()), replace(TWO, cooks=("Ana",)))
    slot = made.slots[CHOP]
    assert (slot.way, slot.end_at - slot.start_at, slot.breaks) == ("by machine", 60, ())
    assert made.proven


def test_of_ways_as_good_the_first_written_is_taken() -> None:
    # By hand or by machine, all is in time in half an hour, and nothing waits longer or shorter.
    others = (
        dish(
            f"d{n}",
            step(f"d{n}", "chop", 5, ways=(by_machine(5),)),
            step(f"d{n}", "boil", 8 - n, "unattended", follows=after(f"d{n}/chop")),
        )
        for n in range(3)
    )
    made = timetable(menu(*others, fish()), replace(TWO, cooks=("Ana",)), minutes=30)
    assert {slot.way for slot in made.slots.values()} == {""}


# --- when ---------------------------------------------------------------------------------------


def test_a_short_step_is_broken_off_at_any_minute() -> None:
    # 4 + 2 + 5 of fish, and 7 of chopping around the turn at 4: whole it would end at 13.
    quick = dish(
        "fish",
        step("fish", "poach", 4, "unattended"),
        step("fish", "turn", 2, follows=after("fish/poach", 0, 0)),
        step("fish", "rest", 5, "unattended", follows=after("fish/turn", 0, 0)),
    )
    made = timetable(menu(chopped(7), quick))
    assert (made.service_at - NOW) / 60 == 11
    assert breaks(made) == [(4, 6)]


lengths = some.integers(1, 9)


@given(some.lists(some.tuples(lengths, lengths, lengths), min_size=1, max_size=3), some.booleans())
@settings(max_examples=25, deadline=None)
def test_breaks_keep_every_rule_and_never_make_it_later(
    drawn: list[tuple[int, int, int]], two: bool
) -> None:
    def drawn_menu(pausable: bool) -> Menu:
        return menu(
            *(
                dish(
                    f"d{n}",
                    step(f"d{n}", "chop", chop, pausable=pausable, ways=(by_machine(other),)),
                    step(f"d{n}", "boil", chop, "unattended", follows=after(f"d{n}/chop")),
                    step(f"d{n}", "turn", turn, follows=after(f"d{n}/boil", 0, 0)),
                )
                for n, (chop, turn, other) in enumerate(drawn)
            )
        )

    kitchen = TWO if two else replace(TWO, cooks=("Ana",))
    assert service(drawn_menu(True), kitchen) <= service(drawn_menu(False), kitchen)


# --- by brute force -----------------------------------------------------------------------------


def minutes_of(one: Step, latest: int) -> Iterator[tuple[int, ...]]:
    """Every choice of the minutes in which a step is done: any, or one after the other."""
    length = one.duration.likely_s // 60
    if one.pausable:
        yield from combinations(range(latest), length)
    else:
        yield from (tuple(range(at, at + length)) for at in range(latest - length + 1))


def as_slot(key: str, at: tuple[int, ...]) -> Slot:
    still = tuple((NOW + 60 * (a + 1), NOW + 60 * b) for a, b in pairwise(at) if b > a + 1)
    return Slot(key, NOW + 60 * at[0], NOW + 60 * (at[-1] + 1), breaks=still)


Costs = tuple[float, float, float]  # minutes until service, of breaks, of weighted waiting


def costs(of: Menu, slots: dict[str, Slot]) -> Costs:
    ready = {d.name: max(slots[s.key].end_at for s in d.steps) for d in of.dishes}
    service_at = max(ready.values())
    still = sum(until - since for slot in slots.values() for since, until in slot.breaks)
    waiting = sum(d.spoils * (service_at - ready[d.name]) for d in of.dishes)
    return (service_at - NOW) / 60, still / 60, waiting / 60


def by_trying(of: Menu, cooks: int, latest: int) -> Costs:
    best: Costs | None = None
    for tried in product(*(minutes_of(one, latest) for one in of.steps)):
        done = list(zip(of.steps, tried, strict=True))
        hands = [m for one, at in done if one.attention == "hands-on" for m in at]
        slots = {one.key: as_slot(one.key, at) for one, at in done}
        kept = all(
            slots[one.key].start_at >= slots[f.step].end_at + f.least_s
            and (f.most_s is None or slots[one.key].start_at <= slots[f.step].end_at + f.most_s)
            for one in of.steps
            for f in one.follows
        )
        if kept and all(hands.count(m) <= cooks for m in set(hands)):
            best = min(best or costs(of, slots), costs(of, slots))
    assert best is not None
    return best


@pytest.mark.parametrize("seed", range(12))
def test_no_plan_with_breaks_is_better(seed: int) -> None:
    chance = Random(seed)
    cooks = chance.choice((1, 2))
    chop, boil, turn = chance.randint(2, 4), chance.randint(1, 3), chance.randint(1, 2)
    salad = replace(chopped(chop), spoils=chance.choice((0.5, 2.0)))
    kept = dish(
        "fish",
        step("fish", "poach", boil, "unattended"),
        step("fish", "turn", turn, follows=after("fish/poach", 0, 0)),
    )
    others = [
        dish(f"d{n}", step(f"d{n}", "stir", chance.randint(1, 3), pausable=chance.random() < 0.3))
        for n in range(chance.choice((1, 2) if cooks == 2 else (1,)))
    ]
    of = menu(salad, kept, *others)
    made = plan_menu(of, replace(TWO, cooks=TWO.cooks[:cooks]), now=NOW, wanted_at=None)
    assert isinstance(made, Timetable)
    assert timetable_violations(of, replace(TWO, cooks=TWO.cooks[:cooks]), made) == []
    assert costs(of, made.slots) == by_trying(of, cooks, 8)

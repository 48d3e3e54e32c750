"""What collides in tiny menus, and that each set found is one that cannot be made smaller."""

from dataclasses import replace

import pytest
from tiny_menus import (
    HOME,
    NOW,
    ONE_COOK,
    ONE_PAN,
    TWO_TEMPERATURES,
    after,
    baked,
    chopped,
    dish,
    fried,
    menu,
    step,
)

from domain.cookbook import load_kitchen, load_menu
from domain.kitchen import Kitchen
from domain.menu import Mark, Menu, Use
from scheduling.case import Case
from scheduling.collision import collision
from scheduling.limits import Limit, limits_of, without
from scheduling.plan import NoPlan, violations
from scheduling.solve import solve
from scheduling.tasks import ProblemError
from scheduling.timetable import Progress


def possible(case: Case, gone: list[Limit], by_s: int | None) -> bool:
    """Whether there is a plan without these limits: by a problem of its own, and its checker."""
    try:
        relaxed = without(case, gone, by_s)
    except ProblemError:
        return False
    plan = solve(relaxed, limit_s=10)
    if isinstance(plan, NoPlan):
        assert plan.proven
        return False
    assert violations(relaxed, plan) == []
    return True


def found(of: Menu, minutes: float | None, kitchen: Kitchen = HOME) -> set[Limit]:
    """What collides; checked that it does, and that nothing in it can be left out."""
    case = Case(of, kitchen, NOW)
    by_s = None if minutes is None else round(60 * minutes)
    collide = collision(case, by_s=by_s, limit_s=10)
    assert collide is not None
    assert collide.smallest
    others = [limit for limit in limits_of(case) if limit not in collide.limits]
    assert not possible(case, others, by_s)
    for limit in collide.limits:
        assert possible(case, [*others, limit], by_s)
    return set(collide.limits)


def length(key: str) -> Limit:
    return Limit("length", key)


def test_one_step_that_is_too_long() -> None:
    assert found(ONE_PAN, 19) == {length("fish/fry the fish")}


def test_one_pan_for_two_dishes() -> None:
    # 20 + 15 min in one pan; each alone would do, and so would two pans.
    both = {length("fish/fry the fish"), length("eggs/fry the eggs")}
    assert found(ONE_PAN, 34) == both | {Limit("piece", "pan")}


def test_one_ring_for_two_dishes() -> None:
    pans = replace(HOME, rings=1, equipment={"pan": 2})
    both = {length("fish/fry the fish"), length("eggs/fry the eggs")}
    assert found(ONE_PAN, 34, pans) == both | {Limit("piece", "ring")}


def test_washing_up_between_two_dishes() -> None:
    # 20 + 15 min in the one pan, and 3 min of hands to wash it in between.
    washed = replace(ONE_PAN, wash_up={"pan": 180})
    both = {length("fish/fry the fish"), length("eggs/fry the eggs")}
    assert found(washed, 37) == both | {Limit("piece", "pan"), Limit("washing", "pan")}
    assert collision(Case(washed, HOME, NOW), by_s=38 * 60, limit_s=10) is None


def test_the_hands_of_one_cook() -> None:
    # 12 + 9 + 2 min of chopping do not go into 20; the 2 min of dill do not matter.
    two = {length("kale/chop the kale"), length("leeks/chop the leeks")}
    assert found(ONE_COOK, 20) == two | {Limit("hands", "hands")}
    assert found(ONE_COOK, 22) == two | {Limit("hands", "hands"), length("dill/chop the dill")}


def test_one_oven_at_two_temperatures() -> None:
    # Hot first: 12 + 30 + 4 + 40 = 86; gentle first: 9 min 20 s + 40 + 4 + 30 = 83 min 20 s.
    bakes = {length("roast/bake the roast"), length("crumble/bake the crumble")}
    oven = {Limit("temperature", "oven")}
    assert found(TWO_TEMPERATURES, 73) == bakes | oven  # 30 + 4 + 40 = 74
    assert found(TWO_TEMPERATURES, 83) == bakes | oven | {Limit("heating", "oven")}


def test_too_few_shelves() -> None:
    one_shelf = replace(HOME, ovens=(replace(HOME.ovens[0], shelves=1, heat_s=0),))
    of = menu(baked("bread", 30, 200), baked("tart", 20, 200))
    bakes = {length("bread/bake the bread"), length("tart/bake the tart")}
    assert found(of, 45, one_shelf) == bakes | {Limit("shelves", "oven")}


def test_a_rest_counts_and_so_does_heating() -> None:
    # 12 min to heat, 40 to bake, 15 to rest, 3 to carve.
    roast = dish(
        "roast",
        step("roast", "bake", 40, uses=(Use("oven", 1, 200),)),
        step("roast", "carve", 3, "hands-on", follows=after("roast/bake", 15)),
    )
    long = {length("roast/bake"), Limit("rest", "roast/carve", "roast/bake")}
    assert found(menu(roast), 54) == long
    assert found(menu(roast), 66) == long | {Limit("heating", "oven")}
    assert found(menu(roast), 69) == long | {Limit("heating", "oven"), length("roast/carve")}


def test_two_limits_that_only_collide_together() -> None:
    # The sauce takes hands and a ring for 20 min; the rice hands for 10, and then a ring for 15.
    # With two rings chop 0-10, stir 10-30, boil 10-25: 30 min. With help stir 0-20, chop 0-10,
    # boil 20-35: 35 min. With neither stir 0-20, chop 20-30, boil 30-45.
    sauce = dish("sauce", step("sauce", "stir", 20, "hands-on", uses=(Use("ring"),)))
    rice = dish(
        "rice",
        step("rice", "chop", 10, "hands-on"),
        step("rice", "boil", 15, uses=(Use("ring"),), follows=after("rice/chop")),
    )
    of, one_ring = menu(sauce, rice), replace(HOME, rings=1)
    assert found(of, 44, one_ring) == {
        Limit("hands", "hands"),
        Limit("piece", "ring"),
        length("sauce/stir"),
        length("rice/chop"),
        length("rice/boil"),
    }


def test_gaps_that_no_service_can_keep_are_found_without_one() -> None:
    # The dressing within 5 min of washing, and 10 min of drying in between.
    leaves = dish(
        "leaves",
        step("leaves", "wash", 2),
        step("leaves", "dry", 10, follows=after("leaves/wash")),
        step(
            "leaves",
            "dress",
            1,
            follows=(*after("leaves/dry"), *after("leaves/wash", 0, 5)),
        ),
    )
    soon = Limit("soon", "leaves/dress", "leaves/wash")
    assert found(menu(leaves), None) == {soon, length("leaves/dry")}


def test_marks_that_collide() -> None:
    of = menu(chopped("kale", 12), chopped("leeks", 9))
    marks = (Mark("kale/chop the kale", 600), Mark("leeks/chop the leeks", 900))
    assert found(replace(of, marks=marks), None) == {
        Limit("mark", "kale/chop the kale"),
        Limit("mark", "leeks/chop the leeks"),
        Limit("hands", "hands"),
        length("kale/chop the kale"),
        length("leeks/chop the leeks"),
    }


def test_what_may_be_broken_off_does_not_collide() -> None:
    # The peas are stirred from minute 10 to 15. The kale's 20 min go 0-10 and 15-25 with a break
    # in between, and 15-35 in one go.
    peas = dish("peas", step("peas", "stir the peas", 5, "hands-on"))
    mark = (Mark("peas/stir the peas", 600),)
    kale = dish("kale", step("kale", "chop the kale", 20, "hands-on", pausable=True))
    both = {length("peas/stir the peas"), length("kale/chop the kale"), Limit("hands", "hands")}
    assert found(menu(peas, kale, marks=mark), 24) == both
    assert collision(Case(menu(peas, kale, marks=mark), HOME, NOW), by_s=25 * 60) is None
    whole = dish("kale", step("kale", "chop the kale", 20, "hands-on"))
    in_one_go = found(menu(peas, whole, marks=mark), 34)
    assert in_one_go == both | {Limit("mark", "peas/stir the peas")}


def test_nothing_collides_where_there_is_a_plan() -> None:
    assert collision(Case(ONE_PAN, HOME, NOW), by_s=35 * 60, limit_s=10) is None


def test_what_is_under_way_counts_with_what_is_left_of_it() -> None:
    # The fish has 8 min left in the one pan, the eggs take 15.
    progress = Progress(running={"fish/fry the fish": (NOW - 720, NOW + 480)}, started_at=NOW - 720)
    case = Case(ONE_PAN, HOME, NOW, progress=progress)
    collide = collision(case, by_s=22 * 60, limit_s=10)
    assert collide is not None
    assert len(collide.limits) == 3
    assert collision(case, by_s=23 * 60, limit_s=10) is None


@pytest.mark.parametrize("name", ["harbour-supper", "ridge-sunday", "bench-half-hour"])
def test_the_sample_menus_a_quarter_of_an_hour_too_soon(name: str) -> None:
    of = load_menu(name)
    kitchen = load_kitchen(of.kitchen or "home")
    earliest = {"harbour-supper": 63, "ridge-sunday": 139.5, "bench-half-hour": 27.5}[name]
    assert found(of, earliest - 15, kitchen)


def test_a_fried_dish_alone_needs_no_piece() -> None:
    assert Limit("piece", "pan") not in limits_of(Case(menu(fried("fish", 20)), HOME, NOW))

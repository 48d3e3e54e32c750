"""Limits of tiny menus, and what each lets go of."""

from dataclasses import replace
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as some
from test_collision import possible
from tiny_menus import HOME, NOW, after, dish, fried, menu, minutes, step

from domain.kitchen import Kitchen
from domain.menu import Dish, Menu, Use, Way
from scheduling.case import Case
from scheduling.collision import collision
from scheduling.limits import Limit, limits_of, wanted_by_s
from scheduling.timetable import Progress

COOK = Limit("length", "lamb/cook")


def two_ways(name: str, on_a_ring: float, in_the_oven: float) -> Dish:
    oven = Way("in the oven", "Bake.", minutes(in_the_oven), "hands-on", (Use("oven", 1, 200),))
    return dish(name, step(name, "cook", on_a_ring, uses=(Use("ring"),), ways=(oven,)))


def limits(of: Menu, kitchen: Kitchen = HOME, **so_far) -> set[Limit]:
    return set(limits_of(Case(of, kitchen, NOW, progress=Progress(**so_far))))


def possible_in(of: Menu, by: float, *gone: Limit, kitchen: Kitchen = HOME, **so_far) -> bool:
    case = Case(of, kitchen, NOW, progress=Progress(**so_far))
    return possible(case, list(gone), round(60 * by))


def test_a_length_let_go_is_let_go_in_every_way() -> None:
    lamb = menu(two_ways("lamb", 11, 5))
    assert COOK in limits(lamb)
    assert not possible_in(lamb, 10)  # 12 min of heating go before the oven's five
    assert possible_in(lamb, 0, COOK)


def test_places_of_every_way_are_limits() -> None:
    # On the one ring one after the other; the ovens' hands and shelves only count in the other way.
    two = menu(two_ways("lamb", 11, 5), two_ways("veal", 11, 5))
    small = replace(HOME, rings=1, ovens=(replace(HOME.ovens[0], shelves=1),))
    places = {Limit("piece", "ring"), Limit("shelves", "oven"), Limit("hands", "hands")}
    assert limits(two, small) >= places
    assert not limits(two, HOME) & {Limit("piece", "ring"), Limit("shelves", "oven")}


def test_a_piece_that_only_another_way_needs_is_a_limit() -> None:
    # Eleven minutes in the pan, or four in a wok that is not there.
    wok = Way("in a wok", "Stir.", minutes(4), "unattended", (Use("ring"), Use("wok")))
    of = menu(dish("lamb", step("lamb", "cook", 11, uses=(Use("ring"),), ways=(wok,))))
    assert not possible_in(of, 5)
    assert possible_in(of, 4, Limit("piece", "wok"))
    found = collision(Case(of, HOME, NOW), by_s=300, limit_s=10)
    assert found is not None
    assert set(found.limits) == {Limit("piece", "wok"), COOK}


def test_a_step_begun_in_one_way_is_limited_by_that_way_alone() -> None:
    lamb = menu(two_ways("lamb", 11, 5), two_ways("veal", 11, 5))
    begun = {"lamb/cook": (NOW, NOW + 300), "veal/cook": (NOW, NOW + 300)}
    one = replace(HOME, rings=1)
    baked = {"lamb/cook": "in the oven", "veal/cook": "in the oven"}
    assert Limit("piece", "ring") not in limits(lamb, one, running=begun, ways=baked)


def test_a_step_that_should_be_over_is_no_limit() -> None:
    running = {"fish/fry the fish": (NOW - 600, NOW)}
    of = menu(fried("fish", 10), fried("eggs", 5))
    assert Limit("length", "fish/fry the fish") not in limits(of, running=running)


def test_a_course_let_go_is_served_when_it_is_ready() -> None:
    # The soup takes 40 min and is due 15 min before service; the rice after it takes 20.
    soup = dish("soup", step("soup", "simmer", 40))
    rice = dish("rice", step("rice", "boil", 20))
    of = replace(menu(soup, rice), courses={"soup": -900})
    course = Limit("course", "soup")
    assert course in limits(of)
    assert not possible_in(of, 54)
    assert possible_in(of, 55)
    assert possible_in(of, 20, course)
    assert not possible_in(of, 19, course)


def test_a_course_let_go_holds_no_other_dish_s_step_back_less() -> None:
    # The stock takes 40 min and is the soup's, which is due at service; the sauce waits for it.
    soup = dish("soup", step("soup", "stock", 40))
    sauce = dish("sauce", step("sauce", "stir", 5, follows=after("soup/stock")))
    of = replace(menu(soup, sauce), courses={"sauce": -600})
    assert not possible_in(of, 54)  # 45, and ten before service
    assert possible_in(of, 40, Limit("course", "sauce"))
    assert not possible_in(of, 39, Limit("course", "sauce"))


def test_the_last_course_let_go_after_the_others_were_served() -> None:
    # The rice was served ten minutes ago; the pears, due in ten, take twelve.
    pears = dish("pears", step("pears", "plate", 12))
    rice = dish("rice", step("rice", "boil", 20))
    of = replace(menu(rice, pears), courses={"pears": 1200})
    so_far = {"done": {"rice/boil": (NOW - 1800, NOW - 600)}, "started_at": NOW - 1800}
    case = Case(of, HOME, NOW, NOW - 600, Progress(**so_far))
    assert case.since_service_s == 600
    assert not possible(case, [], wanted_by_s(case))
    assert possible(case, [Limit("course", "pears")], wanted_by_s(case))


def test_a_first_course_let_go_when_all_else_was_served() -> None:
    # The soup still takes 12 min, and service was wanted 100 s ago, 5 min after it.
    soup = dish("soup", step("soup", "simmer", 12))
    rice = dish("rice", step("rice", "boil", 20))
    of = replace(menu(soup, rice), courses={"soup": -300})
    so_far = Progress(done={"rice/boil": (NOW - 1800, NOW - 600)}, started_at=NOW - 1800)
    case = Case(of, HOME, NOW, NOW - 100, so_far)
    assert not possible(case, [], wanted_by_s(case))
    assert possible(case, [Limit("course", "soup")], wanted_by_s(case))


# --- by brute force -----------------------------------------------------------------------------


@some.composite
def tiny(draw: some.DrawFn) -> Menu:
    """Two dishes of one or two steps: on the one ring, by hand, or in either way."""
    dishes = []
    for name in ("kale", "leeks"):
        lasts = [draw(some.integers(1, 9)) for _ in range(draw(some.integers(1, 2)))]
        oven = Way("in the oven", "Bake.", minutes(draw(some.integers(1, 9))), "unattended")
        steps = []
        for n, length in enumerate(lasts):
            gap = (draw(some.integers(0, 3)), draw(some.sampled_from([None, 3])))
            steps.append(
                step(
                    name,
                    f"s{n}",
                    length,
                    draw(some.sampled_from(["hands-on", "unattended"])),
                    uses=draw(some.sampled_from([(), (Use("ring"),)])),
                    follows=after(f"{name}/s{n - 1}", *gap) if n else (),
                    ways=draw(some.sampled_from([(), (oven,)])),
                    pausable=draw(some.booleans()),
                )
            )
        dishes.append(dish(name, *steps))
    return replace(menu(*dishes), courses={"leeks": 60 * draw(some.integers(-5, 5))})


@given(tiny(), some.integers(0, 14))
@settings(max_examples=20, deadline=None)
def test_no_fewer_limits_collide_than_by_trying_every_set(of: Menu, by: int) -> None:
    case = Case(of, replace(HOME, rings=1, ovens=()), NOW)
    of_all, found = limits_of(case), collision(case, by_s=60 * by, limit_s=20)
    if found is None:
        assert possible(case, [], 60 * by)
        return
    assert found.smallest
    kept = set(found.limits)
    assert not possible(case, [limit for limit in of_all if limit not in kept], 60 * by)
    for fewer in combinations(of_all, len(kept) - 1):
        gone = [limit for limit in of_all if limit not in fewer]
        assert possible(case, gone, 60 * by)

"""A menu meets a kitchen."""

from dataclasses import replace

import pytest

from domain.kitchen import Kitchen, KitchenLacks, Oven, check
from domain.menu import Dish, Duration, Menu, Step, Use, Way

OVEN = Oven("oven", shelves=2, heat_s=600, change_s=60)
MINUTE = Duration(60, 60, 60)


def menu_using(*uses: Use) -> Menu:
    step = Step("cook", "soup", "Cook.", MINUTE, "watched", uses=uses)
    return Menu("lunch", "Lunch", 2, (Dish("soup", "Soup", 2, 0, (), (step,)),))


def kitchen(rings: int = 2, ovens: tuple[Oven, ...] = (OVEN,)) -> Kitchen:
    return Kitchen("home", "Home", rings, ovens, {"large pan": 1}, ("cook",))


def test_a_kitchen_that_has_it_all() -> None:
    check(menu_using(Use("ring", 2), Use("oven", 2, 180.0), Use("large pan")), kitchen())


@pytest.mark.parametrize(
    ("use", "where", "lack"),
    [
        (Use("ring", 3), kitchen(), "“soup/cook” needs 3 of “ring” and there are only 2"),
        (Use("ring"), kitchen(rings=0), "“soup/cook” needs “ring”, which is not there; "),
        (
            Use("oven", 3, 180.0),
            kitchen(ovens=(OVEN, OVEN)),
            "“soup/cook” needs 3 of “shelf in one oven” and there are only 2",
        ),
        (
            Use("oven", 1, 180.0),
            kitchen(ovens=()),
            "“soup/cook” needs “oven”, which is not there; ",
        ),
        (
            Use("large pot"),
            kitchen(),
            "“soup/cook” needs “large pot”, which is not there; did you mean “large pan”?",
        ),
        (
            Use("blender"),
            kitchen(),
            "“soup/cook” needs “blender”, which is not there; add it to the kitchen’s equipment",
        ),
    ],
)
def test_what_a_kitchen_lacks(use: Use, where: Kitchen, lack: str) -> None:
    with pytest.raises(KitchenLacks) as caught:
        check(menu_using(use), where)
    assert str(caught.value).startswith(f"“lunch” cannot be cooked in “home”: {lack}")


def test_every_lack_is_told_at_once() -> None:
    with pytest.raises(KitchenLacks) as caught:
        check(menu_using(Use("blender"), Use("wok"), Use("wok")), kitchen())
    assert len(caught.value.lacks) == 2


def test_what_several_steps_lack_is_told_once() -> None:
    soup = menu_using(Use("sieve")).dishes[0]
    steps = tuple(replace(soup.steps[0], name=name) for name in ("rinse", "drain", "press"))
    many = replace(menu_using(), dishes=(replace(soup, steps=steps),))
    with pytest.raises(KitchenLacks) as caught:
        check(many, kitchen())
    (told,) = caught.value.lacks
    assert told.startswith("“soup/rinse” and 2 other steps need “sieve”, which is not there; ")


def test_a_step_is_lacking_only_when_no_way_of_it_fits() -> None:
    baked = menu_using(Use("oven", 3, 180.0))
    dish = baked.dishes[0]

    def or_else(*uses: Use) -> Menu:
        way = Way("on a ring", "Fry.", MINUTE, "watched", uses)
        step = replace(dish.steps[0], ways=(way,))
        return replace(baked, dishes=(replace(dish, steps=(step,)),))

    check(or_else(Use("ring"), Use("large pan")), kitchen())
    with pytest.raises(KitchenLacks) as caught:
        check(or_else(Use("ring"), Use("wok")), kitchen())
    assert caught.value.lacks == (
        "“soup/cook” needs 3 of “shelf in one oven” and there are only 2",
    )

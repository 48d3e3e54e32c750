"""Menus that cannot be cooked at any time: what collides, by the names that cooks know."""

from dataclasses import replace

import pytest
from tiny_menus import HOME, NOW, ONE_COOK, after, dish, menu, step

from domain.menu import Mark, Menu, Use
from scheduling.case import Case
from scheduling.compose import NoTimetable, plan_menu
from scheduling.impossible import lacks, why_never

LEAVES = dish(
    "leaves",
    step("leaves", "wash the leaves", 2),
    step("leaves", "dry the leaves", 10, follows=after("leaves/wash the leaves")),
    step(
        "leaves",
        "dress the leaves",
        1,
        follows=(
            *after("leaves/dry the leaves"),
            *after("leaves/wash the leaves", 0, 5),
        ),
    ),
)


def never(of: Menu) -> NoTimetable:
    made = plan_menu(of, HOME, now=NOW, wanted_at=None)
    assert isinstance(made, NoTimetable)
    return made


def test_contradictory_gaps_name_the_steps() -> None:
    made = never(menu(LEAVES))
    assert made.reasons[0] == (
        "these collide: “dry the leaves” (10 min); “dress the leaves” within 5 min of "
        "“wash the leaves”; correct one of them in its dish or menu"
    )
    assert made.earliest is not None  # dressed 10 min after washing, 5 too late
    assert "it is 5 min late" in made.reasons[1]


def test_gaps_that_collide_only_for_want_of_hands_say_what_would_help() -> None:
    # Both sauces are stirred as soon as the pasta is drained: two hands-on steps at once.
    pasta = dish("pasta", step("pasta", "drain", 1))
    sauces = [
        dish(
            name,
            step(name, f"stir the {name}", 5, "hands-on", follows=after("pasta/drain", 0, 2)),
        )
        for name in ("pesto", "ragù")
    ]
    (told, *_) = never(menu(pasta, *sauces)).reasons
    assert told == (
        "these collide: the hands of one cook; “stir the pesto” (5 min); “stir the ragù” (5 min); "
        "“stir the pesto” within 2 min of “drain”; “stir the ragù” within 2 min of “drain”; "
        "what would help: have somebody to help, or leave out “Pasta”, or leave out “Pesto”"
    )


def test_marks_that_collide_are_told_with_a_way_out() -> None:
    marks = (Mark("kale/chop the kale", 600), Mark("leeks/chop the leeks", 900))
    (told, *_) = never(replace(ONE_COOK, marks=marks)).reasons
    assert told.startswith(
        "these collide: the hands of one cook; the mark of “chop the kale” at 10 min; "
        "the mark of “chop the leeks” at 15 min; "
    )
    assert "what would help: have somebody to help" in told


@pytest.mark.parametrize(
    ("use", "told"),
    [
        (
            Use("blender"),
            "“blend” needs “blender”, which is not there; "
            "use another kitchen, or leave that dish out",
        ),
        (Use("pans"), "“blend” needs “pans”, which is not there; did you mean “pan”?"),
        (Use("pan", 2), "“blend” needs two pans at once, and there is one pan"),
        (
            Use("oven", 3, 200.0),
            "“blend” needs three oven shelves at once, and there are two oven shelves",
        ),
    ],
)
def test_what_is_not_there(use: Use, told: str) -> None:
    soup = menu(dish("soup", step("soup", "blend", 2, uses=(use,))))
    assert never(soup) == NoTimetable((told,))


def test_steps_of_one_name_are_told_apart() -> None:
    soups = [dish(name, step(name, "blend", 2, uses=(Use("blender"),))) for name in ("pea", "leek")]
    (told,) = lacks(Case(menu(*soups), HOME, NOW))
    assert told.startswith("“blend” of “Pea” and “blend” of “Leek” need “blender”, ")


def test_what_many_steps_lack_is_told_once() -> None:
    names = ("rinse", "drain", "press", "dust")
    sieved = [step("soup", name, 2, uses=(Use("sieve"), Use("pan", 2))) for name in names]
    first, second = lacks(Case(menu(dish("soup", *sieved)), HOME, NOW))
    assert first.startswith("“rinse” and 3 other steps need “sieve”, which is not there; ")
    assert second.startswith("“rinse” and 3 other steps need two pans at once")


def test_there_is_no_reason_where_there_is_a_plan() -> None:
    assert why_never(Case(ONE_COOK, HOME, NOW)) == ()

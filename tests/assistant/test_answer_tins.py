"""Another tin: by area and by volume, whoever is named first."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from kitchen import SmallKitchen, kitchen

HERE = kitchen()


@pytest.fixture
def here() -> SmallKitchen:
    return HERE


def factor(reply_shown: str) -> float:
    return float(reply_shown.removeprefix("× ").split()[0])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("I have a 20 cm tin instead of 25 cm", (20 / 25) ** 2),
        ("the recipe says 25 cm but mine is 20 cm", (20 / 25) ** 2),
        ("I only have a 20 cm tin, the recipe says 25", (20 / 25) ** 2),
        ("swap a 25 cm tin for a 20", (20 / 25) ** 2),
        ("I have a 9 inch square tin instead of 8 inch round", 9**2 / (math.pi / 4 * 8**2)),
        ("20 cm round tin for a 23 cm square", math.pi / 4 * 20**2 / 23**2),
        (
            "the recipe wants a nine by thirteen inch tin and I have a 20 cm square one",
            20**2 / (9 * 13 * 2.54**2),
        ),
        ("two pound loaf tin and I have a one litre one", 1000 / 1600),
        ("my tin holds one litre and the recipe's holds two", 1 / 2),
        ("a 23 cm tin 5 cm deep instead of a 20 cm one 8 cm deep", 23**2 * 5 / (20**2 * 8)),
        ("9 by 5 by 3 inch loaf tin instead of 8 by 4 by 3 inches", 45 / 32),
    ],
)
def test_the_amounts_go_by_what_the_tins_hold(
    here: SmallKitchen, text: str, expected: float
) -> None:
    assert factor(here.ask("pan_swap", text).shown) == pytest.approx(expected, abs=0.006)


def test_nearly_the_same_tin_needs_no_change(here: SmallKitchen) -> None:
    assert "leave the amounts" in here.ask("pan_swap", "I have 20 cm instead of 20.5 cm").shown


@pytest.mark.parametrize(
    ("text", "question"),
    [
        ("I have a smaller tin", "Tell me both sizes"),
        ("a 2 lb loaf tin instead of a 20 cm round one", "How deep is the 20 cm round tin?"),
        ("I have a 0 cm tin instead of 20 cm", "A tin needs a width."),
    ],
)
def test_what_is_missing_is_asked_for(here: SmallKitchen, text: str, question: str) -> None:
    assert here.ask("pan_swap", text).shown.startswith(question)


@given(st.integers(5, 60), st.integers(5, 60), st.sampled_from(["round", "square"]))
def test_there_and_back_is_one(mine: int, recipe: int, shape: str) -> None:
    there, back = (
        HERE.ask("pan_swap", f"I have a {a} cm {shape} tin instead of a {b} cm {shape} one").shown
        for a, b in ((mine, recipe), (recipe, mine))
    )
    exact = (mine / recipe) ** 2
    assert factor(there) == pytest.approx(exact, abs=0.006)
    assert factor(back) == pytest.approx(1 / exact, abs=0.006)

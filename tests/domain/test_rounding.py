"""Kitchen rounding: what a spoon, a scale or a dial can do, and the handiest unit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import ImpossibleAmount
from domain.rounding import GAS_MARKS, NOTICED, dial, handiest, kitchen, measurable, scale
from domain.units import convert


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        (14.1096, "ounce", 14),
        (1.69, "us_cup", 1 + 2 / 3),
        (2.2046, "pound", 2.25),
        (396.9, "gram", 395),
        (113.4, "gram", 115),
        (28.35, "gram", 28),
        (591.47, "millilitre", 590),
        (0.13, "us_teaspoon", 0.125),
        (4.24, "gas_mark", 4),
        (22.86, "centimetre", 23),
    ],
)
def test_nearest_that_the_tool_can_do(value: float, unit: str, expected: float) -> None:
    assert kitchen(value, unit).value == pytest.approx(expected)


@given(
    st.floats(0.01, 1000),
    st.sampled_from(["gram", "us_cup", "metric_teaspoon", "ounce", "litre", "millilitre", "inch"]),
)
def test_rounding_never_strays_by_a_tenth_and_says_how_far(value: float, unit: str) -> None:
    rounded = kitchen(value, unit)
    assert abs(rounded.error) <= 0.1 + 1e-9
    assert rounded.value == pytest.approx(value * (1 + rounded.error))
    assert kitchen(rounded.value, unit).value == pytest.approx(rounded.value, rel=0.1)


def test_dials() -> None:
    assert dial(176.67, "celsius") == 180
    assert dial(356, "fahrenheit") == 350
    assert dial(5.68, "gas_mark") in GAS_MARKS


@pytest.mark.parametrize(
    ("value", "unit", "factor", "expected"),
    [
        (0.5, "us_teaspoon", 6, (1, "us_tablespoon")),
        (2, "us_tablespoon", 2, (0.25, "us_cup")),
        (1, "us_cup", 0.125, (2, "us_tablespoon")),
        (500, "gram", 3, (1.5, "kilogram")),
        (1, "pound", 0.5, (8, "ounce")),
        (3, "clove", 2, (6, "clove")),
        (1, "metric_tablespoon", 4, (4, "metric_tablespoon")),  # 60 mL is no part of a 250 mL cup
    ],
)
def test_scaling_reaches_for_the_handiest(
    value: float, unit: str, factor: float, expected: tuple[float, str]
) -> None:
    scaled, name = scale(value, unit, factor)
    assert scaled == pytest.approx(expected[0])
    assert name == expected[1]


@given(
    st.floats(0.01, 50),
    st.sampled_from(["us_teaspoon", "metric_tablespoon", "australian_tablespoon", "gram", "ounce"]),
)
def test_the_handiest_is_the_same_amount(value: float, unit: str) -> None:
    other, name = handiest(value, unit)
    assert convert(other, name, unit).value == pytest.approx(value, rel=1e-3)


def test_scaling_beyond_any_kitchen_is_refused() -> None:
    with pytest.raises(ImpossibleAmount):
        scale(2, "kilogram", 1e9)


@pytest.mark.parametrize(
    ("value", "unit", "parts"),
    [
        (1.51, "us_cup", [(1.5, "us_cup")]),
        # 1.6 cups is 1½ and a tenth, 1.6 tablespoons
        (1.6, "us_cup", [(1.5, "us_cup"), (1.5, "us_tablespoon")]),
        (0.09, "metric_cup", [(1.5, "metric_tablespoon")]),  # 22.5 ml, less than any cup
        (1.2, "us_tablespoon", [(1, "us_tablespoon"), (0.5, "us_teaspoon")]),
        (1.1, "pound", [(1, "pound"), (1.5, "ounce")]),
        (0.1, "us_teaspoon", [(2, "pinch")]),  # 1.6 sixteenths
        (5.3, "gram", [(5.5, "gram")]),
    ],
)
def test_what_a_cook_can_measure(value: float, unit: str, parts: list[tuple[float, str]]) -> None:
    assert list(measurable(value, unit).parts) == [(pytest.approx(v), u) for v, u in parts]


@given(
    st.floats(0.05, 20),
    st.sampled_from(["us_cup", "metric_cup", "us_tablespoon", "australian_tablespoon", "pound"]),
)
def test_the_error_told_is_the_error_made(value: float, unit: str) -> None:
    found = measurable(value, unit)
    total = sum(convert(part, name, unit).value for part, name in found.parts)
    assert total == pytest.approx(value * (1 + found.error))
    # a quarter of a cup and half a spoon at most in between: never further off than that
    assert abs(found.error) <= NOTICED or abs(total - value) <= convert(0.26, unit, unit).value


@given(st.floats(0.05, 5), st.floats(0.0, 0.5), st.sampled_from(["us_cup", "metric_tablespoon"]))
def test_more_is_never_measured_as_less_beyond_the_rounding(
    value: float, more: float, unit: str
) -> None:
    least, most = (
        sum(convert(part, name, unit).value for part, name in measurable(v, unit).parts)
        for v in (value, value + more)
    )
    assert most >= least * (1 - 2 * NOTICED) or most >= least - 0.1

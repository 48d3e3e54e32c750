"""Conversions against published factors. The source stands beside each value."""

from pathlib import Path

import pytest

from domain.densities import all_weights, weight_of
from domain.rounding import dial
from domain.units import convert

HB44 = "NIST Handbook 44, App. C; NIST SP 811, App. B.8"
WMA = "UK Weights and Measures Act 1985"
SAA = "Standards Association of Australia, cup and spoon sets"
GENERAL = "general-purpose unit tables"

# One of the unit in grams, millilitres or centimetres.
DEFINITIONS = [
    ("pound", "gram", 453.59237, HB44),
    ("ounce", "gram", 28.349523125, HB44),
    ("inch", "centimetre", 2.54, HB44),
    ("foot", "centimetre", 30.48, HB44),
    ("mile", "centimetre", 160934.4, HB44),
    ("us_gallon", "millilitre", 3785.411784, HB44),
    ("us_quart", "millilitre", 946.352946, HB44),
    ("us_pint", "millilitre", 473.176473, HB44),
    ("us_cup", "millilitre", 236.5882365, HB44),
    ("us_fluid_ounce", "millilitre", 29.5735295625, HB44),
    ("us_tablespoon", "millilitre", 14.78676478125, HB44),
    ("us_teaspoon", "millilitre", 4.92892159375, HB44),
    ("imperial_gallon", "millilitre", 4546.09, WMA),
    ("imperial_quart", "millilitre", 1136.5225, WMA),
    ("imperial_pint", "millilitre", 568.26125, WMA),
    ("imperial_fluid_ounce", "millilitre", 28.4130625, WMA),
    ("metric_cup", "millilitre", 250, SAA),
    ("australian_tablespoon", "millilitre", 20, SAA),
    ("metric_tablespoon", "millilitre", 15, GENERAL),
    ("metric_teaspoon", "millilitre", 5, SAA),
    ("dessertspoon", "millilitre", 10, GENERAL),
    ("stick", "gram", 113.3980925, GENERAL),
]

# Exact arithmetic on the definitions above, to the seven digits given.
WORKED = [
    (2.5, "us_cup", "millilitre", 591.4706),
    (0.75, "us_cup", "millilitre", 177.4412),
    (1 / 3, "us_cup", "millilitre", 78.86275),
    (2, "us_tablespoon", "millilitre", 29.57353),
    (1.5, "us_teaspoon", "millilitre", 7.393382),
    (12, "us_fluid_ounce", "millilitre", 354.8824),
    (1, "litre", "us_cup", 4.226753),
    (1, "litre", "us_fluid_ounce", 33.81402),
    (500, "millilitre", "us_cup", 2.113376),
    (100, "millilitre", "us_tablespoon", 6.762805),
    (1, "us_quart", "metric_cup", 3.785412),
    (1, "metric_cup", "us_cup", 1.056688),
    (1, "imperial_pint", "us_fluid_ounce", 19.2152),
    (1, "imperial_fluid_ounce", "us_fluid_ounce", 0.9607599),
    (1, "us_cup", "imperial_fluid_ounce", 8.326742),
    (1, "imperial_gallon", "us_gallon", 1.20095),
    (1, "australian_tablespoon", "us_tablespoon", 1.352561),
    (8, "ounce", "gram", 226.7962),
    (16, "ounce", "gram", 453.5924),
    (14, "ounce", "gram", 396.8933),
    (1.75, "pound", "gram", 793.7866),
    (100, "gram", "ounce", 3.527396),
    (1, "kilogram", "pound", 2.204623),
    (9, "inch", "centimetre", 22.86),
    (2, "centimetre", "inch", 0.7874016),
    (350, "fahrenheit", "celsius", 176.6667),
    (165, "fahrenheit", "celsius", 73.88889),
    (63, "celsius", "fahrenheit", 145.4),
    (180, "celsius", "fahrenheit", 356),
    (1, "delta_celsius", "delta_fahrenheit", 1.8),
    (20, "delta_celsius", "delta_fahrenheit", 36),
    (0, "celsius", "kelvin", 273.15),  # SI; NIST SP 811
]

# Mark, °F and exact °C: general-purpose unit tables. Kitchen °C: common practice.
GAS_MARKS = [
    (0.25, 225, 107.22, (110, 110)),
    (0.5, 250, 121.11, (120, 130)),
    (1, 275, 135.00, (140, 140)),
    (2, 300, 148.89, (150, 150)),
    (3, 325, 162.78, (160, 170)),
    (4, 350, 176.67, (180, 180)),
    (5, 375, 190.56, (190, 190)),
    (6, 400, 204.44, (200, 200)),
    (7, 425, 218.33, (220, 220)),
    (8, 450, 232.22, (230, 230)),
    (10, 500, 260.00, (250, 260)),
]
MARK_9 = (9, 475, 246.11)  # set at 240 in kitchens, where rounding to tens says 250

WEIGHTS = [
    tuple(part.strip() for part in line.split("|"))
    for line in (Path(__file__).with_name("household_weights.txt")).read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


@pytest.mark.parametrize(("unit", "base", "size", "source"), DEFINITIONS)
def test_one_of_each_unit(unit: str, base: str, size: float, source: str) -> None:
    assert convert(1, unit, base).value == pytest.approx(size, rel=1e-12), source


@pytest.mark.parametrize(("value", "unit", "target", "expected"), WORKED)
def test_worked_conversion(value: float, unit: str, target: str, expected: float) -> None:
    assert convert(value, unit, target).value == pytest.approx(expected, rel=2e-7)


@pytest.mark.parametrize(("mark", "fahrenheit", "celsius", "kitchen"), GAS_MARKS)
def test_gas_mark(
    mark: float, fahrenheit: float, celsius: float, kitchen: tuple[float, float]
) -> None:
    assert convert(mark, "gas mark", "fahrenheit").value == pytest.approx(fahrenheit)
    exact = convert(mark, "gas mark", "celsius").value
    assert exact == pytest.approx(celsius, abs=0.005)
    assert convert(fahrenheit, "fahrenheit", "gas mark").value == pytest.approx(mark)
    assert kitchen[0] <= dial(exact, "celsius") <= kitchen[1]


def test_gas_mark_nine() -> None:
    mark, fahrenheit, celsius = MARK_9
    assert convert(mark, "gas mark", "fahrenheit").value == pytest.approx(fahrenheit)
    assert convert(mark, "gas mark", "celsius").value == pytest.approx(celsius, abs=0.005)


def test_a_fan_oven_is_set_twenty_lower() -> None:
    """NSW Healthy Kids conversion chart."""
    assert convert(200, "celsius", "fan oven").value == pytest.approx(180)
    assert convert(160, "fan oven", "celsius").value == pytest.approx(180)


@pytest.mark.parametrize(("source", "ingredient", "weights"), WEIGHTS)
def test_household_weight(source: str, ingredient: str, weights: str) -> None:
    found = weight_of(ingredient)
    assert found.source.endswith(source)
    for weight in weights.split(", "):
        measure, grams = weight.rsplit(" ", 1)
        known = found.measures | found.pieces
        assert known[measure] == float(grams)
        if measure in ("cup", "tablespoon", "teaspoon"):
            told = convert(1, f"us_{measure}", "gram", ingredient=ingredient)
            assert told.value == pytest.approx(float(grams))
            assert told.source == found.source


def test_every_row_of_the_table_is_checked() -> None:
    assert len(WEIGHTS) == len(all_weights())


# Grams per millilitre: the weight of a US cup over its 236.588 mL, computed from USDA SR28.
@pytest.mark.parametrize(
    ("ingredient", "density"),
    [
        ("water", 1.002),
        ("all-purpose flour", 0.528),
        ("honey", 1.433),
        ("olive oil", 0.913),
        ("quinoa", 0.719),
        ("zucchini", 0.524),
        ("tomato paste", 1.107),
    ],
)
def test_density(ingredient: str, density: float) -> None:
    assert weight_of(ingredient).g_per_ml() == pytest.approx(density, abs=0.0006)

"""Conversions against a general-purpose unit library's own table, which is written apart from ours.

Ours is the closed file domain/units.txt; the reference is pint's default registry (GNU units and
NIST figures). Kitchen words that it reads otherwise ("pinch", "degree") are not compared.
"""

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.units import convert

REFERENCE: pint.UnitRegistry[float] = pint.UnitRegistry()
SAME = {
    "volume": {
        "us_teaspoon": "teaspoon",
        "us_tablespoon": "tablespoon",
        "us_fluid_ounce": "fluid_ounce",
        "us_gill": "gill",
        "us_cup": "cup",
        "us_pint": "pint",
        "us_quart": "quart",
        "us_gallon": "gallon",
        "imperial_fluid_ounce": "imperial_fluid_ounce",
        "imperial_gill": "imperial_gill",
        "imperial_cup": "imperial_cup",
        "imperial_pint": "imperial_pint",
        "imperial_quart": "imperial_quart",
        "imperial_gallon": "imperial_gallon",
        "millilitre": "milliliter",
        "litre": "liter",
    },
    "mass": {"gram": "gram", "kilogram": "kilogram", "ounce": "ounce", "pound": "pound"},
    "length": {"centimetre": "centimeter", "inch": "inch", "foot": "foot", "metre": "meter"},
}


@given(st.floats(0.01, 9), st.data())
def test_any_conversion_is_the_reference_s(value: float, data: st.DataObject) -> None:
    names = SAME[data.draw(st.sampled_from(sorted(SAME)))]
    here, there = (data.draw(st.sampled_from(sorted(names))) for _ in range(2))
    expected = REFERENCE.Quantity(value, names[here]).to(names[there]).magnitude
    assert convert(value, here, there).value == pytest.approx(expected, rel=1e-9)


@given(st.floats(-30, 400), st.booleans())
def test_any_temperature_is_the_reference_s(value: float, to_fahrenheit: bool) -> None:
    ours, theirs = ("celsius", "fahrenheit"), ("degC", "degF")
    (here, there), (a, b) = (ours, theirs) if to_fahrenheit else (ours[::-1], theirs[::-1])
    expected = REFERENCE.Quantity(value, a).to(b).magnitude
    assert convert(value, here, there).value == pytest.approx(expected, abs=1e-6)

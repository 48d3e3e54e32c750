"""Amounts, durations and times as shown and as spoken."""

from datetime import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.phrasing import (
    clock_shown,
    clock_spoken,
    duration_shown,
    duration_spoken,
    number_spoken,
    shown,
    spoken,
)
from domain.units import convert, words


@pytest.mark.parametrize(
    ("value", "unit", "for_eye", "for_ear"),
    [
        (convert(400, "g", "oz").value, "ounce", "14.1 oz", "about fourteen ounces"),
        (
            convert(180, "celsius", "fahrenheit").value,
            "fahrenheit",
            "356 °F",
            "three hundred and fifty-six degrees Fahrenheit",
        ),
        (4 / 3, "us_cup", "1⅓ cups", "one and a third cups"),
        (1 / 3, "us_cup", "⅓ cup", "a third of a cup"),
        (0.5, "metric_teaspoon", "½ tsp", "half a teaspoon"),
        (500 / 236.5882365, "us_cup", "2.11 cups", "about two cups"),
        (4.24, "gas_mark", "gas mark 4", "gas mark four"),
        (0.5, "gas_mark", "gas mark ½", "gas mark a half"),
        (
            180,
            "fan_celsius",
            "180 °C fan",
            "one hundred and eighty degrees Celsius in a fan oven",
        ),
        (-18, "celsius", "−18 °C", "minus eighteen degrees Celsius"),
        (400, "gram", "400 g", "four hundred grams"),
        (1, "us_cup", "1 cup", "one cup"),
        (3, "clove", "3 cloves", "three cloves"),
        (2, None, "2", "two"),
        (12, "us_fluid_ounce", "12 fl oz", "twelve fluid ounces"),
    ],
)
def test_amount(value: float, unit: str | None, for_eye: str, for_ear: str) -> None:
    assert shown(value, unit) == for_eye
    assert spoken(value, unit) == for_ear


def test_ranges() -> None:
    assert shown(2, "tablespoon", 3) == "2–3 tbsp"
    assert spoken(2, "tablespoon", 3) == "two to three tablespoons"


@pytest.mark.parametrize(
    ("value", "said"), [(180, "one eighty"), (200, "two hundred"), (205, "two oh five")]
)
def test_oven_temperatures_across_a_kitchen(value: float, said: str) -> None:
    assert spoken(value, "celsius", brief=True) == said


@pytest.mark.parametrize(
    ("seconds", "for_eye", "for_ear"),
    [
        (0, "0 s", "zero minutes"),
        (42, "40 s", "forty seconds"),
        (90, "1 min 30 s", "a minute and a half"),
        (150, "2 min 30 s", "two and a half minutes"),
        (720, "12 min", "twelve minutes"),
        (1800, "30 min", "half an hour"),
        (3600, "1 h", "an hour"),
        (4500, "1 h 15 min", "an hour and a quarter"),
        (5100, "1 h 25 min", "an hour and twenty-five minutes"),
        (9000, "2 h 30 min", "two and a half hours"),
    ],
)
def test_duration(seconds: float, for_eye: str, for_ear: str) -> None:
    assert duration_shown(seconds) == for_eye
    assert duration_spoken(seconds) == for_ear


@pytest.mark.parametrize(
    ("hour", "minute", "for_eye", "for_ear"),
    [
        (19, 10, "19:10", "ten past seven"),
        (19, 45, "19:45", "quarter to eight"),
        (7, 0, "07:00", "seven o'clock"),
        (18, 30, "18:30", "half past six"),
        (12, 45, "12:45", "quarter to one"),
        (23, 58, "23:58", "two minutes to twelve"),
        (13, 1, "13:01", "one minute past one"),
        (12, 0, "12:00", "noon"),
    ],
)
def test_time_of_day(hour: int, minute: int, for_eye: str, for_ear: str) -> None:
    assert clock_shown(time(hour, minute)) == for_eye
    assert clock_spoken(time(hour, minute)) == for_ear


@given(st.sampled_from(sorted(set(words().values()) - {"degree", "kelvin"})), st.floats(0, 1000))
def test_every_unit_can_be_shown_and_spoken(unit: str, value: float) -> None:
    assert shown(value, unit).strip()
    assert "_" not in shown(value, unit) + spoken(value, unit)
    assert not any(sign.isdigit() for sign in spoken(value, unit))


@given(st.floats(-1e9, 1e9))
def test_any_number_has_words(value: float) -> None:
    assert number_spoken(value)

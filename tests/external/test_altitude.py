"""Boiling points against published ones, and the two standards against their own check values."""

import pytest

from domain.boiling import (
    METRES_PER_FOOT,
    altitude_changes,
    boiling_points,
    boils_at_celsius,
    pressure_pa,
    saturation_kelvin,
)


def fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


@pytest.mark.parametrize(
    ("megapascals", "kelvin"),
    # IAPWS-IF97 (Revised Release 2007), region 4, table 36: verification of T_s(p)
    [(0.1, 372.755919), (1, 453.035632), (10, 584.149488)],
)
def test_if97_by_its_own_verification_values(megapascals, kelvin):
    assert saturation_kelvin(megapascals * 1e6) == pytest.approx(kelvin, abs=1e-6)


@pytest.mark.parametrize(
    ("metres", "hectopascals"),
    # ISO 2533:1975, standard atmosphere, by its formula
    [(0, 1013.25), (300, 977.7), (500, 954.6), (1000, 898.7), (1500, 845.6), (2000, 795.0),
     (2500, 746.8), (3000, 701.1)],
)  # fmt: skip
def test_standard_pressure(metres, hectopascals):
    assert pressure_pa(metres) / 100 == pytest.approx(hectopascals, abs=0.06)


@pytest.mark.parametrize(
    ("feet", "published_f", "within", "source"),
    [
        (2000, 208, 0.5, "USDA FSIS, Cooking at High Altitude (about)"),
        (5000, 203, 0.5, "Colorado State University Extension, Why elevation matters"),
        (7500, 198, 0.6, "foodsafety.gov, Safe Cooking at High Altitudes (about)"),
        (10000, 193.6, 0.3, "encyclopedia table citing NASA and NOAA"),
    ],
)
def test_published_boiling_points(feet, published_f, within, source):
    worked_out = fahrenheit(boils_at_celsius(feet * METRES_PER_FOOT))
    assert worked_out == pytest.approx(published_f, abs=within), source
    assert (feet, published_f) in {(row.feet, row.fahrenheit) for row in boiling_points()}


@pytest.mark.parametrize("metres", range(0, 3001, 250))
def test_the_cooks_rule_of_a_degree_for_300_metres(metres):
    # common practice: 100 − h/300 °C
    assert boils_at_celsius(metres) == pytest.approx(100 - metres / 300, abs=0.04)


def test_what_changes_and_where():
    rules = {row.from_metres: row.rule for row in altitude_changes()}
    assert "3,000 feet" in rules[0]  # USDA FSIS, Cooking at High Altitude
    assert "quarter longer" in rules[914]  # foodsafety.gov: add one fourth at 325 °F
    assert rules[762]  # USDA FSIS: above 2,500 ft (762 m) the air is much drier

"""Inside temperatures, reheating and cooling: the figure, who says it, and its caution."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from knowing import ask, named, us

from assistant.figures import UNKNOWN, degrees
from assistant.two_forms import to_say, to_show
from domain.settings import Settings
from domain.tables import safe_temperatures


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        # the strictest of USDA FSIS 73.9 °C and FSA 70 °C for 2 min
        ("what is the safe temperature for chicken", "Chicken: 74 °C (165 °F), says USDA FSIS."),
        ("how hot must ground beef be inside", "Ground beef: 71.1 °C (160 °F), says USDA FSIS."),
        ("internal temp of a stuffed turkey", "Stuffed turkey: 74 °C (165 °F), says USDA FSIS."),
        # FSA 70 °C for 2 min is stricter than FSIS 62.8 °C
        ("when is salmon done", "Salmon: 70 °C (158 °F) for 2 minutes, says the UK Food Standards"),
        ("what should the fridge be at", "Fridge: 4 °C (40 °F) or below, says foodsafety.gov."),
        ("what temperature for the freezer", "Freezer: −18 °C (0 °F) or below"),
        ("how warm must I keep it", "Hot food: 63 °C (145 °F) or above, says UK food law."),
        ("what is the danger zone", "Danger zone: 4 °C (40 °F) to 60 °C (140 °F)"),
    ],
)
def test_the_strictest_figure_by_name(text, shown):
    assert ask("safe_temperature", text).shown.startswith(shown)


def test_minced_and_whole_cuts_are_told_apart():
    reply = ask("safe_temperature", "safe temperature for pork")
    assert "Minced beef, pork, veal or lamb: 71.1 °C (160 °F)" in reply.shown
    assert "Steaks, chops and roasts" in reply.shown


def test_the_cooks_scale_is_spoken_and_both_are_shown():
    reply = ask("safe_temperature", "chicken", settings=us())
    assert "165 degrees Fahrenheit" in reply.spoken
    assert "Celsius" not in reply.spoken
    assert "165 °F (74 °C)" in reply.shown


def test_the_cooks_own_food_rules_come_first_and_the_rest_on_more():
    reply = ask("safe_temperature", "salmon", settings=us(food_rules="us"))
    assert reply.shown.startswith("Salmon: 145 °F (63 °C), says USDA FSIS.")
    assert "the UK Food Standards Agency" in reply.more.replace("The", "the")


def test_a_dish_is_looked_up_by_its_ingredients():
    text = "is the chicken and fennel done"
    ref = named("dish", "chicken-and-fennel", text, "chicken and fennel")
    assert "74 °C" in ask("safe_temperature", text, ref).shown


@pytest.mark.parametrize("text", ["safe temperature for kangaroo", "safe temperature"])
def test_an_unknown_food_is_said_to_be_unknown(text):
    reply = ask("safe_temperature", text)
    assert "do not have a published figure" in reply.spoken
    assert "check your local food-safety advice" in reply.spoken
    assert "°" not in reply.shown


def test_a_measuring_caution_and_the_sections_stand_with_the_figure():
    reply = ask("safe_temperature", "chicken")
    assert "Measure at the thickest part" in reply.spoken
    assert "Safe Minimum Internal Temperature Chart" in reply.shown
    assert "3-401.11(A)(3)" in reply.shown
    assert "Do not wash raw chicken" in reply.more


@given(st.sampled_from(safe_temperatures()), st.sampled_from(["metric", "us"]))
def test_no_minimum_is_ever_told_too_low(row, units):
    scene = type("", (), {"settings": Settings(units=units)})
    told = to_show(degrees(row.celsius, row.fahrenheit, scene))
    numbers = [float(word) for word in re.findall(r"[\d.]+", told)]
    celsius, fahrenheit = min(numbers), max(numbers)
    assert row.celsius <= celsius < row.celsius + 0.3
    assert row.fahrenheit <= fahrenheit < row.fahrenheit + 0.3
    assert to_say(degrees(row.celsius, row.fahrenheit, scene)).split()[0] in told


def test_reheating_names_the_figure_and_the_stricter_law():
    reply = ask("reheat", "how do I reheat the stew")
    assert reply.shown.startswith("Reheat to 74 °C (165 °F) right through, says USDA FSIS.")
    assert "82 °C (180 °F)" in reply.shown


def test_rice_is_reheated_once_only():
    assert ask("reheat", "can I reheat rice twice").spoken.startswith("No. Rice: once only")
    text = "how do I reheat that"
    plain = ask("reheat", text, named("dish", "white-rice", text, "that"))
    assert "once only, until steaming hot throughout" in plain.spoken


def test_rice_vinegar_is_not_rice():
    assert "once only" not in ask("reheat", "reheat the stew with rice vinegar").spoken


def test_a_microwave_needs_stirring_and_standing():
    assert "let it stand two minutes" in ask("reheat", "reheat in the microwave").spoken


def test_cooling_leftovers_and_rice():
    assert "1 to 2 hours" in ask("cool_down", "how do I cool the leftovers").spoken
    rice = ask("cool_down", "how do I cool rice")
    assert rice.spoken.startswith("Rice: cool within 1 hour, says the UK Food Standards Agency.")
    assert "57 °C (135 °F)" in ask("cool_down", "cool leftovers").more_shown
    assert "3-501.14(A)(1)" in rice.shown


def test_the_sentence_for_the_unknown_is_short_enough():
    assert len(UNKNOWN.split()) <= 15

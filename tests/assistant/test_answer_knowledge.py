"""Water and times of grains and pulses, altitude."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from knowing import METRIC, ask, named, us

BOIL_HARD = "boil hard for 30 minutes"


def test_water_for_a_mass_goes_by_its_density():
    # 300 g at 185 g a US cup (SR28 20444) is 383.7 ml; times 1.75 and 2 is 671 and 767 ml
    reply = ask("water_ratio", "how much water for 300 g of rice")
    assert reply.shown.startswith("670 ml to 770 ml of water.")
    assert "300 g of long-grain white rice, says Purdue Extension." in reply.shown


def test_water_for_a_volume_and_in_general():
    assert ask("water_ratio", "water for 1 cup of quinoa", settings=us()).shown.startswith(
        "2 cups of water."
    )
    general = ask("water_ratio", "how much water for rice")
    assert general.shown.startswith("Long-grain white rice: 1¾ to 2 parts water to one")


def test_a_grain_named_in_the_menu():
    text = "how much water does that need"
    ref = named("ingredient", "long-grain white rice", text, "that")
    assert "1¾ to 2 parts" in ask("water_ratio", text, ref).shown


@pytest.mark.parametrize("intent", ["water_ratio", "cook_time"])
@pytest.mark.parametrize("bean", ["kidney beans", "red kidney beans", "dried beans"])
def test_dried_beans_never_without_their_caution(intent, bean):
    reply = ask(intent, f"tell me about {bean}")
    assert BOIL_HARD in reply.spoken
    assert "Bad Bug Book" in reply.shown


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("how long do lentils take", "simmer 20 to 40 minutes, says USA Pulses."),
        ("how long does brown rice take", "simmer 45 to 50 minutes, says Purdue Extension."),
        ("how long for garbanzo beans", "simmer 90 to 120 minutes, says USA Pulses."),
        ("how long do carrots take", "about 20 minutes at 180 degrees Celsius."),
    ],
)
def test_times(text, spoken):
    assert spoken in ask("cook_time", text).spoken


def test_sources_that_differ_follow_on_more():
    assert "25 to 45 minutes" in ask("cook_time", "how long does brown rice take").more
    assert "120 to 150 minutes" in ask("cook_time", "how long do chickpeas take").more


def test_meat_goes_by_temperature_never_by_a_guessed_time():
    reply = ask("cook_time", "how long does chicken take")
    assert "no published time" in reply.spoken
    assert "74 °C (165 °F)" in reply.shown


@pytest.mark.parametrize("intent", ["water_ratio", "cook_time"])
def test_an_unknown_food_is_unknown(intent):
    assert "no published figure for moonrock" in ask(intent, "moonrock").spoken


@pytest.mark.parametrize(
    ("text", "settings", "shown"),
    [
        ("what changes here", replace(METRIC, altitude_m=1500.0), "At 1,500 metres water boils at"),
        ("where does water boil at 2000 m", METRIC, "At 2,000 metres water boils at 93 °C"),
        ("water boils at what in 5,000 feet", us(), "At 5,000 feet water boils at 203 °F (95 °C)"),
        ("altitude", replace(METRIC, altitude_m=0.0), "At 0 metres water boils at 100 °C (212 °F)"),
    ],
)  # fmt: skip
def test_altitude(text, settings, shown):
    assert ask("altitude", text, settings=settings).shown.startswith(shown)


def test_no_kitchen_stands_above_everest():
    assert ask("altitude", "at 20000 metres").spoken.startswith("No kitchen stands there")


INTENTS = [
    "swap", "safe_temperature", "keeps", "reheat", "cool_down", "allergens", "who_cannot",
    "water_ratio", "cook_time", "altitude",
]  # fmt: skip
NASTY = [
    "",
    "🍚🔥",
    "1/0 cups",
    "1e309 grams of rice",
    "minus 3 eggs",
    "rice " * 2000,
    "鍋",
    "a" * 10_000,
]


@pytest.mark.parametrize("intent", INTENTS)
@pytest.mark.parametrize("text", NASTY, ids=range(len(NASTY)))
def test_nonsense_is_answered_shortly(intent, text):
    assert ask(intent, text).spoken


@given(
    st.sampled_from(INTENTS), st.text(max_size=60), st.sampled_from(["", "rice", "eggs", "nuts"])
)
def test_any_words_are_answered_shortly(intent, text, food):
    assert ask(intent, f"{text} {food}").spoken

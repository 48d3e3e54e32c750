"""The unit engine: spellings, readings by country, conversion, and what it refuses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.densities import weight_of
from domain.errors import ImpossibleAmount, IncompatibleUnits, NeedsDensity, UnknownUnit
from domain.units import (
    REGISTRY,
    convert,
    everyday,
    kind_of,
    plain,
    refuse_impossible,
    unit,
    words,
)

UNITS_OF_FLOUR = ["gram", "ounce", "us_cup", "metric_cup", "imperial_pint", "us_fluid_ounce"]
NAMES = sorted(set(words().values()))


def family(kind: str) -> list[str]:
    return [name for name in NAMES if kind_of(name) == kind and name != "degree"]


@pytest.mark.parametrize(
    ("word", "name"),
    [
        ("Tbsp.", "tablespoon"),
        ("T", "tablespoon"),
        ("t", "teaspoon"),
        ("cups", "cup"),
        ("fl. oz.", "fluid_ounce"),
        ("fluid ounces", "fluid_ounce"),
        ("kilos", "kilogram"),
        ("lbs", "pound"),
        ("L", "litre"),
        ("liters", "litre"),
        ("°C", "celsius"),
        ("degrees F", "fahrenheit"),
        ("gas mark", "gas_mark"),
        ("fan", "fan_celsius"),
        ("UK pints", "imperial_pint"),
        ("inches", "inch"),
        ("mins", "minute"),
        ("tins", "can"),
    ],
)
def test_spelling(word: str, name: str) -> None:
    assert plain(word) == name


@pytest.mark.parametrize("word", sorted(words()))
def test_every_spelling_resolves_and_has_a_kind(word: str) -> None:
    assert plain(word) in NAMES
    assert kind_of(word)


def test_countries_read_the_same_word_their_own_way() -> None:
    assert [unit("cup", m) for m in ("us", "uk", "metric")] == ["us_cup"] + ["metric_cup"] * 2
    assert unit("tablespoon", "au") == "australian_tablespoon"
    assert unit("pint", "uk") == "imperial_pint"
    assert unit("degrees", "us") == "fahrenheit"
    assert everyday(unit("fl oz", "us")) == "fluid_ounce"


def test_prefixes_are_no_units() -> None:
    """With pint's own vocabulary "kcup" and "1 pinch" (a pico-inch) would be units."""
    for word in ("kcup", "mcup", "picoinch", "tesla", ""):
        with pytest.raises(UnknownUnit):
            plain(word)


def test_unknown_unit_offers_the_nearest() -> None:
    with pytest.raises(UnknownUnit) as caught:
        plain("tabelspoons")
    assert "tablespoon" in caught.value.nearest


@given(st.floats(0.001, 5), st.data())  # ten miles are more than any kitchen could mean
def test_round_trip(value: float, data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(["mass", "volume", "length", "duration"]))
    here, there = (data.draw(st.sampled_from(family(kind))) for _ in range(2))
    back = convert(convert(value, here, there).value, there, here).value
    assert math.isclose(back, value, rel_tol=1e-9)


@given(st.floats(115, 260), st.data())
def test_oven_temperatures_round_trip(celsius: float, data: st.DataObject) -> None:
    there = data.draw(st.sampled_from(family("temperature")))
    back = convert(convert(celsius, "celsius", there).value, there, "celsius").value
    assert math.isclose(back, celsius, abs_tol=1e-6)


@given(st.sampled_from(NAMES), st.sampled_from(NAMES))
def test_dimensions_are_kept_apart(here: str, there: str) -> None:
    weighed = {"mass", "volume", "count"}
    kinds = {kind_of(here), kind_of(there)}
    if len(kinds) == 2 and not kinds <= weighed and "degree" not in (here, there):
        with pytest.raises(IncompatibleUnits):
            convert(1, here, there, ingredient="water")


def test_a_difference_is_no_temperature() -> None:
    with pytest.raises(IncompatibleUnits):
        convert(20, "delta_celsius", "fahrenheit")


@pytest.mark.parametrize(
    ("value", "word"),
    [
        (-2, "cups"),
        (1e6, "kilos"),
        (-300, "celsius"),
        (5000, "fahrenheit"),
        (math.nan, "gram"),
        (math.inf, "litre"),
        (1e308, "day"),
        (0, "gas mark"),
        (15, "gas mark"),
    ],
)
def test_impossible_amounts_are_refused(value: float, word: str) -> None:
    with pytest.raises(ImpossibleAmount) as caught:
        refuse_impossible(value, word)
    assert caught.value.why


def test_what_a_kitchen_does_hold_is_not_refused() -> None:
    for value, word in (
        (0, "gram"),
        (-18, "celsius"),
        (20, "litre"),
        (3, "day"),
        (-10, "delta_celsius"),
    ):
        refuse_impossible(value, word)


def test_volume_to_mass_goes_by_the_ingredient() -> None:
    flour = convert(2, "cups", "g", measures="us", ingredient="flour")
    assert flour.value == pytest.approx(250)
    assert flour.source == "USDA SR28, NDB 20081"
    assert convert(250, "g", "cups", measures="us", ingredient="flour").value == pytest.approx(2)


def test_pieces_have_weights() -> None:
    assert convert(3, "cloves", "g", ingredient="garlic").value == 9
    assert convert(2, "piece", "g", ingredient="onions").value == 220
    assert convert(1, "stick", "g", ingredient="butter").value == pytest.approx(113.398, abs=1e-3)
    with pytest.raises(NeedsDensity):
        convert(2, "cloves", "g", ingredient="flour")


@given(st.floats(0.1, 20), st.sampled_from(UNITS_OF_FLOUR), st.sampled_from(UNITS_OF_FLOUR))
def test_there_and_back_through_a_weight(value: float, here: str, there: str) -> None:
    once = convert(value, here, there, ingredient="flour")
    back = convert(once.value, there, here, ingredient="flour")
    assert math.isclose(back.value, value, rel_tol=1e-9)


@given(st.floats(0.1, 20), st.floats(0.1, 20), st.sampled_from(UNITS_OF_FLOUR))
def test_more_of_it_weighs_more(value: float, more: float, here: str) -> None:
    less, both = (convert(v, here, "gram", ingredient="honey").value for v in (value, value + more))
    assert less < both


def test_names_of_both_countries_are_the_same_food() -> None:
    for uk, us in (
        ("courgette", "zucchini"),
        ("aubergine", "eggplant"),
        ("rocket", "arugula"),
        ("cornflour", "cornstarch"),
        ("icing sugar", "powdered sugar"),
        ("spring onions", "scallions"),
        ("bicarbonate of soda", "baking soda"),
    ):
        assert weight_of(uk) == weight_of(us)


def test_a_slip_of_spelling_is_forgiven_but_not_another_food() -> None:
    assert weight_of("zuchini").name == "courgette"
    assert weight_of("finely chopped onions").name == "onion"
    with pytest.raises(NeedsDensity) as caught:
        weight_of("oat flour")
    assert caught.value.nearest


def test_preparation_changes_the_weight() -> None:
    assert weight_of("icing sugar, sifted").measures["cup"] == 100
    assert weight_of("icing sugar").measures["cup"] == 120
    assert weight_of("brown sugar, packed").measures["cup"] == 220


def test_a_definition_cannot_be_given_twice() -> None:
    from pint.errors import RedefinitionError

    with pytest.raises(RedefinitionError):
        REGISTRY.define("cup = 240 * millilitre")

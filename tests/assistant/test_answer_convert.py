"""Amounts in other units, as a cook can measure them: against exact arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from kitchen import SmallKitchen, equipment, ingredient, kitchen

LONGEST_FIRST = 15


@pytest.fixture
def here() -> SmallKitchen:
    return kitchen()


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("convert 400 g to ounces", "400 g = 14.1 oz"),
        ("2-3 tablespoons in millilitres", "2–3 tbsp = 30–45 ml"),
        ("what is 63 celsius in fahrenheit", "63 °C = 145 °F"),  # the inside of food: no dial
        ("what is 180 celsius in fahrenheit", "180 °C = 356 °F; set 350 °F"),
        ("gas mark 4 in celsius", "gas mark 4 = 177 °C; set 180 °C"),
        ("gas mark 4 in a fan oven", "gas mark 4 = 157 °C fan; set 160 °C fan"),
        ("180 fan in a normal oven", "180 °C fan = 200 °C"),
        ("conventional 200 what fan", "200 °C = 180 °C fan"),
        ("what's 350", "350 °F = 177 °C; set 180 °C"),
        ("a stick of butter", "1 stick of butter = 113 g"),
        ("100 ml in tablespoons", "100 ml ≈ 6½ tbsp"),  # 6.67; no set has two thirds of one
        ("how many ml in an imperial pint", "1 pt = 568 ml"),
    ],
)
def test_conversions(here: SmallKitchen, text: str, answer: str) -> None:
    assert here.ask("convert", text).shown == answer


@pytest.mark.parametrize(
    ("text", "equation"),
    [
        ("two cups of flour in grams", "2 cups of flour = 264 g"),  # 2 × 250 ml × 125/236.588 g/ml
        ("200 g flour in cups", "200 g of flour = 1½ cups"),  # 1.514
        ("a cup of sifted flour in grams", "1 cup of sifted flour = 120 g"),  # 250 × 113.4/236.588
        ("cup of grated cheese in grams", "1 cup of grated cheese = 119 g"),  # 250 × 113/236.588
        ("a gill in ml", "1 gill = 142 ml"),  # a quarter of an imperial pint
    ],
)
def test_the_country_of_a_measure_is_told(here: SmallKitchen, text: str, equation: str) -> None:
    first, second = here.ask("convert", text).shown.split("\n")
    assert first == equation
    assert second.startswith(("The cup here is metric", "The gill here is imperial"))


def test_cups_are_those_of_the_cook() -> None:
    # 200 g / 125 g is 1.6 US cups: 1½ cups and 1½ tablespoons are 1.594
    reply = kitchen(units="us").ask("convert", "200 g flour in cups")
    assert reply.shown.startswith("200 g of flour = 1½ cups and 1½ tbsp\nThe cup here is American")


def test_what_no_cup_measures_is_told_in_spoons(here: SmallKitchen) -> None:
    reply = here.ask("convert", "1½ tbsp olive oil in cups")
    assert reply.spoken == "Less than a quarter of a cup: one and a half tablespoons."


def test_the_error_is_told_where_baking_notices() -> None:
    # 37.5 g of flour is 0.3 US cups: ¼ cup and 1 tablespoon are 0.3125, 4% more
    us = kitchen(units="us")
    assert "4% too much" in us.ask("convert", "37.5 g flour in cups").shown
    assert "too much" not in us.ask("convert", "75 ml water in cups").shown


def test_what_no_cake_depends_on_is_told_in_one_measure(here: SmallKitchen) -> None:
    # 100 g of parmesan is 0.946 metric cups, five per cent less than one
    assert here.ask("convert", "100 g of parmesan in cups").spoken.startswith("About one cup.")


def test_a_preparation_without_a_figure_is_told(here: SmallKitchen) -> None:
    more = here.ask("convert", "a cup of melted butter in grams").more
    assert more.endswith("I have no figure for it melted.")


def test_both_countries_names_are_the_same_food(here: SmallKitchen) -> None:
    for uk, us in (("courgette", "zucchini"), ("icing sugar", "powdered sugar")):
        told = [here.ask("convert", f"a cup of {food} in grams").measured for food in (uk, us)]
        grams = [here.ask("convert", f"a cup of {food} in grams").spoken for food in (uk, us)]
        assert grams[0] == grams[1]
        assert all(told)


def test_a_range_is_kept_through_a_follow_up(here: SmallKitchen) -> None:
    here.ask("convert", "2-3 tablespoons in millilitres")
    assert here.ask("scale_amount", "double that").shown == "4–6 tbsp."


@pytest.mark.parametrize("text", ["convert minus two cups to ml", "a million kilos in pounds"])
def test_impossible_amounts_are_refused_kindly(here: SmallKitchen, text: str) -> None:
    reply = here.ask("convert", text)
    assert "cannot be right" in reply.shown
    assert reply.measured is None


@pytest.mark.parametrize("food", ["gravel", "rye bread", "oat flour", "butter beans"])
def test_a_food_without_a_density_is_never_weighed_as_another(
    here: SmallKitchen, food: str
) -> None:
    assert f"no weight per cup for {food}" in here.ask("convert", f"two cups of {food} in g").shown


def test_a_food_told_anew_is_not_the_one_told_before(here: SmallKitchen) -> None:
    here.ask("how_much", "how much butter", ingredient("butter"))
    assert "butter" not in here.ask("convert", "sugar in cups").shown


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("convert 3 blorps to grams", "I do not know the unit “blorps”"),
        ("convert two cupps to grams", "did you mean cup"),
        ("two cups in grams", "Of what?"),
    ],
)
def test_what_is_missing_is_named(here: SmallKitchen, text: str, answer: str) -> None:
    assert answer in here.ask("convert", text).shown


def test_water_for_a_grain_is_its_ratio(here: SmallKitchen) -> None:
    asked = "how much water for a cup of bulgur", "how much is a cup of water in grams"
    told = [here.ask("convert", text).shown for text in asked]
    assert told[0].startswith("500 ml of water.")
    assert told[1].startswith("1 cup of water = 250 g")


def test_a_temperature_on_a_gas_oven_is_told_as_its_mark(here: SmallKitchen) -> None:
    # 350 °F is mark 4: 275 + 25 × (4 - 1)
    reply = here.ask("convert", "what is 350 fahrenheit on a gas oven", equipment("oven"))
    assert reply.shown == "350 °F = gas mark 4"


KITCHENS = {units: kitchen(units=units) for units in ("us", "uk", "metric", "au")}
FOODS = ["flour", "sugar", "butter", "honey", "rice", "onions", "spinach", "milk", "cocoa", "salt"]
UNITS = ["grams", "ounces", "cups", "tablespoons", "teaspoons", "millilitres", "pounds", "pints"]


@given(
    st.sampled_from(sorted(KITCHENS)),
    st.floats(0.01, 900).map(lambda value: float(f"{value:.3g}")),
    st.sampled_from(UNITS),
    st.sampled_from(UNITS),
    st.sampled_from(FOODS),
)
def test_any_conversion_is_short_and_as_typed_so_spoken(
    units: str, value: float, here: str, there: str, food: str
) -> None:
    reply = KITCHENS[units].ask("convert", f"{value:g} {here} of {food} in {there}")
    assert len(reply.spoken.split(". ")[0].split()) <= LONGEST_FIRST + 5  # numbers said in full
    assert reply.shown
    assert "about about" not in reply.spoken.lower()
    assert "⟦" not in reply.spoken + reply.shown + reply.more

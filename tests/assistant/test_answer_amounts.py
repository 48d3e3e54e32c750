"""How much, in other units, scaled: against the dish files and exact arithmetic."""

import pytest
from kitchen import dish, ingredient, kitchen

from assistant.meaning import Ref

RICE = ingredient("long-grain white rice")


@pytest.fixture
def here():
    return kitchen()


def test_how_much_is_what_the_dish_says(here):
    assert here.ask("how_much", "how much rice", RICE).shown == "300 g long-grain white rice."


def test_how_much_is_scaled_to_the_guests(here):
    here.ask("change_servings", "we are six")
    # 300 g for four is 450 g for six
    assert here.ask("how_much", "how much rice", RICE).shown == "450 g long-grain white rice."


def test_and_in_ounces_follows_up(here):
    here.ask("how_much", "how much rice", RICE)
    # 300 g / 28.349523125 g = 10.58 oz
    assert here.ask("convert", "and in ounces").shown.endswith("= 10.6 oz")


def test_half_of_that(here):
    here.ask("how_much", "how much rice", RICE)
    assert here.ask("scale_amount", "half of that").shown == "150 g."


def test_the_same_food_in_several_dishes_is_added_up(here):
    reply = here.ask("how_much", "how much salt", ingredient("salt"))
    assert "in all" in reply.shown
    assert reply.shown.count("salt for") > 1


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("convert 400 g to ounces", "400 g = 14.1 oz"),
        ("what is 180 celsius in fahrenheit", "180 °C = 356 °F"),
        ("two cups of flour in grams", "2 cups of flour = 264 g"),  # 2 × 250 ml × 125/236.588 g/ml
        ("gas mark 4 in celsius", "gas mark 4 = 177 °C"),
    ],
)
def test_conversions(here, text, answer):
    assert here.ask("convert", text).shown == answer


@pytest.mark.parametrize("text", ["convert minus two cups to ml", "a million kilos in pounds"])
def test_impossible_amounts_are_refused_kindly(here, text):
    reply = here.ask("convert", text)
    assert "cannot be right" in reply.shown
    assert reply.measured is None


def test_volume_of_a_food_without_a_density_says_so(here):
    reply = here.ask("convert", "two cups of gravel in grams")
    assert "no weight per cup for gravel" in reply.shown


def test_left_to_add_shrinks_as_steps_begin(here):
    rice = dish("white-rice", "the rice")
    assert "water" in here.ask("left_to_add", "what have I left to add", rice).shown
    here.until("white-rice/simmer the rice")
    assert here.ask("left_to_add", "what have I left to add", rice).shown == "Everything is in."


def test_another_tin_goes_by_area(here):
    # (20 / 25)² = 0.64
    reply = here.ask("pan_swap", "I have a 20 cm tin instead of 25 cm")
    assert reply.shown.startswith("× 0.64")


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("convert 3 blorps to grams", "I do not know the unit “blorps”"),
        ("convert two cupps to grams", "did you mean cup"),
    ],
)
def test_an_unknown_unit_is_named_with_the_nearest(here, text, answer):
    assert answer in here.ask("convert", text).shown


def test_an_unknown_ingredient_is_named_with_the_nearest(here):
    assert here.ask("how_much", "how much saffron do I need").shown == (
        "Saffron is not in this menu."
    )
    assert "Did you mean walnuts" in here.ask("how_much", "how many walnutts").shown


def test_a_temperature_on_a_gas_oven_is_told_as_its_mark(here):
    oven = Ref("oven", "equipment", "oven", 1.0, 0, 0)
    # 350 °F is mark 4: 275 + 25 × (4 - 1)
    reply = here.ask("convert", "what is 350 fahrenheit on a gas oven", oven)
    assert reply.shown == "350 °F = gas mark 4"

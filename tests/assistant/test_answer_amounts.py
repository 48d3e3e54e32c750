"""How much, in other units, scaled: against the dish files and exact arithmetic."""

import pytest
from kitchen import dish, ingredient, kitchen

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


def test_left_to_add_shrinks_as_steps_begin(here):
    rice = dish("white-rice", "the rice")
    assert "water" in here.ask("left_to_add", "what have I left to add", rice).shown
    here.until("white-rice/simmer the rice")
    assert here.ask("left_to_add", "what have I left to add", rice).shown == "Everything is in."


def test_an_unknown_ingredient_is_named_with_the_nearest(here):
    assert here.ask("how_much", "how much saffron do I need").shown == (
        "Saffron is not in this menu."
    )
    assert "Did you mean walnuts" in here.ask("how_much", "how many walnutts").shown


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("double two to three tablespoons", "4–6 tbsp."),
        ("three times 40 grams", "120 g."),
        ("divide 400 grams by five", "80 g."),
        # half of ⅓ of 250 ml is 41.7 ml; 2½ × 15 + ¾ × 5 is 41.25
        ("half of a third of a cup", "About 2½ tbsp and ¾ tsp."),
        ("a third of a cup", "⅓ cup = 83 ml"),  # an amount, and no factor
    ],
)
def test_an_amount_is_scaled_as_it_can_be_measured(here, text, answer):
    assert here.ask("scale_amount", text).shown.startswith(answer)


def test_water_for_a_grain_is_no_water_of_the_menu(here):
    # the Whole Grains Council gives two volumes of water to one of bulgur
    reply = here.ask("how_much", "how much water for a cup of bulgur", ingredient("water"))
    assert reply.shown.startswith("500 ml of water.")


def test_how_much_a_measure_weighs_is_a_conversion(here):
    # 243 g a US cup is no matter here: a large egg without its shell is 50 g
    assert here.ask("how_much", "how much does an egg weigh").shown == "1 large egg: about 50 g"

"""Which amount, of which food, and in what."""

import pytest
from kitchen import SmallKitchen, ingredient, kitchen

from assistant.asked_amount import PIECES, Asked, asked_amount

HERE = kitchen()


@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("how many onions is 300 grams", Asked(300, "gram", "onions", target=PIECES)),
        ("how many cloves of garlic is 30 g", Asked(30, "gram", "garlic", target="clove")),
        ("three large eggs in grams", Asked(3, "", "eggs", size="large", target="gram")),
        ("2 to 3 big onions in grams", Asked(2, "", "onions", 3, "large", "gram")),
        ("an egg in grams", Asked(1, "", "egg", target="gram")),
        ("how much does a small carrot weigh", Asked(1, "", "carrot", size="small")),
        ("200 g flour in cups", Asked(200, "gram", "flour", target="cup")),
        ("1½ tbsp of the olive oil in cups", Asked(1.5, "tablespoon", "olive oil", target="cup")),
        ("grams in a bunch of parsley", Asked(1, "bunch", "parsley", target="gram")),
        ("cup of grated cheese in grams", Asked(1, "cup", "grated cheese", target="gram")),
        ("how much butter is a cup", Asked(1, "cup", "butter")),
        ("how much butter is a stick", Asked(1, "stick", "butter")),
        ("zucchini how many is 500 g", Asked(500, "gram", "zucchini", target=PIECES)),
        ("what does sifted flour weigh per cup", Asked(1, "cup", "sifted flour")),
        ("three times 40 grams", Asked(40, "gram")),
    ],
)
def test_read_from_the_question(text: str, asked: Asked) -> None:
    assert asked_amount(HERE.understood("convert", text), HERE.scene()) == asked


def test_the_amount_in_the_air_is_of_the_food_told() -> None:
    here: SmallKitchen = kitchen()
    assert asked_amount(here.understood("convert", "in cups"), here.scene()) is None
    here.ask("convert", "two to three cups of flour in grams")
    asked = asked_amount(here.understood("convert", "and in ounces"), here.scene())
    assert asked == Asked(2, "metric_cup", "flour", 3, target="ounce")
    assert asked_amount(here.understood("convert", "sugar in cups"), here.scene()) is None
    rice = ingredient("long-grain white rice")
    asked = asked_amount(here.understood("convert", "the rice in cups", rice), here.scene())
    assert asked == Asked(300, "gram", "long-grain white rice", target="cup")

"""The example that schema.org itself gives of a Recipe.

Source: schema.org, https://schema.org/Recipe, example 1 (JSON-LD); its repository
schemaorg/schemaorg, data/examples.txt, "Mom's World Famous Banana Bread". The values are the
example's; its instructions are shortened there ("...") and here to two of its sentences.
"""

import json

import pytest

from assistant.draft import draft_of
from assistant.recipe_page import recipes_in

EXAMPLE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "author": "John Smith",
    "cookTime": "PT1H",
    "datePublished": "2009-05-08",
    "image": "bananabread.jpg",
    "recipeIngredient": ["3 or 4 ripe bananas, smashed", "1 egg", "3/4 cup of sugar"],
    "interactionStatistic": {
        "@type": "InteractionCounter",
        "interactionType": "https://schema.org/Comment",
        "userInteractionCount": "140",
    },
    "name": "Mom's World Famous Banana Bread",
    "nutrition": {"@type": "NutritionInformation", "calories": "240 calories"},
    "prepTime": "PT15M",
    "recipeInstructions": (
        "Preheat the oven to 350 degrees. Mix in the ingredients in a bowl. Add the flour last."
        " Pour the mixture into a loaf pan and bake for one hour."
    ),
    "recipeYield": "1 loaf",
    "suitableForDiet": "https://schema.org/LowFatDiet",
}


@pytest.fixture
def dish(tmp_path):
    page = f'<html><script type="application/ld+json">{json.dumps(EXAMPLE)}</script></html>'
    file = tmp_path / "bread.html"
    file.write_text(page)
    (recipe,) = recipes_in(file)
    assert (recipe.prep_s, recipe.cook_s, recipe.unread) == (15 * 60, 60 * 60, ())
    return draft_of(recipe, "bread").dish


def test_its_ingredients(dish):
    found = {one.name: (one.value, one.high, one.unit, one.prep) for one in dish.ingredients}
    assert found == {
        "ripe bananas": (3, 4, None, "smashed"),
        "egg": (1, None, None, ""),
        "sugar": (0.75, None, "us_cup", ""),
    }


def test_its_oven_and_its_hour(dish):
    baking = dish.steps[-1]
    assert baking.name == "bake"
    assert baking.duration.likely_s == 3600
    assert baking.attention == "unattended"
    (oven,) = [use for use in baking.uses if use.what == "oven"]
    assert oven.celsius == pytest.approx((350 - 32) * 5 / 9, abs=0.1)
    assert not any("preheat" in step.say.lower() for step in dish.steps)  # the plan does that


def test_a_loaf_is_no_number_of_servings(dish):
    assert any(one.field == "serves" and "1 loaf" in one.why for one in dish.guesses)

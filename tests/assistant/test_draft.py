"""A draft is a dish that our loader reads and our planner plans, and it tells its guesses."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.draft import draft_of
from assistant.recipe_page import Direction, Recipe, recipes_in
from domain.cookbook import load_dish, load_kitchen, names
from domain.errors import FileProblem
from domain.kitchen import check
from domain.menu import Dish, Menu
from domain.phrasing import shown
from domain.recipe_words import recipe_words
from scheduling.compose import Timetable, plan_menu

POT = Recipe(
    path="pot.html",
    line=1,
    title="Chicken and barley pot",
    yields=("4", "4 servings"),
    ingredients=(
        "8 chicken thighs", "2 leeks, sliced", "200 g pearl barley", "1 litre chicken stock",
    ),
    directions=(
        Direction("Preheat the oven to 180C. Brown the chicken in a casserole for 10 minutes."),
        Direction("Add the leeks, barley and stock and bring to the boil."),
        Direction("Cover and bake for 40-45 minutes."),
        Direction("Leave to stand for 5 minutes. Be careful: the lid is very hot. Serve."),
    ),
    prep_s=300,
    cook_s=3600,
    url="https://netloft.example/pot",
)  # fmt: skip


def why(dish: Dish, where: str, field: str) -> str:
    return next((one.why for one in dish.guesses if (one.where, one.field) == (where, field)), "")


def test_the_draft_is_planned_as_it_is():
    dish = draft_of(POT, "pot").dish
    kitchen = load_kitchen("home")
    menu = Menu("pot", dish.title, dish.serves, (dish,))
    check(menu, kitchen)
    made = plan_menu(menu, kitchen, now=0.0, wanted_at=None)
    assert isinstance(made, Timetable)
    assert set(made.slots) >= {step.key for step in dish.steps}


def test_what_the_recipe_says_is_no_guess_and_the_rest_is():
    draft = draft_of(POT, "pot")
    dish = draft.dish
    assert dish.serves == 4
    assert not why(dish, "", "serves")
    assert why(dish, "bake", "takes") == ""
    assert "Preheat the oven to 180C." in why(dish, "bake", "uses")
    assert why(dish, "serve", "takes") == "no time is said; usual for “serve”"
    assert dish.step("bake").duration.low_s == 2400
    assert dish.step("bring to the boil").gate is not None
    assert "https://netloft.example/pot" in draft.text.splitlines()[0]


def test_the_cautions_of_every_chicken_come_with_it():
    dish = draft_of(POT, "pot").dish
    cautions = {step.name: " ".join(step.cautions) for step in dish.steps}
    assert "Do not wash raw chicken" in cautions["brown the chicken"]
    assert "74 °C, 165 °F (USDA FSIS)" in cautions["bake"]
    assert "the lid is very hot" in cautions["leave to stand"]
    assert sum("wash raw chicken" in line for line in cautions.values()) == 1


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("250 g dried red kidney beans, soaked", True),
        ("2 cups kidney beans, rinsed", True),
        ("200 g green beans", False),
        ("1 vanilla bean", False),
        ("1 x 400 g tin red kidney beans, drained", False),
        ("250 g lentils", False),
    ],
)
def test_dried_kidney_beans_have_theirs_and_tinned_ones_none(line, told):
    recipe = Recipe(
        "b.html", 1, "Beans", ("4",), (line,), (Direction("Boil the beans for 1 hour."),)
    )
    cautions = [line for step in draft_of(recipe, "beans").dish.steps for line in step.cautions]
    assert any("boil hard for 30 minutes" in caution for caution in cautions) is told


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("8 chicken thighs (you can use drumsticks)", True),
        ("4 chicken thighs, to be cooked from cold", True),
        ("150 g cooked chicken, shredded", False),
    ],
)
def test_meat_is_raw_unless_its_name_or_its_tin_says_otherwise(line, told):
    boil = (Direction("Fry the chicken in a pan for 20 minutes."),)
    dish = draft_of(Recipe("c.html", 1, "Chicken", ("4",), (line,), boil), "chicken").dish
    assert any("°F" in caution for step in dish.steps for caution in step.cautions) is told


def test_chicken_stock_needs_no_thermometer():
    recipe = Recipe(
        "s.html", 1, "Soup", ("4",), ("1 litre chicken stock",),
        (Direction("Simmer the stock for 10 minutes."),),
    )  # fmt: skip
    assert draft_of(recipe, "soup").dish.steps[0].cautions == ()


@pytest.mark.parametrize(
    ("yields", "serves", "guess"),
    [
        (("4",), 4, ""),
        (("Serves 6",), 6, ""),
        (("6 servings",), 6, ""),
        (("serves four people",), 4, ""),
        (("Serves 4-6",), 4, "the fewer of “Serves 4-6”"),
        (("1 loaf",), 4, "the recipe makes “1 loaf”"),
        (("12", "12 biscuits"), 4, "the recipe makes “12”, “12 biscuits”"),
        ((), 4, "the recipe does not say"),
        (("1e309",), 4, "the recipe makes “1e309”"),
        (("500",), 4, "the recipe makes “500”"),
    ],
)
def test_for_how_many(yields, serves, guess):
    recipe = Recipe("e.html", 1, "Eggs", yields, ("4 eggs",), (Direction("Boil for 8 minutes."),))
    dish = draft_of(recipe, "eggs").dish
    assert dish.serves == serves
    assert why(dish, "", "serves") == guess


@given(st.integers(1, 100), st.sampled_from(["{}", "Serves {}", "{} servings", "for {} people"]))
@settings(max_examples=30, deadline=None)
def test_any_number_of_servings(number, form):
    recipe = Recipe(
        "e.html", 1, "Eggs", (form.format(number),), (), (Direction("Boil for 8 minutes."),)
    )
    assert draft_of(recipe, "eggs").dish.serves == number


def test_times_that_disagree_are_told():
    # Ten minutes' boiling and 1-2 min to serve, where the recipe says two hours.
    recipe = Recipe(
        "e.html", 1, "Eggs", ("4",), ("4 eggs",), (Direction("Boil for 10 minutes. Serve."),),
        cook_s=7200,
    )  # fmt: skip
    draft = draft_of(recipe, "eggs")
    assert "its cooking comes to 10 min, the recipe says 2 h" in draft.disagrees
    assert draft.disagrees in why(draft.dish, "", "steps")
    agreed = Recipe(
        "e.html", 1, "Eggs", ("4",), ("4 eggs",), (Direction("Boil for 10 minutes. Serve."),),
        cook_s=600, total_s=700,
    )  # fmt: skip
    assert draft_of(agreed, "eggs").disagrees == ""


@pytest.mark.parametrize(
    ("language", "line", "measures"),
    [
        ("en-US", "1 cup milk", "us"),
        ("en-GB", "1 cup milk", "uk"),
        ("en_AU", "1 tbsp milk", "au"),
        ("", "1 cup milk", "us"),
        ("", "250 ml milk", "metric"),
    ],
)
def test_whose_cups(language, line, measures):
    recipe = Recipe(
        "m.html", 1, "Milk", ("4",), (line,), (Direction("Warm the milk."),), language=language
    )
    dish = draft_of(recipe, "milk").dish
    assert (why(dish, "", "measures") != "") is (measures != "metric")
    wanted = {"us": "us_cup", "uk": "metric_cup", "au": "australian_tablespoon"}
    assert dish.ingredients[0].unit == wanted.get(measures, "millilitre")


def test_the_same_ingredient_twice_and_lines_that_are_none():
    recipe = Recipe(
        "b.html", 1, "Butter", ("4",), ("50 g butter", "20 g butter", "For the top:"),
        (Direction("Melt the butter."),), tools=("Food mixer", "Saucepan"),
    )  # fmt: skip
    dish = draft_of(recipe, "butter").dish
    assert [one.name for one in dish.ingredients] == ["butter", "more butter"]
    assert dish.unread == ("For the top:", "Tool: Food mixer", "Tool: Saucepan")


def test_preparation_in_the_ingredient_lines_takes_hands_and_time():
    first = draft_of(POT, "pot").dish.steps[0]
    slicing = recipe_words().verbs["slice"].takes
    assert first.say == "Prepare the ingredients. Leeks: sliced."
    assert first.duration.low_s == slicing.low_s
    assert first.ingredients == ("leeks",)


def test_what_is_prepared_for_the_day_before_is_prepared_then():
    recipe = Recipe(
        "p.html", 1, "Pork", ("4",), ("500 g pork, sliced", "1 clove garlic, crushed"),
        (Direction("Rub the pork with garlic. Chill overnight. Fry the pork for 5 minutes."),),
    )  # fmt: skip
    dish = draft_of(recipe, "pork").dish
    assert dish.ahead[0] == "Prepare the ingredients. Garlic: crushed."
    assert dish.steps[0].say == "Prepare the ingredients. Pork: sliced."


def test_the_inside_temperature_is_said_where_the_meat_is_cooked_and_not_at_the_gravy():
    recipe = Recipe(
        "b.html", 1, "Beef", ("4",), ("1.5 kg topside of beef", "1 tbsp plain flour"),
        (
            Direction("Roast the beef in a roasting tin at 200 C for 1 hour. Rest for 15 minutes."),
            Direction("Put the roasting tin over a high heat and stir in the flour."),
            Direction("Simmer for 5 minutes. Carve the beef."),
        ),
    )  # fmt: skip
    told = [step.name for step in draft_of(recipe, "beef").dish.steps if "°F" in str(step.cautions)]
    assert told == ["roast the beef"]


@pytest.mark.parametrize(
    ("directions", "wrong"),
    [((), "has no steps"), (("It is good.",), "nothing"), (("Stir it.",) * 101, "has 101 steps")],
)
def test_what_cannot_be_a_dish_is_told(directions, wrong):
    recipe = Recipe("n.html", 7, "None", (), ("1 egg",), tuple(map(Direction, directions)))
    with pytest.raises(FileProblem, match=wrong) as caught:
        draft_of(recipe, "none")
    assert "n.html" in caught.value.path


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.text(min_size=1, max_size=60), min_size=1, max_size=4),
    st.lists(st.text(max_size=40), max_size=3),
    st.text(max_size=30),
)
def test_whatever_a_page_says_our_loader_reads_or_the_cook_is_told(
    tmp_path_factory, steps, lines, title
):
    block = {
        "@type": "Recipe",
        "name": title,
        "recipeIngredient": lines,
        "recipeInstructions": steps,
    }
    file = tmp_path_factory.mktemp("any") / "any.json"
    file.write_text(json.dumps(block))
    (recipe,) = recipes_in(file)
    told = ""
    try:
        dish = draft_of(recipe, "any").dish
    except FileProblem as error:
        told = error.wrong
    assert "has no steps" in told or "nothing in" in told or (dish.steps and dish.guesses)


# --- a dish of ours, as JSON-LD, and back ---------------------------------------------------------


def as_json_ld(dish: Dish) -> dict[str, object]:
    """What a page would say of one of our dishes."""
    us = any((one.unit or "").startswith("us_") for one in dish.ingredients)
    return {
        "@type": "Recipe",
        "name": dish.title,
        "inLanguage": "en-US" if us else "en",
        "recipeYield": f"{dish.serves} servings",
        "recipeIngredient": [
            f"{shown(one.value, one.unit, one.high)} {one.name}"
            if one.value
            else f"{one.name}, to taste"
            for one in dish.ingredients
        ],
        "recipeInstructions": [{"@type": "HowToStep", "text": one.say} for one in dish.steps],
    }


@pytest.mark.parametrize("name", names("dishes"))
def test_our_own_dishes_come_back(name: str, tmp_path: Path):
    """Title, servings, every ingredient with its amount, and every word of the steps."""
    dish = load_dish(name)
    file = tmp_path / "dish.jsonld"
    file.write_text(json.dumps(as_json_ld(dish)))
    (recipe,) = recipes_in(file)
    draft = draft_of(recipe, name)
    back = draft.dish
    assert (back.title, back.serves) == (dish.title, dish.serves)
    wanted = {one.name: one for one in dish.ingredients}
    got = {one.name: one for one in back.ingredients}
    assert got.keys() == wanted.keys()
    for food, ingredient in wanted.items():
        assert got[food].unit == ingredient.unit
        # The page shows 1.53 cups where the dish has 1.527.
        for end in ("value", "high"):
            ours, theirs = getattr(ingredient, end), getattr(got[food], end)
            assert theirs == (ours if ours is None else pytest.approx(ours, rel=0.01))
    kept = set(re.findall(r"\w+", draft.text.lower()))
    said = {word for step in dish.steps for word in re.findall(r"\w+", step.say.lower())}
    assert said - kept <= {"and", "then"}

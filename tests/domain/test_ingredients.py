"""What the names of ingredients show, and that nothing is free of anything by silence."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cookbook import load_dish, names
from domain.ingredients import allergens, foods_in, shows

CONTAINS = [
    ("unsalted butter", {"milk"}), ("Greek yogurt", {"milk"}), ("goat's cheese", {"milk"}),
    ("all-purpose flour", {"gluten", "wheat"}), ("bulgur wheat", {"gluten", "wheat"}),
    ("pearl barley", {"gluten"}), ("rolled oats", {"gluten"}),
    ("soy sauce", {"soya", "gluten", "wheat"}),
    ("tahini", {"sesame"}), ("flaked almonds", {"tree nuts"}), ("roasted peanuts", {"peanuts"}),
    ("peanut butter", {"peanuts"}), ("almond milk", {"tree nuts"}), ("Dijon mustard", {"mustard"}),
    ("celeriac", {"celery"}), ("dry white wine", {"sulphites"}), ("dried apricots", {"sulphites"}),
    ("large eggs", {"eggs"}), ("mayonnaise", {"eggs"}), ("salmon fillets", {"fish"}),
    ("Worcestershire sauce", {"fish"}), ("shrimp", {"crustaceans"}), ("squid", {"molluscs"}),
    ("silken tofu", {"soya"}), ("lupin flour", {"lupin"}),
    ("egg noodles", {"eggs", "gluten", "wheat"}),
]  # fmt: skip

# Names that hold an allergen's word and not the allergen.
FALSE_FRIENDS = [
    "coconut milk", "cocoa butter", "butter beans", "butternut squash", "buckwheat flour",
    "rice flour", "cornflour", "gram flour", "nutmeg", "water chestnuts", "coconut",
    "chestnut mushrooms", "cream of tartar", "rice noodles", "beef tomatoes",
    "eggplant", "lamb's lettuce", "sweet potato", "apple butter", "butter lettuce",
]  # fmt: skip


@pytest.mark.parametrize(("name", "expected"), CONTAINS)
def test_what_a_name_shows(name, expected):
    assert shows(name).contains == expected
    assert shows(name).known


@pytest.mark.parametrize("name", FALSE_FRIENDS)
def test_false_friends(name):
    assert not shows(name).contains & {"milk", "gluten", "wheat", "tree nuts", "eggs"}


@pytest.mark.parametrize("name", ["kangaroo", "house paste", "secret blend", "", "7"])
def test_unknown_is_unknown(name):
    assert not shows(name).known


def test_a_label_that_takes_an_allergen_out_is_still_to_be_checked():
    flour = shows("gluten-free flour")
    assert "gluten" not in flour.contains
    assert "gluten" in flour.check
    assert "milk" in shows("vegan yoghurt").check


def test_stock_and_sauces_are_to_be_checked():
    assert "celery" in shows("vegetable stock").check
    assert "mustard" in shows("salad dressing").check
    assert "meat" in shows("chicken stock").animal


def test_parmesan_is_made_with_rennet_and_sweets_with_gelatine():
    assert "rennet" in shows("parmesan").animal
    assert "gelatine" in shows("gelatine leaves").animal


@pytest.mark.parametrize("dish", names("dishes"))
def test_every_ingredient_of_every_dish_is_known(dish):
    unknown = [line.name for line in load_dish(dish).ingredients if not shows(line.name).known]
    assert not unknown, "add them to tables/ingredients.yaml"


def test_every_allergen_is_shown_by_some_name():
    shown = set().union(*(expected for _, expected in CONTAINS))
    assert shown == {allergen.name for allergen in allergens()}


@given(st.lists(st.sampled_from([name for name, _ in CONTAINS]), min_size=1, max_size=4))
def test_several_foods_in_one_line_show_all_they_hold(parts):
    together = shows(", ".join(parts))
    for part in parts:
        assert shows(part).contains <= together.contains | together.check


def test_foods_in_a_sentence():
    assert foods_in("does peanut butter go with rice") == ("peanut butter", "rice")

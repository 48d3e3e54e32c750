"""Allergens and guests: what the names show, what may hide, and never that a dish is safe."""

import re
from dataclasses import replace

import pytest
from knowing import METRIC, ask, named

from domain.cookbook import load_menu, names

MENUS = names("menus")


def of_dish(text: str, words: str, name: str):
    return named("dish", name, text, words)


def test_the_menus_allergens_and_where_they_are():
    reply = ask("allergens", "what allergens are in the menu")
    for name in ("milk", "tree nuts", "mustard", "sulphites"):
        assert name in reply.spoken
    assert "Tree nuts: flaked almonds and walnuts." in reply.more
    assert "Check the labels." in reply.spoken
    assert "Regulation (EU) 1169/2011, Annex II, item 8" in reply.shown


def test_whether_it_is_safe_is_never_answered_with_yes():
    asked = "is the pear dish safe for somebody with a walnut allergy"
    reply = ask("allergens", asked, of_dish(asked, "pear dish", "honey-pears"))
    assert reply.spoken.startswith("It contains tree nuts. It is in walnuts.")


def test_one_allergen_in_one_dish():
    text = "is there dairy in the green beans"
    reply = ask("allergens", text, of_dish(text, "green beans", "green-beans"))
    assert reply.spoken.startswith("It contains milk. It is in butter.")


def test_one_that_does_not_show_is_not_called_free():
    text = "does the rice contain nuts"
    reply = ask("allergens", text, of_dish(text, "rice", "white-rice"))
    assert reply.spoken.startswith("Nothing in the names shows tree nuts or peanuts.")
    assert "Check the labels." in reply.spoken


def test_a_thing_named_for_an_allergen_is_not_the_question():
    text = "any allergens in the walnuts"
    reply = ask("allergens", text, named("ingredient", "walnuts", text, "walnuts"))
    assert reply.spoken.startswith("Walnuts: tree nuts.")


@pytest.mark.parametrize(
    ("text", "spoken"),
    [
        ("what allergens are in mayonnaise", "Mayonnaise: eggs."),
        ("is there gluten in soy sauce", "It contains gluten."),
        ("does coconut milk have dairy in it", "Nothing in the names shows milk."),
        ("does peanut butter contain milk", "Nothing in the names shows milk."),
        ("is there wheat in buckwheat flour", "Nothing in the names shows wheat or gluten."),
    ],
)
def test_food_outside_the_menu(text, spoken):
    assert ask("allergens", text).spoken.startswith(spoken)


def test_who_cannot_eat_it():
    reply = ask("who_cannot", "who cannot eat this")  # chicken, butter, honey
    assert reply.spoken.startswith("Not for vegans, vegetarians or pescatarians. Nor for")
    assert "tree nuts" in reply.spoken


def test_the_cooks_own_guests_come_first():
    reply = ask("who_cannot", "who cannot eat this", settings=replace(METRIC, allergies=("nuts",)))
    assert reply.spoken.startswith("Careful: your guest avoids nuts. It is in flaked almonds")


def test_an_allergy_no_law_lists_is_found_by_its_own_name():
    reply = ask("who_cannot", "who can't eat it", settings=replace(METRIC, allergies=("fennel",)))
    assert "Careful: your guest avoids fennel." in reply.spoken


@pytest.mark.parametrize(
    ("text", "name", "barred"),
    [
        ("can vegans eat the rice", "white-rice", False),
        ("can vegans eat the pears", "honey-pears", True),  # honey, butter and yoghurt
        ("can vegetarians have the chicken", "chicken-and-fennel", True),
    ],
)
def test_ways_of_eating(text, name, barred):
    reply = ask("who_cannot", text, of_dish(text, text.split()[-1], name))
    assert reply.spoken.startswith("Not for") == barred


def test_a_name_cannot_show_halal():
    assert "slaughtered" in ask("who_cannot", "is the rice halal").spoken


@pytest.mark.parametrize("menu", MENUS)
@pytest.mark.parametrize("intent", ["allergens", "who_cannot"])
def test_no_menu_is_called_safe(menu, intent):
    assert load_menu(menu).dishes
    reply = ask(intent, "what about this menu", menu=menu)
    for text in (reply.spoken, reply.shown, reply.more):
        assert not re.search(r"\bsafe\b|\bfree (of|from)\b", text)
    assert "Check the labels." in reply.spoken


def test_an_allergen_that_a_step_is_named_after_is_asked_of_the_menu():
    text = "is there anything with nuts"
    reply = ask("allergens", text, named("step", "green-beans/toast the almonds", text, "nuts"))
    assert reply.spoken.startswith("It contains tree nuts. It is in flaked almonds and walnuts.")
    assert "milk" not in reply.spoken

"""What is left of tonight's dishes: cooled first, then kept, each by its strictest figure."""

from dataclasses import replace

import pytest
from kitchen import dish, kitchen

from assistant.answer_leftovers import answer_leftovers
from assistant.figures import is_rice
from scheduling.events import Event


@pytest.fixture
def here():
    return kitchen()


def test_rice_is_cooled_first_and_each_dish_has_its_days(here):
    reply = here.ask("leftovers", "what will be left over")
    assert reply.spoken.startswith("Cool the rice within 1 hour, the rest within 2 hours.")
    assert "Plain white rice: 1 day in the fridge." in reply.spoken  # FSA rice advice
    # the others by the FSA's leftovers, 2 days
    assert "green beans with almonds and baked pears with honey and walnuts: 2 days" in reply.spoken
    assert "dressed leaves do not keep" in reply.spoken
    assert "UK Food Standards Agency, Rice advice" in reply.shown
    assert "74 degrees Celsius" in reply.more


def test_one_dish_is_told_alone(here):
    reply = here.ask("leftovers", "what do I do with the rest of the rice", dish("white-rice"))
    assert reply.spoken.startswith("Cool it within 1 hour, says the UK Food Standards Agency.")
    assert "pears" not in reply.spoken


def test_a_dish_left_out_leaves_nothing(here):
    now = here.clock.now()
    assert here.live.apply(Event(now, "dish_dropped", "white-rice")).refused is None
    reply = here.ask("leftovers", "what will be left over")
    assert "rice" not in reply.spoken
    assert reply.spoken.startswith("Cool it within 2 hours, says the UK Food Standards Agency.")


def test_american_rules_are_told_by_american_sources():
    reply = kitchen(food_rules="us").ask("leftovers", "what will be left over")
    assert "roast chicken thighs" in reply.spoken.lower()
    assert "3 to 4 days in the fridge" in reply.spoken


def test_reheating_goes_by_the_cooks_own_rules():
    # FSIS: 165 °F; the FSA: 70 °C for 2 minutes
    assert "74 degrees Celsius" in kitchen(food_rules="us").ask("leftovers", "leftovers").more
    told = kitchen(food_rules="uk").ask("leftovers", "leftovers").more
    assert "70 degrees Celsius for 2 minutes" in told
    assert "74" not in told


def test_what_must_not_be_frozen_is_said_with_the_dish(here):
    scene = here.scene()
    beans = scene.menu.dish("green-beans")
    egg = replace(beans.ingredients[0], name="hard-boiled eggs")  # FoodKeeper advises against it
    menu = replace(scene.menu, dishes=(replace(beans, ingredients=(egg,)),))
    told = replace(scene, live=replace(scene.live, menu=menu))
    reply = answer_leftovers(here.understood("leftovers", "leftovers"), told)
    assert "do not freeze, by USDA FoodKeeper" in reply.more
    assert "months frozen" not in reply.more


def test_rice_is_rice_by_its_dishes_too_and_by_nothing_made_of_it():
    assert is_rice("risotto")
    assert is_rice("Basmati rice")
    assert not is_rice("rice vinegar")
    assert not is_rice("rice flour")

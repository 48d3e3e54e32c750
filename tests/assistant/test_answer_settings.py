"""What is set by asking: units, names of foods, rules, allergies, altitude, by ear, length."""

from dataclasses import replace

import pytest
from kitchen import ingredient, kitchen

RICE = ingredient("long-grain white rice")


@pytest.fixture
def here():
    return kitchen()


def test_a_unit_alone_is_for_the_amount_in_the_air(here):
    here.ask("how_much", "how much rice", RICE)
    reply = here.ask("set_units", "to ounces")
    assert reply.settings == ()
    assert reply.shown == "300 g of long-grain white rice = 10.6 oz"  # 300 / 28.35


def test_a_unit_alone_with_nothing_in_the_air_is_asked_back(here):
    reply = here.ask("set_units", "to ounces")
    assert (reply.settings, reply.spoken) == ((), "What shall I convert?")


def test_use_ounces_changes_the_units(here):
    here.ask("how_much", "how much rice", RICE)
    assert here.ask("set_units", "use ounces").settings == (("units", "us"),)


@pytest.mark.parametrize(
    ("said", "foods"),
    [
        ("call it zucchini", "us"),
        ("use American names of foods", "us"),
        ("I say courgette", "uk"),
        ("british spelling please", "uk"),
        ("say zucchini instead of eggplant", "us"),
    ],
)
def test_names_of_foods_are_set(here, said, foods):
    assert here.ask("set_foods", said).settings == (("foods", foods),)


@pytest.mark.parametrize("said", ["which spelling do you use", "courgette or zucchini"])
def test_names_of_foods_are_told_and_asked_for(here, said):
    reply = here.ask("set_foods", said)
    assert reply.settings == ()
    assert reply.spoken == "I use British names of foods. American or British?"


@pytest.mark.parametrize(
    ("said", "rules"),
    [
        ("use uk food rules", "uk"),
        ("go by the US rules", "us"),
        ("the strictest ones", "strictest"),
    ],
)
def test_food_rules_are_set(here, said, rules):
    assert here.ask("set_food_rules", said).settings == (("food_rules", rules),)


def test_food_rules_are_told(here):
    reply = here.ask("set_food_rules", "whose rules are these")
    assert reply.settings == ()
    assert reply.spoken.startswith("I tell the strictest food-safety rules.")


def test_an_allergy_is_remembered_and_warned_of_at_once(here):
    reply = here.ask("set_allergy", "remember that my son is allergic to walnuts")
    assert reply.settings == (("allergies", ("tree nuts",)),)
    assert reply.spoken.startswith("I will remember: no tree nuts. Careful:")
    assert "walnuts" in reply.spoken  # they are in the menu


def test_several_allergies_by_the_names_of_the_lists(here):
    reply = here.ask("set_allergy", "she is coeliac and can't have dairy")
    assert set(dict(reply.settings)["allergies"]) == {"gluten", "milk"}


def test_what_no_list_names_is_remembered_by_its_own_name(here):
    reply = here.ask("set_allergy", "I'm allergic to kiwi")
    assert reply.settings == (("allergies", ("kiwi",)),)
    assert "Check the labels." in reply.spoken


def test_allergies_are_added_to_those_that_are_kept(here):
    here.settings = replace(here.settings, allergies=("milk",))
    reply = here.ask("set_allergy", "remember no sesame")
    assert reply.settings == (("allergies", ("milk", "sesame")),)


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("forget the milk allergy", ("sesame",)),
        ("she's not allergic to sesame after all", ("milk",)),
        ("forget my allergies", ()),
    ],
)
def test_allergies_are_forgotten(here, said, left):
    here.settings = replace(here.settings, allergies=("milk", "sesame"))
    assert here.ask("set_allergy", said).settings == (("allergies", left),)


def test_an_allergy_that_is_not_kept_cannot_be_forgotten(here):
    here.settings = replace(here.settings, allergies=("milk",))
    reply = here.ask("set_allergy", "forget the sesame allergy")
    assert (reply.spoken, reply.settings) == ("I have not remembered sesame.", ())
    here.settings = replace(here.settings, allergies=())
    assert here.ask("set_allergy", "forget my allergies").spoken == "I remember no allergy."


def test_which_allergies_are_kept_is_told(here):
    here.settings = replace(here.settings, allergies=("milk", "sesame"))
    reply = here.ask("set_allergy", "which allergies do you remember")
    assert reply.spoken.startswith("I remember milk and sesame.")
    assert reply.settings == ()


@pytest.mark.parametrize(
    ("said", "metres"),
    [
        ("we live at 1600 metres", 1600),
        ("set the altitude to 5,280 feet", 1609),  # 5280 · 0.3048
        ("the hut is two kilometres up", 2000),
        ("a mile up", 1609),
    ],
)
def test_the_altitude_is_remembered_and_what_it_changes_told(here, said, metres):
    reply = here.ask("set_altitude", said)
    assert reply.settings == (("altitude_m", metres),)
    assert "water boils at" in reply.spoken


def test_sea_level_is_an_altitude(here):
    assert here.ask("set_altitude", "we're at sea level").settings == (("altitude_m", 0),)


@pytest.mark.parametrize("said", ["remember my altitude", "we live at 90,000 metres"])
def test_an_altitude_that_is_none_sets_nothing(here, said):
    assert here.ask("set_altitude", said).settings == ()


def test_by_ear_is_set_and_left(here):
    assert here.ask("by_ear_on").settings == (("by_ear", True),)
    assert here.ask("by_ear_off").settings == (("by_ear", False),)


def test_full_answers_begin_with_the_rest_of_the_last_one(here):
    rest = here.ask("help").more
    reply = here.ask("fuller")
    assert reply.settings == (("answers", "full"),)
    assert reply.spoken == f"Full answers from now on. {rest}"


def test_short_answers(here):
    assert here.ask("shorter").settings == (("answers", "brief"),)


def test_what_is_set_is_told(here):
    here.settings = replace(here.settings, allergies=("milk",), by_ear=True, altitude_m=1600.0)
    reply = here.ask("my_settings")
    assert reply.spoken == "Metric measures, British names of foods. No milk."
    assert "1,600 metres" in reply.more_shown
    assert "By ear, brief answers." in reply.more

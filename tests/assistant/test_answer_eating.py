"""Whether it may be eaten and how it is handled: by what is measured, by advice, else unknown."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kitchen import dish, kitchen

from assistant.figures import LONGEST_FIRST


@pytest.fixture(scope="module")
def here():
    return kitchen()


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        # USDA FSIS 73.9 °C; at 75 °C and above the FSA's hold is shorter
        ("is 74 degrees enough for chicken", "Yes, 74 °C (165 °F) is enough. Chicken: 74 °C"),
        ("is 165 fahrenheit enough for chicken", "Yes, 74 °C (165 °F) is enough."),
        # no food that holds water is 165 °C inside, so bare degrees are Fahrenheit
        ("is 165 degrees enough for chicken", "Yes, 74 °C (165 °F) is enough."),
        ("is 75 celsius okay for salmon", "Yes, if 75 °C (167 °F) lasts 30 seconds. Salmon: 70"),
        ("is 71 celsius okay for salmon", "Yes, if 71 °C (160 °F) lasts 2 minutes."),
        ("is 69 celsius okay for salmon", "No, 69 °C (156 °F) is too low. Salmon: 70 °C"),
        ("is rice ok after 24 hours in the fridge", "Yes, if chilled at once. Cooked rice: 1 day"),
        ("raw chicken 2 days in the fridge, still good", "That is the very limit. Raw whole"),
        ("can I eat raw chicken one day old", "No. Chicken: 74 °C (165 °F)"),
        ("is mince ok after two days in the fridge", "That is the very limit. Raw minced meat"),
        ("can I eat the carrots raw", "I know no published rule against raw carrot."),
    ],
)
def test_a_number_is_compared_with_the_figure(here, text, begins):
    assert here.ask("safe_to_eat", text).shown.startswith(begins)


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("my fridge is at 8 degrees is that ok", "No, 8 °C (46 °F) is too warm. Fridge: 4 °C"),
        ("my fridge is at 3 degrees is that ok", "Yes, 3 °C (37 °F) is cold enough."),
        ("how hot should the fridge be", "Fridge: 4 °C (40 °F) or below, says foodsafety.gov."),
        ("what chopping board", "One board for raw meat and fish, another for the rest"),
        ("do I have to wash my hands after the chicken", "Wash hands 20 seconds with soap"),
        ("do I need to wash the leeks", "Yes, under running water, without soap"),
        ("where in the fridge does the chicken go", "Raw meat on the bottom shelf"),
        ("do I rinse the rice", "Rinsing rice is for loose grains, not for safety"),
        ("should I wear a hat", "I know no published rule for that"),
    ],
)
def test_clean_handling(here, text, begins):
    assert here.ask("hygiene", text).shown.startswith(begins)


def test_the_foods_to_mind_are_named_from_the_menu(here):
    menu = here.ask("safe_to_eat", "can my baby have honey")
    assert "This menu has honey." in menu.spoken
    pears = here.ask("safe_to_eat", "can my baby eat the pears", dish("honey-pears"))
    assert "Baked pears with honey and walnuts has honey and walnuts." in pears.spoken
    rice = here.ask("safe_to_eat", "can a pregnant woman eat the rice", dish("white-rice"))
    assert "I see none of that in the names" in rice.spoken


def test_a_childs_age_is_no_age_of_food(here):
    said = here.ask("safe_to_eat", "can I give this to a two year old").spoken
    assert said.startswith("For a child under five, no whole nuts, says the NHS.")


def test_vinegar_of_cider_is_no_cider(here):
    assert "cider" not in here.ask("safe_to_eat", "can pregnant women eat this").spoken


def test_a_good_smell_proves_nothing(here):
    said = here.ask("safe_to_eat", "it smells fine can we eat it").spoken
    assert said.startswith("Smell and looks do not tell what is safe")


def test_what_cannot_be_judged_is_thrown_out_when_in_doubt(here):
    reply = here.ask("safe_to_eat", "is the kangaroo safe to eat")
    assert reply.spoken.startswith("I cannot see or smell it; when in doubt, throw it out.")
    assert "°" not in reply.shown


def test_an_allergy_is_answered_from_the_names(here):
    reply = here.ask("safe_to_eat", "is it safe for a nut allergy", dish("honey-pears"))
    assert "walnuts" in reply.spoken
    assert not reply.spoken.startswith("Yes")


def test_first_sentences_are_short(here):
    for text in ("is 74 degrees enough for chicken", "is this edible", "can I eat raw salmon"):
        assert len(here.ask("safe_to_eat", text).spoken.split(". ")[0].split()) <= LONGEST_FIRST


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(["safe_to_eat", "hygiene", "leftovers", "report_spoilt"]), st.text())
def test_nothing_that_is_said_upsets_it(here, intent, text):
    reply = here.ask(intent, text)
    assert reply.spoken
    assert reply.events == ()


@pytest.mark.parametrize(
    "text",
    [
        "is rice ok after 1e309 days",
        "is chicken safe at 1/0 degrees",
        "is chicken safe at -400 degrees",
        "can I eat " + "very " * 2000 + "old rice",
        "🍗 " * 50,
        "puis-je manger du poulet cru",
    ],
)
def test_odd_numbers_and_other_tongues_get_no_leave(here, text):
    assert not here.ask("safe_to_eat", text).spoken.startswith("Yes")

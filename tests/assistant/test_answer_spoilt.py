"""What has gone wrong: what now, by what happened, then what the plan makes of it."""

import pytest
from kitchen import dish, kitchen

from domain.advice import advised


@pytest.fixture(scope="module")
def here():
    return kitchen()


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("I burnt it", "Off the heat now, and scrape nothing from the bottom."),
        ("the garlic went black", "Off the heat now, and scrape nothing from the bottom."),
        ("the sauce has split", "Off the heat, and whisk in a spoonful of cold liquid."),
        ("the mayonnaise has curdled", "Whisk it drop by drop into a fresh egg yolk."),
        ("I dropped it on the floor", "Throw away what touched the floor, however short, says a"),
        ("it's too salty", "Make more of it without salt, or add unsalted liquid."),
        ("I spilt the stock", "Turn the heat off near a spill, and wipe before you walk."),
        ("the pan boiled dry", "Heat off, and let the pan cool before any water."),
        ("the milk boiled over", "Turn it down and take the lid off."),
        ("it's gone lumpy", "Whisk it hard, or press it through a sieve."),
        ("the stew is too thin", "Simmer it without its lid until it thickens."),
        ("the oil is smoking", "Turn the heat off, and leave the pan where it is, says NFPA."),
        ("the dog ate the chicken", "What it licked or bit is thrown away."),
        ("there's glass in it, the jug broke", "Throw away all open food near it"),
        ("the milk's gone off", "Throw it away, and do not taste it."),
        ("disaster", "First turn the heat off, and wipe up any spill before you walk on it."),
    ],
)
def test_what_now_is_told_by_what_happened(here, text, begins):
    assert here.ask("report_spoilt", text).spoken.startswith(begins)


def test_the_plan_follows(here):
    rice = here.ask("report_spoilt", "I burnt the rice", dish("white-rice"))
    assert "The plan has the plain white rice ready at" in rice.spoken
    assert "Say how much longer it needs, or to leave it out." in rice.spoken
    assert rice.events == ()


def test_what_is_not_cooked_through_is_told_its_temperature(here):
    text = "the chicken is still pink inside"
    reply = here.ask("report_spoilt", text, dish("chicken-and-fennel"))
    assert reply.spoken.startswith("Back on the heat at once, and serve none of it yet.")
    assert "Chicken: 74 °C (165 °F), says USDA FSIS." in reply.shown


def test_common_practice_is_named_under_the_answer(here):
    assert "(common practice)" in here.ask("report_spoilt", "I burnt it").shown


def test_the_phrase_books_mishaps_are_nearly_all_known():
    from assistant.phrasebook import read_phrase_book
    from assistant.wiring import PHRASES
    from assistant.wording import plain

    said = [one.text for one in read_phrase_book(PHRASES).intents["report_spoilt"].examples]
    known = sum(advised("mishaps", plain(text), weak=True) is not None for text in said)
    assert known >= 0.8 * len(said)

"""Sentences of recipes in clauses, with their verbs, times and temperatures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.recipe_clauses import Clause, Remark, clauses_of, oven_in, sets_oven, time_in


def told(paragraph: str) -> list[tuple[str, str]]:
    return [
        (one.text, (one.verb.word if one.verb else "") if isinstance(one, Clause) else "-")
        for one in clauses_of(paragraph)
    ]


@pytest.mark.parametrize(
    ("paragraph", "clauses"),
    [
        (
            "Add the leeks and cook gently for 10 mins, then serve.",
            [("Add the leeks.", "add"), ("Cook gently for 10 mins.", "cook"), ("Serve.", "serve")],
        ),
        ("Peel and chop the onions.", [("Peel and chop the onions.", "chop")]),
        ("Mix the flour, butter and sugar.", [("Mix the flour, butter and sugar.", "mix")]),
        ("Cover and bake for an hour.", [("Cover and bake for an hour.", "bake")]),
        (
            "Cover with water and boil hard for 30 minutes.",
            [("Cover with water.", "cover"), ("Boil hard for 30 minutes.", "boil")],
        ),
        (
            "Bring to a boil, then reduce heat, cover and simmer 1 hour.",
            [("Bring to a boil.", "bring"), ("Reduce heat, cover and simmer 1 hour.", "simmer")],
        ),
        ("Leave to stand.", [("Leave to stand.", "stand")]),
        ("Tip the rice into the pan.", [("Tip the rice into the pan.", "tip")]),
        ("Tip: use old rice.", [("Tip: use old rice.", "-")]),
        ("Bring it together into a dough.", [("Bring it together into a dough.", "mix")]),
        ("Bring to room temperature.", [("Bring to room temperature.", "rest")]),
        ("Leave it a while as it cools.", [("Leave it a while as it cools.", "leave")]),
        ("In a bowl, whisk the eggs.", [("In a bowl, whisk the eggs.", "whisk")]),
        ("Flambé the crêpes.", [("Flambé the crêpes.", "")]),
        ("The lid is hot. It keeps.", [("The lid is hot.", "-"), ("It keeps.", "-")]),
        ("Leftovers keep two days.", [("Leftovers keep two days.", "-")]),
        ("If it sticks, add a little water.", [("If it sticks, add a little water.", "add")]),
        ("Prick the warm cake all over.", [("Prick the warm cake all over.", "")]),
    ],
)  # fmt: skip
def test_a_clause_has_one_thing_to_do(paragraph, clauses):
    assert told(paragraph) == clauses


def test_what_can_hurt_is_a_remark_of_danger():
    remarks = list(clauses_of("Be careful: the pan is very hot. It will thicken."))
    assert remarks == [
        Remark("Be careful: the pan is very hot.", True),
        Remark("It will thicken.", False),
    ]


def test_meanwhile_goes_beside():
    beside, after = clauses_of("While it bakes, chop the nuts. Season the salad.")
    assert isinstance(beside, Clause)
    assert isinstance(after, Clause)
    assert (beside.parallel, after.parallel) == (True, False)


@pytest.mark.parametrize(
    ("text", "low", "high", "words"),
    [
        ("Bake for 25-30 minutes at 180 C/gas 4.", 1500, 1800, "25-30 minutes"),
        ("Simmer gently for 10 mins, stirring every 2 minutes.", 600, 600, "10 mins"),
        ("Fry for 2-3 minutes per side.", 240, 360, "2-3 minutes per side"),
        ("Cook 1 hour 15 minutes.", 4500, 4500, "1 hour 15 minutes"),
        ("Fry for 4 minutes and turn, and fry for 2 minutes.", 360, 360, "4 minutes and 2 minutes"),
        ("Rest for half an hour.", 1800, 1800, "half an hour"),
        ("Let rest 5 min before serving.", 300, 300, "5 min"),
    ],
)
def test_times_are_read_with_their_words(text, low, high, words):
    assert time_in(text) == (low, high, words)


@pytest.mark.parametrize(
    "text",
    [
        "Bake until golden.",
        "After 10 minutes, turn.",
        "Stir every 5 min.",
        "Take it out of the fridge an hour before you cook.",
    ],
)
def test_what_is_not_the_time_of_a_step_is_none(text):
    assert time_in(text) is None


@given(st.integers(1, 90), st.integers(0, 60), st.sampled_from(["minutes", "mins", "min"]))
def test_any_range_of_minutes(low, more, unit):
    written = f"{low}-{low + more} {unit}" if more else f"{low} {unit}"
    found = time_in(f"Bake for {written}.")
    assert found is not None
    assert found[:2] == (60 * low, 60 * (low + more))


@pytest.mark.parametrize(
    ("text", "oven"),
    [
        ("Preheat the oven to 180C/160C fan/gas 4.", "180 C"),
        ("Heat oven to 160 fan.", "160 C fan"),
        ("Preheat the oven to 350°F (180°C).", "180 C"),
        ("Preheat the oven to 350 degrees.", "350 F"),
        ("Set the oven to gas mark 6.", "gas 6"),
    ],
)
def test_an_oven_by_its_surest_scale(text, oven):
    assert sets_oven(text)
    assert (oven_in(text) or [""])[0] == oven


def test_what_is_no_oven():
    assert not sets_oven("Heat the oil in a Dutch oven.")
    assert oven_in("Bake at 9000 C.") is None
    assert oven_in("Bake until done.") is None
    # What a thermometer shows is the food's: an oven at 74 °C would cook nothing.
    assert oven_in("Roast until a thermometer reads 165°F.") is None
    assert oven_in("Roast at 200 C until it reaches 74 C inside.") == ("200 C", "200 C")


@given(st.text(max_size=200))
def test_any_text_is_taken_and_no_word_of_it_is_lost(text):
    parts = list(clauses_of(" ".join(text.split())))
    kept = "".join(part.text for part in parts).lower()
    for word in text.split():
        if (
            word.isalpha()
            and word.isascii()
            and word.lower() not in ("and", "then", "next", "finally", "meanwhile")
        ):
            assert word.lower() in kept

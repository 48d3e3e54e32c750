"""The words of recipes: forms of verbs, vessels by their longest name, attention beside a verb."""

import pytest

from domain.recipe_words import attention_in, recipe_words, verb_of, vessel_in


@pytest.mark.parametrize(
    ("word", "verb"),
    [("simmering", "simmer"), ("chopped", "chop"), ("fries", "fry"), ("sliced", "slice"),
     ("baking", "bake"), ("Whisk", "whisk"), ("onion", None), ("red", None)],
)  # fmt: skip
def test_forms_of_a_verb_are_the_verb(word, verb):
    found = verb_of(word)
    assert (found and found.word) == verb


@pytest.mark.parametrize(
    ("text", "vessel"),
    [("in a large saucepan", "large pan"), ("in a saucepan", "small pan"),
     ("a large non-stick frying pan", "frying pan"), ("a roasting tin", "roasting tray"),
     ("in a pan", "large pan"), ("in a bowl", None), ("the pandan leaf", None)],
)  # fmt: skip
def test_a_vessel_is_called_as_our_kitchens_call_it(text, vessel):
    found = vessel_in(text)
    assert (found and found[0]) == vessel


@pytest.mark.parametrize(
    ("text", "attention"),
    [("cook, stirring constantly, for 5 minutes", "hands-on"), ("simmer, covered", "unattended"),
     ("fry, turning once", "watched"), ("simmer without stirring", "unattended"), ("bake", None)],
)  # fmt: skip
def test_words_beside_the_verb_tell_the_attention(text, attention):
    found = attention_in(text)
    assert (found and found[0]) == attention


def test_every_verb_takes_some_time_and_only_hands_take_each():
    for verb in recipe_words().verbs.values():
        assert 0 < verb.takes.low_s <= verb.takes.high_s
        assert verb.attention == "hands-on" or not verb.each

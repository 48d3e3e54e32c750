"""Questions of food safety known by their words, with the intent model away or in doubt."""

import pytest

from assistant.amounts import find_amounts
from assistant.meaning import Understood
from assistant.phrasebook import PhraseBook
from assistant.safety_words import safety_asked
from assistant.understand import Understander

EMPTY = PhraseBook({}, {}, {})


class Model:
    """An intent model that always says the same."""

    def __init__(self, *guesses: tuple[str, float]) -> None:
        self.guesses = guesses

    def parse(self, wording: str) -> tuple[tuple[str, float], ...] | None:
        return self.guesses or None


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("my aunt picked these mushrooms, can I fry them", "safe_to_eat"),
        ("rice has stood on the hob since noon, bin it", "safe_to_eat"),
        ("the fridge was off all night, is the milk fine", "safe_to_eat"),
        ("may the baby have the honey", "safe_to_eat"),
        ("can I thaw it on the counter", "hygiene"),
        ("may we have the burgers a bit pink", "safe_to_eat"),
        ("the chicken reads 68 degrees, is that enough", "safe_temperature"),
        ("the lentils are from sunday, still good", "keeps"),
        ("could the chicken have ten more minutes", None),
        ("can we eat in two hours", None),
        ("can we have the pears half an hour after the main", None),
        ("the mushrooms are in the pan", None),  # told, not asked
        ("I picked some berries in the garden", None),
        ("can you feed the dog at six", None),
        ("can I start the rice", None),
        ("use by ear", None),
        ("could you hand me the oven gloves", None),
    ],
)
def test_the_words_tell_the_question(text, intent):
    amounts = find_amounts(text, "metric", None)
    assert safety_asked(Understood(text, None, 0.0, amounts)) == intent


@pytest.mark.parametrize("model", [Model(), Model(("out_of_scope", 0.9)), Model(("swap", 0.4))])
def test_a_known_danger_is_answered_whatever_the_model_guesses(model):
    heard = Understander(EMPTY, model).understand("can the baby have some honey with it")
    assert heard.intent == "safe_to_eat"


def test_what_the_model_is_sure_of_stays():
    sure = Model(("report_spoilt", 0.9))
    heard = Understander(EMPTY, sure).understand("dropped it on the floor, is that fine")
    assert heard.intent == "report_spoilt"

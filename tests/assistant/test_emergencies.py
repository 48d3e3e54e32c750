"""Emergencies are told from talk, whatever the words, and have a source."""

import pytest

from assistant.emergencies import emergencies, told
from assistant.phrasebook import PhraseBook

TOLD = {
    "emergency_fire": [
        "The pan's on fire!",
        "oh god the oil has caught fire",
        "there are flames coming out of the oven",
        "fire in pan help",
        "FIRE",
        "something on the hob went up in flames",
        "my sleeve has just caught fire",
    ],
    "emergency_burn": [
        "I've burned my hand on the oven door",
        "ow I burnt myself",
        "boiling water all over my foot",
        "the kid scalded her arm",
        "hot oil splashed on my face",
        "i burn my finger very bad",
        "I just grabbed the hot tray",
    ],
    "emergency_cut": [
        "I've cut my finger",
        "I sliced my thumb open and it won't stop bleeding",
        "there's blood everywhere",
        "she stabbed herself with the knife",
        "cut finger, lots of blood",
        "he is bleeding",
    ],
    "emergency_choking": [
        "he's choking",
        "my mum can't breathe, she was eating",
        "a bone is stuck in her throat",
        "the baby is choking on a grape",
        "guest choke",
        "she's turning blue",
    ],
    "emergency_allergy": [
        "she's having an allergic reaction",
        "his lips are swelling up",
        "he ate a nut and he is allergic",
        "my throat is closing up",
        "I think it is anaphylaxis",
        "she has come out in hives",
    ],
    "emergency_gas": [
        "I can smell gas",
        "it smells of gas in here",
        "there's a gas leak",
        "smell gas kitchen",
        "the ring blew out and the gas is still on",
    ],
}
NOT_TOLD = [
    "fire up the oven",
    "cut the onions",
    "burn the sugar a little",
    "no gas mark",
    "what gas mark for the bread",
    "the onions are burnt",
    "I burnt the rice",
    "the skin is burnt",
    "the chicken leg is burnt",
    "my toast is burnt",
    "is the burner on",
    "turn the flame down",
    "light the gas",
    "cut the fish into fingers",
    "how do I cut the chicken",
    "trim the artichoke and cut out the choke",
    "peel the blood oranges",
    "who is allergic to nuts",
    "can my friend with a nut allergy eat the cake",
    "she's allergic to nuts, can she have the tart",
    "does it smell done",
    "it smells lovely",
    "he got fired",
    "put a log on the fireplace",
    "hot water for the tea",
    "pour boiling water over the couscous",
    "the knife goes in easily",
    "smells burnt",
    "cut me a slice",
    "the recipe says cut off the ends",
    "rub the oil into the skin of the chicken",
    "the top of the crumble caught",
    "I'm having a glass of wine",
    "stop the beetroot bleeding into the salad",
]


@pytest.mark.parametrize(
    ("intent", "text"), [(intent, text) for intent, texts in TOLD.items() for text in texts]
)
def test_an_emergency_is_told(intent: str, text: str) -> None:
    emergency = told(text)
    assert emergency is not None
    assert emergency.intent == intent


@pytest.mark.parametrize("text", NOT_TOLD)
def test_kitchen_talk_is_no_emergency(text: str) -> None:
    assert told(text) is None


def test_nothing_else_in_the_phrase_book_is_one(phrase_book: PhraseBook) -> None:
    for intent, text in phrase_book.sentences():
        emergency = told(text)
        if emergency is not None:
            assert emergency.intent == intent, text


def test_nearly_every_emergency_of_the_phrase_book_needs_no_server(
    phrase_book: PhraseBook,
) -> None:
    texts = [text for intent, text in phrase_book.sentences() if intent.startswith("emergency_")]
    assert sum(told(text) is not None for text in texts) / len(texts) > 0.98


def test_every_emergency_says_what_to_do_and_who_says_so() -> None:
    assert {emergency.intent for emergency in emergencies()} == set(TOLD)
    for emergency in emergencies():
        assert emergency.say
        assert emergency.more
        assert emergency.source
        assert emergency.status in ("published", "common practice")

"""Emergencies are told from talk, whatever the words, and have a source."""

import pytest
from kitchen import kitchen

from assistant.answer_emergency import emergency as answered
from assistant.emergencies import (
    HARDLY_HEARD,
    HEARD,
    SURELY_HEARD,
    emergencies,
    heeded,
    is_over,
    only_sounds_like,
    told,
)
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
# As they are cried: begun twice, with the first words lost, among other words.
HURRIED = {
    "emergency_fire": [
        "quick quick the pan's on fire",
        "oh my god the oil's gone up it's on fire what do I do",
        "pan is on fire oh no oh no",
        "on fire the tea towel's on fire",
        "there's a fire in the oven help",
        "fire fire in the kitchen",
        "caught fire it's caught fire the fat",
        "flames flames coming out of the toaster",
        "help the chip pan the chip pan's in flames",
        "my sleeve my sleeve is on fire",
        "uh the the oven's on fire I think",
        "there are huge flames coming off the grill",
        "the the whole pan just went up in flames",
        "something's on fire under the hood",
        "we have got a fire in the fryer get everybody out",
        "turn it off turn it off it's on fire",
        "is there an extinguisher the oil has caught fire",
    ],
    "emergency_burn": [
        "ow ow ow I burnt my hand on the pan",
        "burned my hand really badly",
        "he's burnt himself on the oven",
        "oh god the oil splashed all over my arm it's burnt",
        "I've just poured boiling water on my foot",
        "my hand my hand it's burned what do I do",
        "scalded my wrist with the steam ow",
        "she's scalded herself with the soup",
        "the kid touched the hot oven and burned his fingers",
        "and I burnt my tongue",
        "hot fat spat in my eye",
        "I have burnt me on the stove",
        "the caramel has burnt my fingers help me",
        "grabbed the hot handle ow ow",
    ],
    "emergency_cut": [
        "I've cut myself",
        "ouch I cut my finger cut my finger",
        "oh no she's cut herself with the knife there's blood everywhere",
        "cut my thumb off the top of my thumb",
        "there's blood everywhere help me please",
        "it's bleeding it won't stop bleeding",
        "my finger's bleeding a lot",
        "sliced right through my palm",
        "he's bleeding he's bleeding badly",
        "um I chopped the tip of my finger off",
        "the knife slipped and cut my hand",
        "daddy is bleeding",
        "someone's cut themselves",
        "she has just stabbed herself in the hand",
        "I grated my knuckles and they're bleeding",
        "finger is cut what do I do",
    ],
    "emergency_choking": [
        "he's choking he's choking help",
        "she can't breathe",
        "the baby is choking",
        "somebody's choking on the chicken quick",
        "I think he's choking",
        "something's stuck in her throat and she can't breathe",
        "granddad's choking do something",
        "not breathing he's not breathing",
        "a bone stuck in my throat",
        "she's gone blue",
        "can't breathe can't breathe",
        "is he choking he is choking",
    ],
    "emergency_allergy": [
        "she's having an allergic reaction",
        "allergic reaction quick where's the epipen",
        "his face is swelling up",
        "my lips are swelling and my throat's closing",
        "he's allergic to nuts and he's eaten one",
        "get her epipen she ate the walnuts",
        "anaphylactic shock I think",
        "her tongue's swollen she ate prawns",
        "she's covered in hives and wheezing",
        "I'm having an allergic reaction help",
    ],
    "emergency_gas": [
        "I can smell gas",
        "can you smell gas I smell gas",
        "smell of gas strong smell of gas",
        "it really smells of gas in here",
        "there's a gas leak get out",
        "gas is leaking from the hob",
        "the gas is on and it's not lit",
        "the flame's gone out and the gas is still on",
        "um there's a strong smell of gas",
    ],
}
# Words of danger among others: in what is told at table, and in misheard prose, where the
# recogniser is sure of nothing.
TOLD_AT_TABLE = [
    "I nearly choked when I saw the price of that sofa",
    "you could smell the gas works from our street when I was small",
    "there was blood on the carpet in the first chapter",
    "we choked back the tears at the airport",
    "her face was burning with shame",
    "years ago the old mill went up in flames",
    "in that film she stabbed herself with an icicle",
]
MISHEARD = [
    "see going to serve the sage pipe also support cut themselves",
    "slice in his tongue mixed leaves roughly with the following three messages",
    "that job's got burned a puncture minutes did you get testing it's the are do it please",
    "it should not the of anyway didn't i'm bleeding contacts",
]
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


@pytest.mark.parametrize(
    ("intent", "text"), [(intent, text) for intent, texts in HURRIED.items() for text in texts]
)
def test_a_hurried_cry_is_lost_at_no_confidence(intent: str, text: str) -> None:
    emergency = told(text)
    assert emergency is not None
    assert emergency.intent == intent
    assert heeded(text, SURELY_HEARD) == "at once"
    assert heeded(text, HARDLY_HEARD) != "not"


def test_a_bare_cry_is_heeded_at_once_unless_it_was_hardly_heard() -> None:
    texts = [text for texts in TOLD.values() for text in texts]
    assert sum(heeded(text, HEARD) == "at once" for text in texts) / len(texts) > 0.9
    assert "not" not in [heeded(text, HARDLY_HEARD) for text in texts]
    assert heeded("the pan is on fire", HARDLY_HEARD) == "at once"  # hardly anything else was said
    assert heeded("the pan is on fire", 0.0) == "in case"
    assert heeded("glass cut turn sixty her", 0.1) == "in case"


@pytest.mark.parametrize("text", TOLD_AT_TABLE)
def test_what_is_told_at_table_is_not_heeded(text: str) -> None:
    assert heeded(text, 1.0) == "not"


@pytest.mark.parametrize("text", MISHEARD)
def test_danger_among_many_misheard_words_is_not_heeded(text: str) -> None:
    assert heeded(text, 0.02) == "not"


def test_what_is_hardly_told_is_heeded_in_case() -> None:
    text = "my sister can't breathe disagree pan are throat"
    assert heeded(text, 0.2) == "in case"
    assert heeded(text, 0.4) == "at once"


def test_a_guess_at_danger_is_heeded_in_case_where_the_words_were_heard() -> None:
    assert heeded("two flame version", 0.2) == "not"
    assert heeded("two flame version", 0.4) == "in case"


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


@pytest.mark.parametrize(
    ("said", "begins"),
    [
        ("the pan is on fire", "Do not move the pan"),
        ("there is smoke pouring out of the oven", "Keep the oven door closed"),
        ("something is wrong here", "Do not move the pan"),  # a guess of the intent model
    ],
)
def test_a_pan_and_an_oven_are_told_apart(said, begins):
    here = kitchen()
    reply = answered(here.understood("emergency_fire", said), here.scene())
    assert reply.spoken.startswith(begins)


@pytest.mark.parametrize(
    "text",
    [
        "the fire's out, everyone is fine, go on",
        "bleeding has stopped, carry on",
        "my hand is fine now, let's continue",
    ],
)
def test_an_emergency_that_is_over_is_not_told_again(text):
    assert is_over(text)


@pytest.mark.parametrize(
    "text",
    [
        "the fire is out of control",
        "the fire is out",  # says nothing of going on
        "the fire is not out, I can't go on",
        "she is choking, he is fine, you go on",
        "it has stopped bleeding but it's still on fire, carry on?",
    ],
)
def test_an_emergency_is_not_taken_for_over(text):
    assert not is_over(text)


def test_how_to_cut_a_thing_is_no_wound():
    assert only_sounds_like("emergency_cut", "how do I cut it")
    assert not only_sounds_like("emergency_cut", "how do I stop the bleeding")
    assert told("how do I cut it") is None

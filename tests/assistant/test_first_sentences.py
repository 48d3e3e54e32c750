"""Every kind of answer begins with a sentence that is short enough to take in by ear."""

import re
from functools import cache

import pytest
from kitchen import SmallKitchen, kitchen

from assistant.amounts import find_amounts
from assistant.answer import ANSWERS
from assistant.figures import LONGEST_FIRST
from assistant.meaning import Ref, Understood
from assistant.phrasebook import PhraseBook, read_phrase_book
from assistant.resolve import Vocabulary, find_refs
from assistant.wiring import PHRASES

# Plans, lists to shop or set out by, and steps as they are written are read as they stand.
_READ_OUT = frozenset({"read_plan", "shopping", "set_out", "step_again", "step_in_full"})
_OF_EACH = 10  # examples of each intent, spread over the phrase book
_SENTENCE_ENDS = re.compile(r"(?<=[.?!])\s")


@cache
def book() -> PhraseBook:
    return read_phrase_book(PHRASES)


@cache
def at(moment: str) -> tuple[SmallKitchen, Vocabulary]:
    here = kitchen()
    if moment != "begun":
        here.until(moment)
    return here, Vocabulary.of(here.live.snapshot().menu)


def understood(intent: str, text: str, here: SmallKitchen, names: Vocabulary) -> Understood:
    amounts = find_amounts(text, "metric", here.now())
    refs = [
        ref
        for ref in find_refs(text, names)
        if all(ref.end <= one.start or one.end <= ref.start for one in amounts)
    ]
    chosen: list[Ref] = []
    for ref in sorted(refs, key=lambda ref: (ref.start - ref.end, ref.kind != "dish")):
        if all(ref.end <= other.start or other.end <= ref.start for other in chosen):
            chosen.append(ref)
    return Understood(text, intent, 1.0, amounts, tuple(chosen))


@pytest.mark.parametrize("moment", ["begun", "white-rice/simmer the rice"])
@pytest.mark.parametrize("intent", sorted(set(ANSWERS) - _READ_OUT))
def test_the_first_sentence_is_short(intent, moment):
    here, names = at(moment)
    examples = [example.text for example in book().intents[intent].examples]
    long: list[str] = []
    for text in examples[:: max(1, len(examples) // _OF_EACH)]:
        spoken = ANSWERS[intent](understood(intent, text, here, names), here.scene()).spoken
        first = _SENTENCE_ENDS.split(spoken)[0]
        if len(first.split()) > LONGEST_FIRST:
            long.append(f"{text}: {first}")
    assert long == []

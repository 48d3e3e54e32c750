"""One utterance of every intent: whatever comes of it is said in words alone."""

import re

from fronts import running_cook, told

from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook

_WORDS = re.compile(r"(?:[^\W\d_]|[ .,;:!?'-])*")
_ABBREVIATED = re.compile(r"\b(?:g|kg|ml|tsp|tbsp|oz|lb|cm|mm|min|hrs?|sec|approx|[A-Z]{2,})\b")


def test_no_figure_sign_or_abbreviation_is_ever_spoken(phrase_book: PhraseBook) -> None:
    with running_cook() as running:
        messages = told(running)
        for name, intent in phrase_book.intents.items():
            if name == OUT_OF_SCOPE:
                continue
            reply = running.say(intent.examples[0].text, wait=False)
            if reply.stops or name in ("hush", "pause_cook"):
                running.say("carry on", wait=False)
            if reply.more:
                running.say("more", wait=False)
            running.request.clock.advance(60)
            running.cook.tick()
    spoken = {message.spoken for message in messages if message.kind != "heard"}
    assert len(spoken) > 80
    assert {words for words in spoken if not _WORDS.fullmatch(words)} == set()
    assert {words for words in spoken if _ABBREVIATED.search(words)} == set()

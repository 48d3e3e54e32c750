"""Figures of the language model: `python -m tests.bench.words [SENTENCES]`.

A part of `make bench-voice`. How well words are pronounced that a dictionary lacks; how long a
menu takes to be compiled; and how many sentences of a half of the phrase book that the model never
saw are heard word for word, SENTENCES by each fixed voice (6 unless told), with as many of others'
talk.
"""

import random
import re
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import pocketsphinx
from rapidfuzz.distance import Levenshtein

from assistant import wiring
from assistant.audio import CHUNK_BYTES, to_pcm
from assistant.drawing import sentences
from assistant.hear_sphinx import SphinxRecogniser
from assistant.language_model import compile_model
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook, read_phrase_book
from assistant.pronounce import pronunciations
from assistant.published import published
from assistant.speak import Speaker
from assistant.spelling import Speller
from domain.cookbook import names
from tests.bench.chatter import VOICES, spoken, talk

HELD_OUT = 1000
ACTED_UPON = 0.3
_TABLES = Path(__file__).parents[2] / "domain" / "tables"
_SILENCE = bytes(16_000)  # half a second

Said = Mapping[str, Sequence[str]]


def main(arguments: Sequence[str]) -> None:
    """Print the three tables."""
    print("Words pronounced, against what a dictionary prints (the best of its pronunciations)")
    listed = _listed()
    plain = [word for word in sorted(listed) if word.isalpha()]
    some = random.Random(7).sample(plain, HELD_OUT)
    print_errors(f"{HELD_OUT} words of PocketSphinx's", {word: listed[word] for word in some})
    words = {w for t in _TABLES.glob("*.yaml") for w in re.findall(r"[^\W\d_]{3,}", t.read_text())}
    missing = published(sorted({word.lower() for word in words} - listed.keys()))
    foods = {word: said for word, said in missing.items() if said}
    print_errors(f"{len(foods)} words of our tables, misaki's", foods)
    print("\nA menu compiled, seconds: nothing kept, everything kept")
    for name in names("menus"):
        print(f"  {name:20} {' '.join(f'{took:.2f}' for took in compiled(name))}")
    hearing(int(arguments[0]) if arguments else 6)


def print_errors(name: str, printed: Said) -> None:
    """The share of wrong phones and of words with none wrong, by each way of guessing."""
    spell = Speller()
    espeak = pronunciations([*printed])
    spelt = {word: (spell(word),) for word in printed}
    both = {word: (*espeak[word], *spelt[word]) for word in printed}
    for way, said in (("eSpeak NG", espeak), ("spelling", spelt), ("both", both)):
        wrong, phones, right = errors(printed, said)
        print(f"  {name:32} {way:10} {wrong / phones:6.1%} {right / len(printed):6.1%}")


def errors(printed: Said, said: Said) -> tuple[int, int, int]:
    """Wrong phones, all phones, and words without a wrong one."""
    wrong = phones = right = 0
    for word, known in printed.items():
        pairs = [(one.split(), other.split()) for one in known for other in said[word]]
        apart, length = min(
            ((Levenshtein.distance(one, other), len(one)) for one, other in pairs),
            key=lambda pair: pair[0] / pair[1],
        )
        wrong, phones, right = wrong + apart, phones + length, right + (apart == 0)
    return wrong, phones, right


def _listed() -> dict[str, list[str]]:
    listed: dict[str, list[str]] = {}
    with Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict")).open() as lines:
        for line in lines:
            word, phones = line.rstrip().split(" ", 1)
            listed.setdefault(word.split("(")[0], []).append(phones)
    return listed


def compiled(name: str) -> Iterator[float]:
    """Seconds to compile a menu's model, from nothing and again."""
    book, menu = read_phrase_book(wiring.PHRASES), wiring.menu_named([name])
    with tempfile.TemporaryDirectory() as folder:
        for _ in range(2):
            began = time.perf_counter()
            compile_model(book, menu, Path(folder))
            yield time.perf_counter() - began


def halves(book: PhraseBook) -> Iterator[PhraseBook]:
    """Every other example of each intent that is asked for; and the others."""
    for first in (0, 1):
        kept = {
            name: replace(intent, examples=intent.examples[first::2])
            for name, intent in book.intents.items()
            if name != OUT_OF_SCOPE
        }
        yield replace(book, intents=kept)


def hearing(count: int) -> None:
    """By each voice: unseen sentences heard word for word, and other speech acted upon."""
    known, unseen = halves(read_phrase_book(wiring.PHRASES))
    menu = wiring.menu_named(["harbour-supper"])
    said = [s for s in dict.fromkeys(sentences(unseen, menu, 8000, seed=5)) if s.count(" ") > 1]
    random.Random(11).shuffle(said)
    other = talk()
    print(
        f"\nOf {count} unseen sentences, heard word for word; so and above {ACTED_UPON};"
        f" of {count} others' sentences, above {ACTED_UPON}"
    )
    with tempfile.TemporaryDirectory() as folder:
        ear = SphinxRecogniser(compile_model(known, menu, Path(folder)))
        for name, make in VOICES.items():
            speaker = make()
            heard = [(text, *_heard(ear, speaker, text)) for text in said[:count]]
            said = said[count:]
            right = [sure for text, words, sure in heard if text == words]
            sure_right = sum(sure > ACTED_UPON for sure in right)
            chatter = [_heard(ear, speaker, next(other))[1] > ACTED_UPON for _ in range(count)]
            print(f"  {name:22} {len(right):3} {sure_right:3} {sum(chatter):3}", flush=True)


def _heard(ear: SphinxRecogniser, speaker: Speaker, text: str) -> tuple[str, float]:
    pcm = _SILENCE + to_pcm(spoken(speaker, text)) + _SILENCE
    told = [ear.feed(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    finals = [one for one in (*told, ear.finish()) if one and one.final]
    return " ".join(one.text for one in finals), min((o.confidence for o in finals), default=0.0)


if __name__ == "__main__":
    main(sys.argv[1:])

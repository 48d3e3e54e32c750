"""The phrase book's own wordings, matched without the intent server: exactly, or nearly.

Nearly is by spelling and by sound, so "where wars I" is still "where was I". Reading the amounts
of a whole book takes seconds, so training keeps the wordings in a file.
"""

import hashlib
import json
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import jellyfish
import numpy as np
from rapidfuzz import fuzz, process

from assistant.masking import THING_ENTITY, Masker
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook
from assistant.wording import exact_key, plain

FOLDER = Path(__file__).parents[1] / "models" / "intents"
# The modules that decide how a wording is masked; what was kept is of no use when they change.
_DECIDING = (
    *("amounts.py", "clock_words.py", "corrections.py", "number_words.py", "unit_words.py"),
    *("known.py", "masking.py", "phrasebook.py", "wording.py"),
)
# Shorter wordings have too many neighbours: "stop", "shop", "step".
_SHORTEST_NEAR = 6
# One of these more or less turns a wording into another one.
_TURNING = frozenset(
    """not cannot no never on off up down more less fewer earlier later sooner before after back
    next last start stop end louder softer slower faster hot cold many much long without
    first second other""".split()  # noqa: SIM905
)


@dataclass(frozen=True)
class Known:
    """exact: normalised masked wording to its intent, what is out of scope included.

    ordinary: words that are themselves, and no misspelt or misheard name of something else.
    """

    exact: dict[str, str]
    ordinary: frozenset[str]

    def intent_of(self, wording: str) -> str | None:
        """The intent of a masked wording that is in the book; None also when out of scope."""
        intent = self.exact.get(exact_key(wording))
        return None if intent == OUT_OF_SCOPE else intent

    def near(self, wording: str) -> tuple[str, float] | None:
        """The intent of the book's wording most like this one, and how like, 0 to 1.

        None when the two differ in a word that turns the meaning.
        """
        key = exact_key(wording)
        if len(key) < _SHORTEST_NEAR or not self.exact:
            return None
        letters = process.cdist([key.replace(" ", "")], self._letters, scorer=fuzz.ratio)[0]
        sounds = process.cdist([_sound(key)], self._sounds, scorer=fuzz.ratio)[0]
        likeness = (letters + sounds) / 200
        best = int(np.argmax(likeness))
        if (set(key.split()) ^ set(self._keys[best].split())) & _TURNING:
            return None
        return self.exact[self._keys[best]], float(likeness[best])

    @cached_property
    def _keys(self) -> list[str]:
        return list(self.exact)

    @cached_property
    def _letters(self) -> list[str]:
        return [key.replace(" ", "") for key in self._keys]

    @cached_property
    def _sounds(self) -> list[str]:
        return [_sound(key) for key in self._keys]


def known(book: PhraseBook, folder: Path = FOLDER) -> Known:
    """What was kept for this very book, else worked out anew."""
    file = _file(book, folder)
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        return Known(kept["exact"], frozenset(kept["ordinary"]))
    except (OSError, ValueError, KeyError, TypeError):
        return work_out(book)


def keep(book: PhraseBook, folder: Path = FOLDER) -> None:
    """Keep what `known` needs for this book, in place of what was kept before."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("known-*.json"):
        old.unlink()
    found = work_out(book)
    content = {"exact": found.exact, "ordinary": sorted(found.ordinary)}
    part = _file(book, folder).with_suffix(".part")
    part.write_text(json.dumps(content), encoding="utf-8")
    part.rename(_file(book, folder))


def work_out(book: PhraseBook) -> Known:
    """The wordings that belong to one intent only, and the words around amounts and things.

    What is out of scope gives way: "yes dear" is, but "yes", to which it comes down, is not.
    """
    masker = Masker(book.lookups.get(THING_ENTITY, ()))
    owners: dict[str, set[str]] = {}
    ordinary = {word for food in book.lookups.get(THING_ENTITY, ()) for word in food.split()}
    for intent in book.intents.values():
        for example in intent.examples:
            things = [(s.start, s.end) for s in example.spans if s.entity == THING_ENTITY]
            wording = masker.masked(example.text, things=things)
            owners.setdefault(exact_key(wording), set()).add(intent.name)
            ordinary.update(plain(example.masked).split(), example.masked.lower().split())
    meant = {key: names - {OUT_OF_SCOPE} or names for key, names in owners.items() if key}
    exact = {key: next(iter(names)) for key, names in meant.items() if len(names) == 1}
    return Known(exact, frozenset(ordinary))


def _sound(key: str) -> str:
    return jellyfish.metaphone(key).replace(" ", "")


def _file(book: PhraseBook, folder: Path) -> Path:
    digest = hashlib.sha256(book.digest.encode())
    for name in _DECIDING:
        digest.update(Path(__file__).with_name(name).read_bytes())
    return folder / f"known-{digest.hexdigest()[:16]}.json"

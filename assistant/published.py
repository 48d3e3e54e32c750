"""Pronunciations as dictionaries print them, American and British.

From the two hand-made dictionaries of the wheel `misaki` (some 90,000 words each, Apache-2.0),
of which only these data files are read, and from a short list of our own. Endings that they leave
out are put on by rule.
"""

import json
import unicodedata
from collections.abc import Iterable
from importlib.metadata import distribution
from pathlib import Path

import yaml

from assistant.arpabet import arpabet

SPOKEN_WORDS = Path(__file__).parents[1] / "domain" / "spoken_words.yaml"
_FILES = ("misaki/data/us_gold.json", "misaki/data/gb_gold.json")

# After these the ending s is a syllable of its own, or voiceless.
_HISSING = frozenset({"S", "Z", "SH", "ZH", "CH", "JH"})
_VOICELESS = frozenset({"P", "T", "K", "F", "TH"})

# misaki has one pronunciation a word or one for each part of speech, in IPA; ours are in ARPAbet.
_Said = str | dict[str, str | None] | list[str]


def published(words: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Each word's pronunciations in ARPAbet, the American before the British; () for none."""
    ours = yaml.safe_load(SPOKEN_WORDS.read_text(encoding="utf-8"))
    dictionaries: list[dict[str, _Said]] = [
        *(json.loads(_text(file)) for file in _FILES),
        ours | {unaccented(word): said for word, said in ours.items()},
    ]
    return {
        word: tuple(dict.fromkeys(phones for d in dictionaries for phones in _looked_up(d, word)))
        for word in words
    }


def unaccented(word: str) -> str:
    """ "purée" as "puree"."""
    return "".join(letter for letter in unicodedata.normalize("NFD", word) if letter.isascii())


def _text(file: str) -> str:
    return Path(str(distribution("misaki").locate_file(file))).read_text(encoding="utf-8")


def _looked_up(dictionary: dict[str, _Said], word: str) -> list[str]:
    for written in (word, word.capitalize(), unaccented(word)):
        if written in dictionary:
            return _in_arpabet(dictionary[written])
    stem = word.removesuffix("'s") if word.endswith("'s") else word.removesuffix("s")
    if stem != word and stem in dictionary:
        return [f"{phones} {_ending(phones)}" for phones in _in_arpabet(dictionary[stem])]
    return []


def _in_arpabet(said: _Said) -> list[str]:
    if isinstance(said, list):
        return said
    ipas = said.values() if isinstance(said, dict) else [said]
    return [phones for ipa in ipas if ipa and (phones := arpabet(ipa))]


def _ending(phones: str) -> str:
    last = phones.rsplit(" ", 1)[-1]
    return "IH Z" if last in _HISSING else "S" if last in _VOICELESS else "Z"

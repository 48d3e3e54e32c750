"""Names of foods: US and UK names are the same food, plurals are the singular, longest name wins.

Both sides of every comparison go through `canonical`, so a table may use either name.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Generic, Literal, TypeVar

from rapidfuzz import fuzz, process

from domain.yamlfile import read

NAMES = Path(__file__).with_name("tables") / "names.yaml"
NEAR = 86.0  # rapidfuzz ratio that passes for a slip of the ear or hand; our own choice
ALIKE = 70.0  # ... and that is worth offering
_LONGEST_ASKED = 12  # words in which a misheard name is looked for; more is no question about it
_SHORTEST_NEAR = 5  # letters; shorter words are too easily one another ("cod", "rod")

_IRREGULAR = {"leaves": "leaf", "loaves": "loaf", "halves": "half", "geese": "goose"}
_NO_PLURAL = ("ss", "us", "is")

Row = TypeVar("Row")


def canonical(text: str) -> tuple[str, ...]:
    """The words of `text`: lower case, no accents, singular, US names of foods made UK ones."""
    words = _words(text)
    out: list[str] = []
    names, longest = _same_food()
    at = 0
    while at < len(words):
        for size in range(min(longest, len(words) - at), 0, -1):
            name = names.get(words[at : at + size])
            if name:
                out.extend(name)
                break
        else:
            size = 1
            out.append(words[at])
        at += size
    return tuple(out)


def singular(word: str) -> str:
    """An English food word without its plural ending."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word.endswith("s") or word.endswith(_NO_PLURAL):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("oes", "ches", "shes", "sses", "xes")):
        return word[:-2]
    return word[:-1]


def plain_forms(word: str) -> Iterator[str]:
    """What a verb's form may be of, itself first: "whipped" -> "whipp", "whippe", "whip"."""
    yield word
    for ending in ("ing", "ed", "es", "s"):
        if word.endswith(ending) and len(word) > len(ending) + 1:
            stem = word.removesuffix(ending)
            yield stem
            yield f"{stem}e"
            if stem.endswith("i"):
                yield f"{stem[:-1]}y"
            if len(stem) > 2 and stem[-1] == stem[-2]:
                yield stem[:-1]


def _words(text: str) -> tuple[str, ...]:
    bare = unicodedata.normalize("NFKD", text.lower()).encode("ascii", "ignore").decode()
    return tuple(singular(word) for word in re.findall(r"[a-z]+", re.sub(r"['’`]", "", bare)))


@dataclass(frozen=True)
class TwoNames:
    """A food's UK and US name, and its other names."""

    uk: str
    us: str
    also: tuple[str, ...] = ()


@cache
def two_names() -> tuple[TwoNames, ...]:
    """The foods with more than one name. Raises FileProblem."""
    rows = []
    for entry in read(NAMES).items():
        row = entry.fields(required=("uk", "us"), optional=("also",))
        also = row["also"].texts() if "also" in row else ()
        rows.append(TwoNames(row["uk"].text(), row["us"].text(), also))
    return tuple(rows)


@cache
def _same_food() -> tuple[dict[tuple[str, ...], tuple[str, ...]], int]:
    names: dict[tuple[str, ...], tuple[str, ...]] = {}
    for food in two_names():
        for other in (food.us, *food.also):
            names.setdefault(_words(other), _words(food.uk))
    # A UK name stands for itself even where a shorter part of it is another's name.
    names |= {_words(food.uk): _words(food.uk) for food in two_names()}
    return names, max(map(len, names))


def called(name: str, foods: Literal["uk", "us"]) -> str:
    """UK food names as the cook says them: ("grilled courgettes", "us") -> "grilled zucchinis"."""
    if foods == "uk":
        return name
    return _in_us()[0].sub(lambda found: _in_us()[1][found[1]], name)


@cache
def _in_us() -> tuple[re.Pattern[str], dict[str, str]]:
    names = {food.uk: food.us for food in two_names() if food.us != food.uk}
    longest_first = sorted(names, key=len, reverse=True)
    words = "|".join(map(re.escape, longest_first))
    return re.compile(rf"\b({words})(?=e?s?\b)"), names


@dataclass(frozen=True)
class Match(Generic[Row]):
    """A name found in a text. near: it was taken for that name by likeness only."""

    name: str
    rows: tuple[Row, ...]
    start: int
    words: int
    near: bool = False


class Index(Generic[Row]):
    """Rows by the names of the foods they are about."""

    def __init__(self, named: Iterable[tuple[str, Row]]) -> None:
        self._rows: dict[tuple[str, ...], list[Row]] = {}
        for name, row in named:
            rows = self._rows.setdefault(canonical(name), [])
            if row not in rows:
                rows.append(row)
        self._longest = max(map(len, self._rows), default=1)
        self._plain: dict[str, tuple[str, ...]] = {" ".join(words): words for words in self._rows}

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self._plain)

    def within(self, text: str) -> tuple[Match[Row], ...]:
        """The names that stand in `text`, longest first wins, in the order of the text."""
        words = canonical(text)
        taken = [False] * len(words)
        found = []
        for start, size in _spans(len(words), self._longest):
            rows = self._rows.get(words[start : start + size])
            if rows and not any(taken[start : start + size]):
                taken[start : start + size] = [True] * size
                found.append(Match(" ".join(words[start : start + size]), tuple(rows), start, size))
        return tuple(sorted(found, key=lambda match: match.start))

    def find(self, text: str) -> tuple[Match[Row], ...]:
        """`within`, else the one name that a word or two of `text` are very like, else none."""
        return self.within(text) or self._near(text)

    def nearest(self, text: str, limit: int = 2) -> tuple[str, ...]:
        """The known names most like `text`, best first; empty when none is like it."""
        query = " ".join(canonical(text))
        close = process.extract(
            query, self.names, scorer=fuzz.ratio, score_cutoff=ALIKE, limit=limit
        )
        return tuple(name for name, _, _ in close)

    def _near(self, text: str) -> tuple[Match[Row], ...]:
        words = canonical(text)
        if len(words) > _LONGEST_ASKED:
            return ()
        best: tuple[float, Match[Row]] | None = None
        for start, size in _spans(len(words), min(3, self._longest)):
            heard = " ".join(words[start : start + size])
            if len(heard) < _SHORTEST_NEAR:
                continue
            close = process.extractOne(heard, self.names, scorer=fuzz.ratio, score_cutoff=NEAR)
            if close and (best is None or close[1] > best[0]):
                name = close[0]
                rows = tuple(self._rows[self._plain[name]])
                best = close[1], Match(name, rows, start, size, near=True)
        return (best[1],) if best else ()


def _spans(words: int, longest: int) -> Iterator[tuple[int, int]]:
    """Every (start, size) of up to `longest` words, the longest first."""
    for size in range(min(longest, words), 0, -1):
        for start in range(words - size + 1):
            yield start, size

"""Ties what a cook names ("the rice", "tray two") to the things of the live menu.

By wording first (any form of the same words), then by spelling and by sound, so that a
misspelt or misheard name is still found. Pronouns are left to the conversation.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import jellyfish
from rapidfuzz import fuzz

from assistant.meaning import Ref, RefKind
from assistant.wording import plain
from domain.kitchen import Kitchen
from domain.menu import Menu, Step

# How well a name fits: all its words; the word that stands for them; the verb of a step with the
# thing it is done to.
WHOLE, HEAD, DONE_TO = 1.0, 0.9, 0.95
# A likeness of spelling and sound below this is another word (chosen on names of foods: "cous
# cous", "tumeric" and "bullgar" are above it, "nuts" for "next" is below).
LIKE_ENOUGH = 0.82
_SHORTEST_ALIKE = 4
_LONGEST_WINDOW = 6
_WORD = re.compile(r"[^\W_]+(?:-[^\W_]+)*")
# "The basting step" names a step by its verb alone.
_ITS_NAME = re.compile(r"\W+(?:step|part|bit|job)\b", re.I)
_SMALL = frozenset(
    """a an the my our your some any this that these those it its of in on at to for from with by
    and or up out off over into all both each every""".split()  # noqa: SIM905
)
# What follows these in a title is said of the dish: "salmon with brown butter" is salmon.
_SAID_OF_IT = re.compile(r"\b(?:with|in|on|under|over|for|from)\b.*")
# Words between a verb and its thing: "drained all of the green beans", "the beans I drained".
_APART = 3
_NUMBERS = {
    word: str(number)
    for number, words in enumerate(
        ("one first", "two second", "three third", "four fourth", "five fifth", "six sixth"), 1
    )
    for word in [*words.split(), str(number)]
}


@dataclass(frozen=True)
class Name:
    """A way to name a thing. key: its stems in order; score: how well it stands for the thing."""

    key: tuple[str, ...]
    joined: str
    sound: str
    kind: RefKind
    name: str
    score: float


@dataclass(frozen=True)
class Deed:
    """What a step does: the stem of its verb, and the dishes and ingredients it is done to."""

    verb: str
    step: str
    to: frozenset[str]


@dataclass(frozen=True)
class Vocabulary:
    """Every name by which the things of a kitchen may be called, and what its steps do."""

    names: tuple[Name, ...] = ()
    deeds: tuple[Deed, ...] = ()

    @classmethod
    def of(cls, menu: Menu | None, kitchen: Kitchen | None = None) -> "Vocabulary":
        """The names of a menu's dishes, steps and ingredients, and of the kitchen's equipment."""
        names = [*_names_of_menu(menu)] if menu else []
        equipment = {"oven", "ring"} if menu or kitchen else set()
        if menu:
            equipment |= {
                use.what for s in menu.steps for way in s.in_all_ways() for use in way.uses
            }
        if kitchen:
            equipment |= set(kitchen.equipment) | {oven.name for oven in kitchen.ovens}
        for what in sorted(equipment):
            names.append(_name(what, "equipment", what, WHOLE))
            names.append(_name(_head(what), "equipment", what, HEAD))
        return cls(_best(names), tuple(_deed(step) for step in menu.steps) if menu else ())

    def with_timers(self, timers: Iterable[str]) -> "Vocabulary":
        """The same with the timers that are set; "eggs" alone is the "eggs timer" too, where
        nothing else is called so."""
        known = {name.key for name in self.names}
        called = []
        for timer in timers:
            if timer == "timer":
                continue  # "the timer" is any
            called.append(_name(timer, "timer", timer, WHOLE))
            bare = _name(timer.removesuffix(" timer"), "timer", timer, HEAD)
            if bare.key not in known:
                called.append(bare)
        return replace(self, names=_best([*self.names, *called]))

    @cached_property
    def by_key(self) -> dict[tuple[str, ...], tuple[Name, ...]]:
        table: dict[tuple[str, ...], list[Name]] = {}
        for name in self.names:
            table.setdefault(name.key, []).append(name)
        return {
            key: tuple(sorted(found, key=lambda name: -name.score)) for key, found in table.items()
        }

    @cached_property
    def by_verb(self) -> dict[str, tuple[Deed, ...]]:
        table: dict[str, list[Deed]] = {}
        for deed in self.deeds:
            table.setdefault(deed.verb, []).append(deed)
        return {verb: tuple(deeds) for verb, deeds in table.items()}


def find_refs(
    text: str, vocabulary: Vocabulary, ordinary: frozenset[str] = frozenset()
) -> tuple[Ref, ...]:
    """The things named in `text`, in order; a name that fits several things gives them all.

    The longest names win. A verb with its thing ("drained the beans") names the step as well as
    the thing. ordinary: words that are never a misspelt or misheard name.
    """
    words = [(match.group(), match.start(), match.end()) for match in _WORD.finditer(text)]
    free = [True] * len(words)
    refs: list[Ref] = []
    for find in (_by_wording, _by_likeness):
        for length in range(min(_LONGEST_WINDOW, len(words)), 0, -1):
            for first in range(len(words) - length + 1):
                window = words[first : first + length]
                if not all(free[first : first + length]):
                    continue
                found = find([word.lower() for word, _, _ in window], vocabulary, ordinary)
                if found:
                    free[first : first + length] = [False] * length
                    start, end = window[0][1], window[-1][2]
                    refs += [
                        Ref(text[start:end], name.kind, name.name, round(score, 2), start, end)
                        for name, score in found
                    ]
    refs += list(dict.fromkeys(_deeds(text, refs, vocabulary)))
    return tuple(sorted(refs, key=lambda ref: (ref.start, ref.start - ref.end, -ref.score)))


def _deeds(text: str, refs: list[Ref], vocabulary: Vocabulary) -> Iterator[Ref]:
    """The steps told by a verb near a dish or ingredient; their text runs from one to the other."""
    for word in _WORD.finditer(text):
        for deed in vocabulary.by_verb.get(stem(word[0].lower()), ()):
            if _ITS_NAME.match(text, word.end()):
                yield Ref(word[0], "step", deed.step, DONE_TO, word.start(), word.end())
            for ref in refs:
                first, last = min(word.start(), ref.start), max(word.end(), ref.end)
                between = _WORD.findall(
                    text, min(word.end(), ref.end), max(word.start(), ref.start)
                )
                apart = ref.end <= word.start() or word.end() <= ref.start
                if apart and ref.name in deed.to and len(between) <= _APART:
                    score = round(DONE_TO * ref.score, 2)
                    yield Ref(text[first:last], "step", deed.step, score, first, last)


def _by_wording(
    window: list[str], vocabulary: Vocabulary, ordinary: frozenset[str]
) -> list[tuple[Name, float]]:
    if window[0] in _SMALL or window[-1] in _SMALL:
        return []
    key = _key(" ".join(window))
    return [(name, name.score) for name in vocabulary.by_key.get(key, ())]


def _by_likeness(
    window: list[str], vocabulary: Vocabulary, ordinary: frozenset[str]
) -> list[tuple[Name, float]]:
    """The names most like one to three words that are no ordinary ones, all as like."""
    joined = "".join(window)
    if len(window) > 3 or len(joined) < _SHORTEST_ALIKE:
        return []
    if any(word in _SMALL or word in ordinary for word in window):
        return []
    sound = jellyfish.metaphone(" ".join(window)).replace(" ", "")
    best = LIKE_ENOUGH
    found: list[tuple[Name, float]] = []
    for name in vocabulary.names:
        if len(name.joined) < _SHORTEST_ALIKE or abs(len(name.joined) - len(joined)) > 3:
            continue
        likeness = 0.6 * fuzz.ratio(joined, name.joined) + 0.4 * fuzz.ratio(sound, name.sound)
        score = name.score * likeness / 100
        if score > best:
            best, found = score, []
        if score == best:
            found.append((name, score))
    return found


def _names_of_menu(menu: Menu) -> Iterator[Name]:
    for dish in menu.dishes:
        written = dish.name.replace("-", " ")
        for text in (dish.title, written, *dish.also):
            yield _name(text, "dish", dish.name, WHOLE)
        for part in _SAID_OF_IT.sub("", plain(dish.title)).split(" and "):
            yield _name(_head(part), "dish", dish.name, HEAD)
        for step in dish.steps:
            for text in (step.name.replace("-", " "), *step.also):
                if _key(text) != (_verb(step),):
                    yield _name(text, "step", step.key, WHOLE)
        for ingredient in dish.ingredients:
            for text in (ingredient.name, *ingredient.also):
                yield _name(text, "ingredient", ingredient.name, WHOLE)
            yield _name(_head(ingredient.name), "ingredient", ingredient.name, HEAD)


def _deed(step: Step) -> Deed:
    return Deed(_verb(step), step.key, frozenset({step.dish, *step.ingredients}))


def _verb(step: Step) -> str:
    """Steps are named as one is told to do them: the first word is the verb."""
    return stem(plain(step.name.replace("-", " ")).split()[0])


def _name(text: str, kind: RefKind, name: str, score: float) -> Name:
    words = " ".join(word for word in plain(text).split() if word not in _SMALL)
    sound = jellyfish.metaphone(words).replace(" ", "")
    return Name(_key(words), words.replace(" ", ""), sound, kind, name, score)


def _best(names: Iterable[Name]) -> tuple[Name, ...]:
    """Each wording of a thing once, at its best score; empty wordings left out."""
    kept: dict[tuple[tuple[str, ...], str, str], Name] = {}
    for name in names:
        place = (name.key, name.kind, name.name)
        if name.key and (place not in kept or kept[place].score < name.score):
            kept[place] = name
    return tuple(kept.values())


def _head(text: str) -> str:
    """The word that stands for the whole: the last one ("brown rice" is rice)."""
    words = [word for word in plain(text).split() if word not in _SMALL]
    return words[-1] if words else ""


def _key(text: str) -> tuple[str, ...]:
    """The stems, with "second tray" and "tray 2" alike."""
    stems = [stem(word) for word in plain(text).replace("-", " ").split() if word not in _SMALL]
    if len(stems) == 2 and stems[0] in _NUMBERS:
        stems.reverse()
    return tuple(_NUMBERS.get(word, word) if i else word for i, word in enumerate(stems))


def stem(word: str) -> str:
    """A rough stem that is the same for "onions" and "onion", "slicing" and "slice"."""
    for ending, short in (("ies", "y"), ("oes", "o"), ("ches", "ch"), ("shes", "sh")):
        if word.endswith(ending) and len(word) > len(ending) + 1:
            return word[: -len(ending)] + short
    if word.endswith("s") and not word.endswith(("ss", "us")) and len(word) > 3:
        word = word[:-1]
    for ending in ("ing", "ed"):
        if word.endswith(ending) and len(word) > len(ending) + 2:
            word = word[: -len(ending)]
            if word[-1] == word[-2] and word[-1] not in "ls":
                word = word[:-1]
    return word[:-1] if word.endswith("e") and len(word) > 3 else word


NOTHING = Vocabulary()

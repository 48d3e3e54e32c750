"""What the words of a recipe suggest about a step: tables/recipe_words.yaml, common practice.

Every reader raises FileProblem with file, line and field.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Literal, cast, get_args

from domain import written
from domain.menu import Attention, Duration
from domain.names import plain_forms
from domain.sources import CITED, TABLES, cited, flag
from domain.yamlfile import Entry, read

Place = Literal["bench", "same", "ring", "oven", "heat", "off"]


@dataclass(frozen=True)
class Verb:
    """What a cooking verb does to a step that says nothing else.

    each: takes so long for each ingredient. noun: the word may be a thing as well ("butter").
    """

    word: str
    attention: Attention
    takes: Duration
    place: Place
    each: bool
    noun: bool


@dataclass(frozen=True)
class Usual:
    """What is taken where a recipe says nothing at all; hold_s in seconds, the oven's in °C."""

    serves: int
    ring: str
    oven: str
    celsius: float
    hold_hot_s: int
    hold_cold_s: int
    unknown_verb: Duration


@dataclass(frozen=True)
class RecipeWords:
    """The whole table. attention and vessels: by the words that mean them; of the vessels the
    longest words first.

    made_of: last words of foods that are made of another; kinds: words before a food that make
    it another.
    """

    verbs: Mapping[str, Verb]
    attention: Mapping[str, Attention]
    vessels: Mapping[str, str]
    made_of: frozenset[str]
    kinds: frozenset[str]
    usual: Usual


@cache
def recipe_words() -> RecipeWords:
    """The table, read once. Raises FileProblem."""
    table = read(TABLES / "recipe_words.yaml").fields(
        (*CITED, "verbs", "attention", "vessels", "made_of", "kinds", "usual")
    )
    cited(table)
    vessels = [
        (word, row["vessel"].text())
        for item in table["vessels"].items()
        for row in [item.fields(("vessel", "words"))]
        for word in row["words"].texts()
    ]
    return RecipeWords(
        verbs={verb.word: verb for item in table["verbs"].items() for verb in _verbs(item)},
        attention={
            word: _attention(row["attention"])
            for item in table["attention"].items()
            for row in [item.fields(("words", "attention"))]
            for word in row["words"].texts()
        },
        vessels=dict(sorted(vessels, key=lambda pair: -len(pair[0]))),
        made_of=frozenset(table["made_of"].texts()),
        kinds=frozenset(table["kinds"].texts()),
        usual=_usual(table["usual"]),
    )


def _verbs(entry: Entry) -> Iterator[Verb]:
    row = entry.fields(("words", "attention", "takes", "place"), ("each", "noun"))
    place = cast(Place, row["place"].choice(get_args(Place)))
    for word in row["words"].texts():
        yield Verb(
            word,
            _attention(row["attention"]),
            written.duration(row["takes"]),
            place,
            flag(row, "each"),
            flag(row, "noun"),
        )


def _attention(entry: Entry) -> Attention:
    return cast(Attention, entry.choice(get_args(Attention)))


def _usual(entry: Entry) -> Usual:
    row = entry.fields(
        ("serves", "ring", "oven", "celsius", "hold hot", "hold cold", "unknown verb")
    )
    return Usual(
        serves=row["serves"].whole(1, 100),
        ring=row["ring"].text(),
        oven=row["oven"].text(),
        celsius=row["celsius"].number(40, 300),
        hold_hot_s=written.seconds(row["hold hot"]),
        hold_cold_s=written.seconds(row["hold cold"]),
        unknown_verb=written.duration(row["unknown verb"]),
    )


def verb_of(word: str) -> Verb | None:
    """The verb that a word is a form of: "simmering", "chopped", "fries"; None for no verb."""
    known = recipe_words().verbs
    return next((known[form] for form in plain_forms(word.lower()) if form in known), None)


def vessel_in(text: str) -> tuple[str, str] | None:
    """The vessel that a text names as our kitchens call it, and the words; the longest name."""
    for words, vessel in recipe_words().vessels.items():
        if re.search(rf"\b{re.escape(words)}\b", text.lower()):
            return vessel, words
    return None


def attention_in(text: str) -> tuple[Attention, str] | None:
    """The attention that the words beside a verb ask for, and those words."""
    for words, attention in recipe_words().attention.items():
        if re.search(rf"\b{re.escape(words)}\b", text.lower()):
            return attention, words
    return None

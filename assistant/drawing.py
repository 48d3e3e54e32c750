"""Sentences drawn from the phrase book: what the recogniser's language model learns from.

In the place of each annotated entity comes another of the book's own, of its lookups and their
synonyms, of the loaded menu's words, or of the grammar of spoken amounts. The drawing is fixed
by its seed, so the same book and menu always give the same sentences.
"""

import random
import re
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import Path

import yaml

from assistant.phrasebook import Example, PhraseBook, Span
from domain.aloud import UNITS
from domain.menu import Menu
from domain.phrasing import counted, number_spoken

AMOUNTS_FILE = Path(__file__).parents[1] / "domain" / "spoken_amounts.yaml"

# Sentences drawn: enough for two or three of each example; they compile within a second.
SENTENCES = 20_000

# Said far more often at a stove than their share of the phrase book (our own estimate).
FREQUENT = {
    "report_done": 4.0,
    "what_next": 3.0,
    "what_now": 3.0,
    "stop": 3.0,
    "again": 2.0,
    "yes": 2.0,
    "no": 2.0,
    "time_left": 2.0,
    "timer_set": 2.0,
}

# How a step is spoken of by its name.
STEP_SAID = ("{}", "can i {}", "can i {} now", "when do i {}", "do i {} now", "shall i {}")

# Of the things named, how many are of the loaded menu (our own estimate).
MENU_SHARE = 0.75

# How often our name comes before a sentence, and alone (our own estimates).
NAMED, NAME_ALONE = 0.2, 0.02

_PART = re.compile(r"<(\w+)>")
_WEIGHT = re.compile(r"(\d+) \* ")
_LEAD = re.compile(r"^(?:the|my|that|this|our|some|a|an) ")
# The article agrees with the word that came after it; these begin with a vowel's sound.
_ARTICLE = re.compile(r"\ban? (?=(\w+))")
_VOWEL = re.compile(r"[aei]|o(?!ne\b)|u(?!ni|se)|hour")
_AFTER_ARTICLE = re.compile(r"\ban? $", re.IGNORECASE)
# How units that are typed short are said: these after a figure, and the longer ones anywhere.
_SHORT = {
    **{s: counted(u, 2) for s, u in UNITS.items() if s.islower() and not s.startswith(u)},
    **{"c": "celsius", "f": "fahrenheit", "°c": "degrees celsius", "°f": "degrees fahrenheit"},
    "°": "degrees",
}
_UNIT = re.compile(
    rf"(?<=[\d¼-¾⅐-⅞]) ?({'|'.join(sorted(_SHORT, reverse=True))})(?![^\W_])"
    r"|\b(kgs?|mg|ml|cl|dl|lbs?|oz|tsps?|tbsps?|cm|mm|hrs|mins|secs)\b"
)
_FIGURE = re.compile(r"(?<![^\W\d])\d+(?:\.\d+)?(?![^\W_])")
_VULGAR = re.compile(r"(\d{0,4}) ?([¼-¾⅐-⅞])")
_HALF_DAY = re.compile(r"(?<=\d)(?=[ap]m\b)")
_THOUSANDS = re.compile(r"(?<=\d),(?=\d{3}\b)")
_LONGEST_NUMBER = 4  # more digits than this are said one by one
_INNER = re.compile(r" (?:the|my|a|an) ")
_NOT_SAID = re.compile(r"[^\w' ]|_")


class Amounts:
    """The grammar of spoken amounts of `domain/spoken_amounts.yaml`."""

    def __init__(self, path: Path = AMOUNTS_FILE) -> None:
        self.text = path.read_text(encoding="utf-8")
        self._lines: dict[str, tuple[list[str], list[int]]] = {}
        for name, lines in yaml.safe_load(self.text).items():
            weights = [int(m[1]) if (m := _WEIGHT.match(line)) else 1 for line in lines]
            self._lines[name] = [_WEIGHT.sub("", line) for line in lines], weights

    def fit(self, name: str, said: Sequence[str]) -> bool:
        """Whether an entity of this name is an amount, by most of what it is said to be."""
        words = {word for word in self.words() if len(word) > 2 and word != "and"}
        return name in self._lines and 2 * sum(not words.isdisjoint(s.split()) for s in said) > (
            len(said)
        )

    def words(self) -> Iterator[str]:
        """Every word of the grammar, so that a rare one is in the model too."""
        for lines, _ in self._lines.values():
            for line in lines:
                yield from _PART.sub("", line).split()

    def draw(self, name: str, rng: random.Random) -> str:
        """One way to say an amount of the kind `name`, for instance "mass"."""
        lines, weights = self._lines[name]
        line = rng.choices(lines, weights)[0]
        return _PART.sub(lambda part: self.draw(part[1], rng), line)


def menu_words(menu: Menu | None) -> tuple[str, ...]:
    """Everything of the menu that has a name, without its article, and what its steps are called.

    "Put the rice on" does not fit where "rice" does, so names with an article inside are left to
    `step_words`.
    """
    names = (_LEAD.sub("", name, count=1) for name in _names(menu))
    return tuple(dict.fromkeys(name for name in names if name and not _INNER.search(name)))


def step_words(menu: Menu | None) -> tuple[str, ...]:
    """What is to be done, as the menu's steps call it ("put the rice on")."""
    return tuple(dict.fromkeys(name for name in _names(menu) if _INNER.search(name)))


def _names(menu: Menu | None) -> Iterator[str]:
    """Dishes, ingredients, steps and equipment as they are spoken of."""
    for dish in menu.dishes if menu else ():
        yield from map(spoken, (dish.name, dish.title, *dish.also))
        for ingredient in dish.ingredients:
            yield from map(spoken, (ingredient.name, *ingredient.also))
        for step in dish.steps:
            uses = [use.what for way in step.in_all_ways() for use in way.uses]
            yield from map(spoken, (step.name, *step.also, *uses))


def gate_words(menu: Menu | None) -> tuple[str, ...]:
    """What reports the menu's gates ("it boils")."""
    steps = menu.steps if menu else ()
    said = (phrase for step in steps if step.gate for phrase in step.gate.says)
    return tuple(dict.fromkeys(map(spoken, said)))


def spoken(text: str) -> str:
    """Text as the recogniser writes it: lower case, figures and short units in
    words, no marks but the apostrophe."""
    text = text.lower().replace("’", "'").replace("s's", "s'")
    text = text.replace("&", " and ").replace("%", " percent ")
    text = _UNIT.sub(lambda unit: f" {_SHORT[unit[1] or unit[2]]} ", text)
    text = _HALF_DAY.sub(" ", _VULGAR.sub(_with_fraction, _THOUSANDS.sub("", text)))
    text = _FIGURE.sub(_in_words, text)
    words = (word.strip("'") for word in _NOT_SAID.sub(" ", text).split())
    return " ".join(filter(None, words))


def _with_fraction(figure: re.Match[str]) -> str:
    return f" {number_spoken(int(figure[1] or 0) + unicodedata.numeric(figure[2]))} "


def _in_words(figure: re.Match[str]) -> str:
    whole = figure[0].split(".")[0]
    one_by_one = len(whole) > _LONGEST_NUMBER or (len(whole) > 1 and whole.startswith("0"))
    numbers = [*figure[0].replace(".", "")] if one_by_one else [figure[0]]
    return f" {' '.join(number_spoken(float(number)) for number in numbers)} "


def sentences(
    book: PhraseBook,
    menu: Menu | None = None,
    count: int = SENTENCES,
    seed: int = 1,
    called: str = "",
    stops: float = 0.0,
) -> list[str]:
    """About `count` sentences: every example at least once, frequent intents more often.

    called: a name that may be said before any of them, or alone; then there are more. stops: as
    many more again, by this share of all, are "stop" alone.
    """
    rng = random.Random(seed)
    fill = _Filler(book, menu, rng)
    weights = {
        name: FREQUENT.get(name, 1.0) * max(1, len(intent.examples)) ** 0.5
        for name, intent in book.intents.items()
    }
    share = count / sum(weights.values())
    drawn: list[str] = []
    for name, intent in book.intents.items():
        times = max(1, round(share * weights[name] / max(1, len(intent.examples))))
        for example in intent.examples:
            others = max(1, times - 1) if example.spans else times - 1
            drawn += [spoken(example.text), *(fill(example) for _ in range(others))]
    for phrase in gate_words(menu):
        drawn += [phrase] * max(1, round(share / 10))
    for words in step_words(menu):
        drawn += [said.format(words) for said in STEP_SAID]
    drawn = [sentence for sentence in drawn if sentence]
    drawn += _named(drawn, spoken(called), rng) if called else []
    drawn += ["stop"] * round(len(drawn) * stops)
    return [
        _ARTICLE.sub(lambda a: "an " if _VOWEL.match(a[1]) else "a ", sentence)
        for sentence in (*drawn, *fill.words())
    ]


def _named(drawn: Sequence[str], name: str, rng: random.Random) -> Iterator[str]:
    """Our name, alone and before some of the sentences."""
    for sentence in rng.sample(drawn, round(len(drawn) * NAMED)):
        yield f"{name} {sentence}"
    yield from [name] * round(len(drawn) * NAME_ALONE)


def _values(book: PhraseBook) -> dict[str, list[str]]:
    """What may be said of each entity: its lookup, the examples' own, and their synonyms."""
    values = {name: dict.fromkeys(map(spoken, said)) for name, said in book.lookups.items()}
    meant: dict[str, set[str]] = {}
    for intent in book.intents.values():
        for example in intent.examples:
            for span in example.spans:
                text = example.text[span.start : span.end]
                values.setdefault(span.entity, {})[spoken(text)] = None
                meant.setdefault(span.entity, set()).add(spoken(span.value))
    for phrase, value in ((spoken(p), spoken(v)) for p, v in book.synonyms.items()):
        for name, said in values.items():
            if value in said or phrase in said or value in meant.get(name, ()):
                said[phrase] = None
    return {name: [word for word in said if word] for name, said in values.items()}


class _Filler:
    """Writes an example anew, with other amounts and things in the places of its entities."""

    def __init__(self, book: PhraseBook, menu: Menu | None, rng: random.Random) -> None:
        self._rng = rng
        self._amounts = Amounts()
        self._lists = _values(book)
        counted = [
            name
            for name, said in self._lists.items()
            if name not in book.lookups and self._amounts.fit(name, said)
        ]
        for name in counted:
            del self._lists[name]
        self._counts = bool(counted)
        if menu is not None:
            # Cooks talk of what is on the menu; of other foods now and then.
            others = [*map(spoken, book.lookups.get("thing", ()))]
            named = menu_words(menu)
            times = max(1, round(MENU_SHARE * len(others) / (1 - MENU_SHARE) / len(named)))
            self._lists["thing"] = [*(named * times), *others]
        self._decks: dict[str, list[str]] = {}

    def __call__(self, example: Example) -> str:
        parts, done = [], 0
        for span in example.spans:
            parts += [example.text[done : span.start], self._entity(example, span)]
            done = span.end
        return spoken("".join([*parts, example.text[done:]]))

    def words(self) -> list[str]:
        """All that may come in the place of an entity, once each."""
        said = {word for words in self._lists.values() for word in words}
        return sorted(said | set(self._amounts.words()) if self._counts else said)

    def _entity(self, example: Example, span: Span) -> str:
        said = spoken(example.text[span.start : span.end])
        if span.entity in self._lists:
            word = self._dealt(span.entity, self._lists[span.entity])
            lead = _LEAD.match(said)
            return f"{lead[0]}{word}" if lead and not _LEAD.match(word) else word
        amount = self._amounts.draw(span.entity, self._rng)
        if not _AFTER_ARTICLE.search(example.text[: span.start]):
            return amount
        # "a ten minute timer": nothing of "half an hour" fits there, and the unit is singular.
        while amount.startswith(("a ", "an ", "half ")):
            amount = self._amounts.draw(span.entity, self._rng)
        return amount.removesuffix("s") if amount.endswith(("tes", "hours", "ds")) else amount

    def _dealt(self, name: str, words: Sequence[str]) -> str:
        """The next of the words in shuffled order: each comes as often as any other."""
        if not self._decks.get(name):
            self._decks[name] = self._rng.sample(words, len(words))
        return self._decks[name].pop()

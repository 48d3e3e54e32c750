"""What can be said, as a trigram and a pronouncing dictionary for PocketSphinx.

Sentences are drawn from the phrase book; in the place of each annotated entity comes one of the
book's own lookup, of the loaded menu's words, or of the grammar of spoken amounts. The drawing
is fixed by its seed, so the same book and menu always give the same model, kept in a cache
folder under the hash of all that went in.
"""

import hashlib
import random
import re
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pocketsphinx
import yaml
from platformdirs import user_cache_path

from assistant.phrasebook import Example, PhraseBook, Span
from assistant.pronounce import pronunciations
from assistant.trigram import arpa
from domain.menu import Menu

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
# What has no spoken form as it is written: figures and abbreviations.
_UNSPOKEN = re.compile(r"\d|\b[^\Waeiouy]{2,}\b")
_INNER = re.compile(r" (?:the|my|a|an) ")
_NOT_SAID = re.compile(r"[^\w' ]|_")


@dataclass(frozen=True)
class LanguageModel:
    """A compiled model, as files: n-grams, pronouncing dictionary, and what it was drawn from."""

    key: str
    arpa: Path
    words: Path
    drawn: Path

    def phrases(self) -> list[str]:
        """The different sentences that the model was drawn from, the most frequent first."""
        counted = Counter(self.drawn.read_text(encoding="utf-8").splitlines())
        return [sentence for sentence, _ in counted.most_common()]


class Amounts:
    """The grammar of spoken amounts of `domain/spoken_amounts.yaml`."""

    def __init__(self, path: Path = AMOUNTS_FILE) -> None:
        self.text = path.read_text(encoding="utf-8")
        self._lines: dict[str, tuple[list[str], list[int]]] = {}
        for name, lines in yaml.safe_load(self.text).items():
            weights = [int(m[1]) if (m := _WEIGHT.match(line)) else 1 for line in lines]
            self._lines[name] = [_WEIGHT.sub("", line) for line in lines], weights

    def __contains__(self, name: object) -> bool:
        return name in self._lines

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
    """Text as the recogniser writes it: lower case, no marks but the apostrophe."""
    text = text.lower().replace("’", "'").replace("s's", "s'")
    return " ".join(word.strip("'") for word in _NOT_SAID.sub(" ", text).split())


def sentences(
    book: PhraseBook,
    menu: Menu | None = None,
    count: int = SENTENCES,
    seed: int = 1,
    called: str = "",
) -> list[str]:
    """About `count` sentences: every example at least once, frequent intents more often.

    called: a name that may be said before any of them, or alone; then there are more.
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
        drawn += [fill(example) for example in intent.examples for _ in range(times)]
    for phrase in gate_words(menu):
        drawn += [phrase] * max(1, round(share / 10))
    for words in step_words(menu):
        drawn += [said.format(words) for said in STEP_SAID]
    drawn += _named(drawn, spoken(called), rng) if called else []
    return [
        _ARTICLE.sub(lambda a: "an " if _VOWEL.match(a[1]) else "a ", sentence)
        for sentence in (*drawn, *fill.words())
        if sentence and not _UNSPOKEN.search(sentence)
    ]


def _named(drawn: Sequence[str], name: str, rng: random.Random) -> Iterator[str]:
    """Our name, alone and before some of the sentences."""
    for sentence in rng.sample(drawn, round(len(drawn) * NAMED)):
        yield f"{name} {sentence}"
    yield from [name] * round(len(drawn) * NAME_ALONE)


class _Filler:
    """Writes an example anew, with other amounts and things in the places of its entities."""

    def __init__(self, book: PhraseBook, menu: Menu | None, rng: random.Random) -> None:
        self._rng = rng
        self._amounts = Amounts()
        self._lists = {name: [*map(spoken, values)] for name, values in book.lookups.items()}
        if menu is not None:
            # Cooks talk of what is on the menu; of other foods now and then.
            others = self._lists.get("thing", [])
            named = menu_words(menu)
            times = max(1, round(MENU_SHARE * len(others) / (1 - MENU_SHARE) / len(named)))
            self._lists["thing"] = [*(named * times), *others]
        self._own: dict[str, list[str]] = {}
        for intent in book.intents.values():
            for example in intent.examples:
                for span in example.spans:
                    said = spoken(example.text[span.start : span.end])
                    self._own.setdefault(span.entity, []).append(said)
        self._decks: dict[str, list[str]] = {}

    def __call__(self, example: Example) -> str:
        parts, done = [], 0
        for span in example.spans:
            parts += [example.text[done : span.start], self._entity(example, span)]
            done = span.end
        return spoken("".join([*parts, example.text[done:]]))

    def words(self) -> list[str]:
        """All that may come in the place of an entity, once each."""
        used = [name for name in self._own if name in self._amounts]
        return sorted(
            {word for words in self._lists.values() for word in words}
            | (set(self._amounts.words()) if used else set())
        )

    def _entity(self, example: Example, span: Span) -> str:
        said = spoken(example.text[span.start : span.end])
        if span.entity in self._lists:
            word = self._dealt(span.entity, self._lists[span.entity])
            lead = _LEAD.match(said)
            return f"{lead[0]}{word}" if lead and not _LEAD.match(word) else word
        if span.entity not in self._amounts:
            return self._dealt(span.entity, self._own[span.entity])
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


def compile_model(
    book: PhraseBook, menu: Menu | None = None, folder: Path | None = None, called: str = ""
) -> LanguageModel:
    """The model of all that can be said of this menu, from the cache when nothing changed.

    called: our name, which may be said before it. folder: where compiled models are kept, by
    default the user's cache folder.
    """
    folder = folder or user_cache_path("hobside") / "language"
    key = _key(book, menu, called)
    files = [folder / f"{key}.{kind}" for kind in ("arpa", "dict", "txt")]
    model = LanguageModel(key, *files)
    if not all(file.exists() for file in files):
        folder.mkdir(parents=True, exist_ok=True)
        drawn = sentences(book, menu, called=called)
        _store(model.drawn, "\n".join(drawn))
        _store(model.words, "".join(dictionary({w for s in drawn for w in s.split()})))
        _store(model.arpa, "".join(arpa(drawn)))
    return model


def dictionary(words: set[str]) -> Iterator[str]:
    """Lines "word PHONES", "word(2) PHONES": how PocketSphinx's own dictionary and a British
    speaker say the words; for words that the dictionary lacks, how eSpeak NG says them."""
    variants: dict[str, list[str]] = {word: [] for word in sorted(words)}
    with Path(pocketsphinx.get_model_path("en-us/cmudict-en-us.dict")).open() as lines:
        for line in lines:
            word, phones = line.rstrip().split(" ", 1)
            word = word.split("(")[0]
            if word in variants:
                variants[word].append(phones)
    for word, said in pronunciations([*variants]).items():
        variants[word] = [*dict.fromkeys([*(variants[word] or said[:1]), *said[1:]])]
    for word, pronounced in variants.items():
        for number, phones in enumerate(pronounced, start=1):
            yield f"{word}({number}) {phones}\n" if number > 1 else f"{word} {phones}\n"


def _key(book: PhraseBook, menu: Menu | None, called: str) -> str:
    """Hash of all that decides the model, this module with it."""
    said = [
        (name, [(e.text, e.spans) for e in intent.examples])
        for name, intent in book.intents.items()
    ]
    parts = (
        said,
        book.lookups,
        menu_words(menu),
        step_words(menu),
        gate_words(menu),
        Amounts().text,
        called,
    )
    code = Path(__file__).read_bytes()
    return hashlib.sha256(repr(parts).encode() + code).hexdigest()[:16]


def _store(path: Path, text: str) -> None:
    """Write the file whole or not at all, for another process may be reading or writing it."""
    with tempfile.NamedTemporaryFile(
        "w", encoding="utf-8", dir=path.parent, delete=False
    ) as unfinished:
        unfinished.write(text)
    Path(unfinished.name).replace(path)

"""What a cook's word means: tables/kitchen_words.yaml, by any of its forms ("blanching").

Raises FileProblem with file, line and field.
"""

from dataclasses import dataclass
from functools import cache

from domain.names import Index, Match, canonical, plain_forms
from domain.sources import CITED, TABLES, Source, also, cited, text
from domain.yamlfile import Entry, read


@dataclass(frozen=True)
class KitchenWord:
    """says: one short sentence; more: what else, "" for nothing."""

    word: str
    also: tuple[str, ...]
    says: str
    more: str
    source: Source


@cache
def kitchen_words() -> tuple[KitchenWord, ...]:
    """The words of the trade."""
    table = read(TABLES / "kitchen_words.yaml").fields((*CITED, "rows"))
    source = cited(table)
    return tuple(_word(entry, source) for entry in table["rows"].items())


def _word(entry: Entry, source: Source) -> KitchenWord:
    row = entry.fields(("word", "says"), ("also", "more"))
    return KitchenWord(row["word"].text(), also(row), row["says"].text(), text(row, "more"), source)


def word_in(sentence: str) -> KitchenWord | None:
    """The word that a sentence asks about: the longest, else the last; None when none is known."""
    found = _found(sentence)
    return max(reversed(found), key=lambda match: match.words).rows[0] if found else None


def words_in(sentence: str) -> tuple[KitchenWord, ...]:
    """All the words of the table in a sentence, each once."""
    return tuple(dict.fromkeys(match.rows[0] for match in _found(sentence)))


def _found(sentence: str) -> list[Match[KitchenWord]]:
    """The words that stand in a sentence as they are, else those of which it has a form."""
    found = list(_index().within(sentence))
    forms = [form for word in canonical(sentence) for form in plain_forms(word)]
    return found or [match for form in forms for match in _index().within(form)]


@cache
def _index() -> Index[KitchenWord]:
    return Index((name, row) for row in kitchen_words() for name in (row.word, *row.also))

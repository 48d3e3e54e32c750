"""What the words of an ingredient line show: allergens, what to check for, what animal it is from.

The law's lists are in tables/allergens.yaml, the words in tables/ingredients.yaml. Words show
only what a name says: what is not known here is unknown, never free of anything.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal, get_args

from domain.names import Index, canonical
from domain.sources import CITED, TABLES, Source, cited, flag, rows, text
from domain.yamlfile import Entry, read

Animal = Literal[
    "meat",
    "pork",
    "fish",
    "shellfish",
    "dairy",
    "egg",
    "honey",
    "rennet",
    "gelatine",
    "alcohol",
]


@dataclass(frozen=True)
class Allergen:
    """An allergen that labels must name. us: one of the 9 of US law; eu: of the 14 of Annex II."""

    name: str
    says: tuple[str, ...]
    us: bool
    eu: bool
    note: str
    source: Source


@dataclass(frozen=True)
class Shows:
    """What an ingredient's name shows.

    contains: allergens it holds; check: those that shop-bought kinds often carry; animal: where
    it comes from (alcohol counts too); known: False when the name does not tell all of it.
    """

    contains: frozenset[str] = frozenset()
    check: frozenset[str] = frozenset()
    animal: frozenset[str] = frozenset()
    known: bool = True


@dataclass(frozen=True)
class _Table:
    rows: Index[Shows]
    free: Index[frozenset[str]]
    made_up: frozenset[str]
    source: Source


@cache
def allergens() -> tuple[Allergen, ...]:
    """The allergens of US, EU and UK law. Raises FileProblem."""
    return rows(read(TABLES / "allergens.yaml"), _allergen)


def _allergen(entry: Entry) -> Allergen:
    row = entry.fields(("allergen", "says", "us", "eu", *CITED), ("note",))
    return Allergen(
        row["allergen"].text(),
        row["says"].texts(),
        flag(row, "us"),
        flag(row, "eu"),
        text(row, "note"),
        cited(row),
    )


@cache
def allergen_index() -> Index[Allergen]:
    """Allergens by the words that cooks and guests use for them."""
    return Index((name, row) for row in allergens() for name in (row.name, *row.says))


@lru_cache(maxsize=4096)
def shows(ingredient: str) -> Shows:
    """What the name of an ingredient shows. Raises FileProblem for a broken table."""
    table = _table()
    found = table.rows.within(ingredient)
    seen = [row for match in found for row in match.rows]
    contains = _union(row.contains for row in seen)
    dropped = _union(drops for match in table.free.within(ingredient) for drops in match.rows)
    check = _union(row.check for row in seen) | (contains & dropped)
    animal = _union(row.animal for row in seen)
    known = bool(found) and not _made_up(ingredient, table)
    return Shows(contains - dropped, check - (contains - dropped), animal, known)


def foods_in(sentence: str) -> tuple[str, ...]:
    """The ingredients that are named in a sentence, by their names in the table, each once."""
    return tuple(dict.fromkeys(match.name for match in _table().rows.within(sentence)))


def source_of_shows() -> Source:
    """The source of what the names of ingredients show."""
    return _table().source


def _made_up(ingredient: str, table: _Table) -> bool:
    """Whether a word such as "sauce" stands in the name outside every name that is known."""
    covered = {
        at
        for match in table.rows.within(ingredient)
        for at in range(match.start, match.start + match.words)
    }
    words = canonical(ingredient)
    return any(at not in covered and word in table.made_up for at, word in enumerate(words))


def _union(sets: Iterable[frozenset[str]]) -> frozenset[str]:
    return frozenset().union(*sets)


@cache
def _table() -> _Table:
    table = read(TABLES / "ingredients.yaml").fields((*CITED, "rows", "free", "made_up"))
    named = [pair for entry in table["rows"].items() for pair in _shows(entry)]
    freed = [pair for entry in table["free"].items() for pair in _free(entry)]
    made_up = frozenset(word for line in table["made_up"].texts() for word in canonical(line))
    return _Table(Index(named), Index(freed), made_up, cited(table))


def _shows(entry: Entry) -> list[tuple[str, Shows]]:
    row = entry.fields(("words",), ("contains", "check", "animal"))
    if len(row) == 1:
        raise entry.problem("says nothing of these words", "write “check: []” for nothing to name")
    names = frozenset(allergen.name for allergen in allergens())
    shown = Shows(
        _listed(row, "contains", names),
        _listed(row, "check", names),
        _listed(row, "animal", frozenset(get_args(Animal))),
    )
    return [(word, shown) for word in row["words"].texts()]


def _free(entry: Entry) -> list[tuple[str, frozenset[str]]]:
    row = entry.fields(("words", "drops"))
    drops = _listed(row, "drops", frozenset(allergen.name for allergen in allergens()))
    return [(word, drops) for word in row["words"].texts()]


def _listed(row: dict[str, Entry], field: str, known: frozenset[str]) -> frozenset[str]:
    return (
        frozenset(item.choice(known) for item in row[field].items())
        if field in row
        else frozenset()
    )

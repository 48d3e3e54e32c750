"""What to use instead of an ingredient: tables/substitutions.yaml, amounts kept as numbers.

Spoons and cups are the US ones of the sources. Raises FileProblem with file, line and field.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from domain.names import Index
from domain.sources import CITED, TABLES, Source, also, cited, rows, text
from domain.yamlfile import Entry, read

_UNITS = {"tsp": "us_teaspoon", "tbsp": "us_tablespoon", "cup": "us_cup", "oz": "ounce"}
_PART = re.compile(r"(?P<value>\d[\d./]*(?: \d+/\d+)?)\s+(?P<rest>\S.*)")


@dataclass(frozen=True)
class Part:
    """An amount of something. unit: a unit name of `domain.units`, "" for a count.

    fills: it is added up to this amount of the whole.
    """

    value: float
    unit: str
    food: str
    fills: bool = False

    def times(self, factor: float) -> "Part":
        return replace(self, value=self.value * factor)


@dataclass(frozen=True)
class Swap:
    """`use` in place of `of`. purpose: what it does in the dish, "" where that does not matter."""

    of: Part
    also: tuple[str, ...]
    purpose: str
    use: tuple[Part, ...]
    then: str
    changes: str
    source: Source


@cache
def swaps() -> tuple[Swap, ...]:
    """All substitutions."""
    return rows(read(TABLES / "substitutions.yaml"), _swap)


@cache
def swap_index() -> Index[Swap]:
    """Substitutions by what is missing."""
    return Index((name, row) for row in swaps() for name in (row.of.food, *row.also))


def _swap(entry: Entry) -> Swap:
    row = entry.fields(("for", "use", "changes", *CITED), ("also", "purpose", "then"))
    return Swap(
        _part(row["for"]),
        also(row),
        text(row, "purpose"),
        tuple(_part(item) for item in row["use"].items()),
        text(row, "then"),
        row["changes"].text(),
        cited(row),
    )


def _part(entry: Entry) -> Part:
    filler, _, whole = entry.text().partition(" to make ")
    if whole:
        amount = _amount(entry, f"{whole} {filler}")
        return replace(amount, fills=True)
    return _amount(entry, entry.text())


def _amount(entry: Entry, written: str) -> Part:
    found = _PART.fullmatch(written)
    if not found:
        raise entry.problem(f"“{entry.text()}” is not an amount", "write it like “1 1/4 cup milk”")
    value = float(sum(Fraction(number) for number in found["value"].split()))
    first, _, rest = found["rest"].partition(" ")
    if first in _UNITS and rest:
        return Part(value, _UNITS[first], rest)
    return Part(value, "", found["rest"])

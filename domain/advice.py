"""Advice that is known by the wording of a question: eating, clean handling, mishaps.

Rows stand in the tables `eating`, `handling` and `mishaps`, in the order in which they are tried.
Every reader raises FileProblem with file, line and field.
"""

import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from domain.sources import CITED, TABLES, Source, cited, flag, rows, text
from domain.yamlfile import Entry, read

Table = Literal["eating", "handling", "mishaps"]


@dataclass(frozen=True)
class Advice:
    """What to say to a question that fits one of the patterns.

    say: the first sentence, without its full stop; then: the caution that goes with it; more: on
    request. look_for: foods to name where the menu has them. weak: only where nothing in the
    question can be measured. needs_heat: told with the inside temperature of the food.
    """

    name: str
    patterns: tuple[re.Pattern[str], ...]
    say: str
    then: str
    more: str
    look_for: tuple[str, ...]
    weak: bool
    needs_heat: bool
    source: Source

    def fits(self, wording: str) -> bool:
        """Whether the plain wording (`assistant.wording.plain`) asks for this."""
        return any(pattern.search(wording) for pattern in self.patterns)


@cache
def advice(table: Table) -> tuple[Advice, ...]:
    """The rows of a table, in the order in which they are tried."""
    return rows(read(TABLES / f"{table}.yaml"), _advice)


def advised(table: Table, wording: str, *, weak: bool) -> Advice | None:
    """The first row of the table that fits. weak: whether weak rows are tried at all."""
    known = (row for row in advice(table) if weak or not row.weak)
    return next((row for row in known if row.fits(wording)), None)


def _advice(entry: Entry) -> Advice:
    row = entry.fields(
        ("advice", "patterns", "say", *CITED), ("then", "more", "look_for", "weak", "needs_heat")
    )
    return Advice(
        row["advice"].text(),
        row["patterns"].patterns(),
        row["say"].text(),
        text(row, "then"),
        text(row, "more"),
        row["look_for"].texts() if "look_for" in row else (),
        flag(row, "weak"),
        flag(row, "needs_heat"),
        cited(row),
    )

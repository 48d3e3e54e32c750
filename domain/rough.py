"""Measures that no scale knows: handfuls, knobs and bunches, and what is left in a drained tin.

Every reader raises FileProblem with file, line and field.
"""

from dataclasses import dataclass
from functools import cache

from domain.names import Index
from domain.sources import CITED, TABLES, Source, also, cited, rows, span_of_numbers, text
from domain.yamlfile import Entry, read


@dataclass(frozen=True)
class RoughMeasure:
    """One handful, knob ... of some foods, in grams from - to. measure: a unit name."""

    measure: str
    of: tuple[str, ...]
    grams: tuple[float, float]
    note: str
    source: Source


@dataclass(frozen=True)
class Canned:
    """The contents of a tin, whole and drained, in grams."""

    food: str
    also: tuple[str, ...]
    whole_g: float
    drained_g: float
    source: Source

    @property
    def share(self) -> float:
        """The part of the contents that is left when drained."""
        return self.drained_g / self.whole_g


@cache
def rough_measures() -> tuple[RoughMeasure, ...]:
    """Rough measures by food."""
    return rows(read(TABLES / "rough_measures.yaml"), _rough)


def _rough(entry: Entry) -> RoughMeasure:
    row = entry.fields(("measure", "of", "grams", *CITED), ("note",))
    grams = span_of_numbers(row["grams"])
    return RoughMeasure(
        row["measure"].text(), row["of"].texts(), grams, text(row, "note"), cited(row)
    )


def rough(measure: str, food: str) -> RoughMeasure | None:
    """The row of this measure for a food named in the words, or None."""
    index = _by_measure().get(measure)
    found = index.within(food) if index else ()
    return found[-1].rows[0] if found else None  # the food comes last: "toasted almond flakes"


@cache
def _by_measure() -> dict[str, Index[RoughMeasure]]:
    return {
        measure: Index(
            (food, row) for row in rough_measures() if row.measure == measure for food in row.of
        )
        for measure in {row.measure for row in rough_measures()}
    }


@cache
def canned() -> tuple[Canned, ...]:
    """What tins hold."""
    return rows(read(TABLES / "canned.yaml"), _canned)


def _canned(entry: Entry) -> Canned:
    row = entry.fields(("food", "whole", "drained", *CITED), ("also",))
    whole, drained = row["whole"].number(50, 5000), row["drained"].number(20, 5000)
    if drained >= whole:
        raise row["drained"].problem("is not less than the whole", "write what is left of it")
    return Canned(row["food"].text(), also(row), whole, drained, cited(row))


@cache
def canned_index() -> Index[Canned]:
    """Tins by what is in them."""
    return Index((name, row) for row in canned() for name in (row.food, *row.also))

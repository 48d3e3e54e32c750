"""Cooking in general: water and times of grains and pulses, other times, oven words.

Every reader raises FileProblem with file, line and field.
"""

from dataclasses import dataclass
from functools import cache

from domain.names import Index
from domain.sources import (
    CITED,
    TABLES,
    Source,
    Span,
    also,
    cited,
    flag,
    rows,
    span,
    span_of_numbers,
    text,
)
from domain.yamlfile import Entry, read


@dataclass(frozen=True)
class Grain:
    """Volumes of water to one of the dry food, and the time: (low, high) and a span, if known."""

    food: str
    also: tuple[str, ...]
    water: tuple[float, float] | None
    time: Span | None
    off_heat: bool
    gives: float | None
    gives_mass: float | None
    soak: str
    weigh_as: str
    note: str
    source: Source


@dataclass(frozen=True)
class CookTime:
    """How long a food takes, roasted at `celsius`."""

    food: str
    also: tuple[str, ...]
    time: Span
    how: str
    celsius: float
    note: str
    source: Source


@dataclass(frozen=True)
class OvenWord:
    """What an oven word means: (low, high) in each scale, as published."""

    word: str
    celsius: tuple[float, float]
    fahrenheit: tuple[float, float]
    source: Source


@cache
def grains() -> tuple[Grain, ...]:
    """Water and times for grains and pulses."""
    return rows(read(TABLES / "grains.yaml"), _grain)


def _grain(entry: Entry) -> Grain:
    counted = ("water", "time", "gives", "gives_mass")
    row = entry.fields(("food", *CITED), ("also", *counted, "off_heat", "soak", "weigh_as", "note"))
    return Grain(
        food=row["food"].text(),
        also=also(row),
        water=span_of_numbers(row["water"]) if "water" in row else None,
        time=span(row["time"]) if "time" in row else None,
        off_heat=flag(row, "off_heat"),
        gives=row["gives"].number(0.1, 10) if "gives" in row else None,
        gives_mass=row["gives_mass"].number(0.1, 10) if "gives_mass" in row else None,
        soak=text(row, "soak"),
        weigh_as=text(row, "weigh_as"),
        note=text(row, "note"),
        source=cited(row),
    )


@cache
def cook_times() -> tuple[CookTime, ...]:
    """Times of foods that are no grain or pulse."""
    return rows(read(TABLES / "cook_times.yaml"), _cook_time)


def _cook_time(entry: Entry) -> CookTime:
    row = entry.fields(("food", "time", "how", "celsius", *CITED), ("also", "note"))
    return CookTime(
        row["food"].text(),
        also(row),
        span(row["time"]),
        row["how"].text(),
        row["celsius"].number(40, 300),
        text(row, "note"),
        cited(row),
    )


@cache
def oven_words() -> tuple[OvenWord, ...]:
    """Oven words and their temperatures."""
    return rows(read(TABLES / "ovens.yaml"), _oven_word)


def _oven_word(entry: Entry) -> OvenWord:
    row = entry.fields(("word", "celsius", "fahrenheit", *CITED))
    return OvenWord(
        row["word"].text(),
        span_of_numbers(row["celsius"]),
        span_of_numbers(row["fahrenheit"]),
        cited(row),
    )


@cache
def grain_index() -> Index[Grain]:
    """Grains and pulses by food."""
    return Index((name, row) for row in grains() for name in (row.food, *row.also))


@cache
def cook_time_index() -> Index[CookTime]:
    """Cooking times by food."""
    return Index((name, row) for row in cook_times() for name in (row.food, *row.also))

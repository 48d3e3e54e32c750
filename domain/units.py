"""The unit engine: what a measure is called, what it measures, and what it is in another one.

Values are always a (number, unit name) pair; nothing here reads free speech. The units are
those of units.txt and no others. Unit names are pint's canonical ones ("us_cup", "gram").
"""

import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

import pint
from rapidfuzz import fuzz, process

from domain import densities
from domain.errors import ImpossibleAmount, IncompatibleUnits, NeedsDensity, UnknownUnit
from domain.kitchen import UnitSystem

Kind = Literal["mass", "volume", "temperature", "difference", "length", "duration", "count"]

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry(
    Path(__file__).with_name("units.txt"), on_redefinition="raise"
)

# What each country means by a word. "metric" reads fluid ounces, pints, quarts and gallons as
# US: a cook who measures in metric meets them in recipes from there. A gill stands in old British
# recipes, so everyone but a US cook means the imperial one.
_US = ("cup", "tablespoon", "teaspoon", "fluid_ounce", "gill", "pint", "quart", "gallon")
_IMPERIAL = ("fluid_ounce", "pint", "quart", "gallon")
_METRIC = {f"{word}": f"metric_{word}" for word in ("cup", "tablespoon", "teaspoon")}
_GILL = {"gill": "imperial_gill"}
READINGS: dict[UnitSystem, dict[str, str]] = {
    "us": {word: f"us_{word}" for word in _US} | {"degree": "fahrenheit"},
    "metric": _METRIC | {word: f"us_{word}" for word in _IMPERIAL} | _GILL | {"degree": "celsius"},
    "uk": _METRIC
    | {word: f"imperial_{word}" for word in _IMPERIAL}
    | _GILL
    | {"degree": "celsius"},
}
READINGS["au"] = READINGS["uk"] | {"tablespoon": "australian_tablespoon"}

_KINDS: dict[str, Kind] = {
    "[mass]": "mass",
    "[length] ** 3": "volume",
    "[length]": "length",
    "[time]": "duration",
    "[temperature]": "temperature",
    "[gas_mark]": "temperature",
    "[fan]": "temperature",
    "[reading]": "temperature",
    "dimensionless": "count",
}
# The most a kitchen could mean, in the unit beside it; beyond it lies a slip of tongue or hand.
_MOST: dict[Kind, tuple[float, str]] = {
    "mass": (1000, "kilogram"),
    "volume": (1000, "litre"),
    "length": (10, "kilometre"),  # a kitchen may stand that high
    "duration": (60, "day"),
    "temperature": (1000, "celsius"),
    "difference": (1000, "delta_celsius"),
    "count": (100_000, "piece"),
}
FAN_OFFSET_C = 20  # a fan oven is set this much lower; NSW Healthy Kids conversion chart
ABSOLUTE_ZERO_C = -273.15


@dataclass(frozen=True)
class Converted:
    """An exact amount after conversion. source: where a density came from, "" if none was used."""

    value: float
    unit: str
    source: str = ""


@cache
def words() -> dict[str, str]:
    """Every spelling of every unit, plurals too, to its name; "_" stands for a space."""
    found: dict[str, str] = {}
    for word in REGISTRY:
        name = REGISTRY.get_name(word)
        if name.startswith("delta_") and word != name:
            continue
        found[word] = name
        if word[-1].isalpha() and len(word) > 2 and word[-1] != "s":
            found.setdefault(f"{word}s", name)
    return found


def plain(word: str) -> str:
    """The unit name for a spelling, before any country's reading: "Tbsp." -> "tablespoon".

    Raises UnknownUnit with the nearest spellings.
    """
    tidy = re.sub(r"[\s_-]+", "_", word.replace(".", " ").strip())
    found = words().get(tidy) or words().get(tidy.lower())
    if found:
        return found
    near = process.extract(
        tidy.lower(), [w for w in words() if len(w) > 2], scorer=fuzz.ratio, score_cutoff=60
    )
    names = dict.fromkeys(everyday(words()[match]).replace("_", " ") for match, _, _ in near)
    raise UnknownUnit(word, tuple(names)[:2])


def unit(word: str, measures: UnitSystem = "metric") -> str:
    """The unit name that a cook of these measures means: ("cups", "us") -> "us_cup".

    Raises UnknownUnit.
    """
    name = plain(word)
    return READINGS[measures].get(name, name)


def everyday(name: str) -> str:
    """The plain word of a country's unit: "us_fluid_ounce" -> "fluid_ounce"."""
    return re.sub(r"^(us|imperial|metric|australian)_", "", name)


@cache
def kind_of(word: str) -> Kind:
    """What a unit measures. Raises UnknownUnit."""
    name = plain(word)
    if name.startswith("delta_"):
        return "difference"
    return _KINDS[str(REGISTRY.Unit(name).dimensionality)]


def refuse_impossible(value: float, word: str) -> None:
    """Raise ImpossibleAmount for what no kitchen can hold, reach or wait for."""
    name, kind = plain(word), kind_of(word)
    amount = f"{value:,.10g} {everyday(name).replace('_', ' ')}"
    if not math.isfinite(value):
        raise ImpossibleAmount(amount, "it is not a number I can work with")
    if kind == "temperature":
        if name != "degree" and to_celsius(value, name) < ABSOLUTE_ZERO_C:
            raise ImpossibleAmount(amount, "nothing can be colder than absolute zero, −273 °C")
    elif value < 0 and kind != "difference":
        raise ImpossibleAmount(amount, "there is no such thing as less than nothing")
    most, limit = _MOST[kind]
    if name != "degree" and abs(_in(value, name, limit)) > most:
        raise ImpossibleAmount(amount, "that is more than any kitchen could mean")


def convert(
    value: float,
    word: str,
    target: str,
    *,
    measures: UnitSystem = "metric",
    ingredient: str | None = None,
) -> Converted:
    """An amount in another unit, exactly.

    Between volume, mass and counted pieces it goes by the published weight of `ingredient`.
    Raises UnknownUnit, ImpossibleAmount, NeedsDensity, or IncompatibleUnits when no measure of
    the one kind can be told from the other.
    """
    here, there = unit(word, measures), unit(target, measures)
    refuse_impossible(value, here)
    kinds = kind_of(here), kind_of(there)
    if here == there or (kinds[0] == kinds[1] and kinds[0] != "count"):
        return Converted(_in(value, here, there), there)
    if not set(kinds) <= {"mass", "volume", "count"}:
        raise IncompatibleUnits(everyday(here), everyday(there))
    weight = densities.weight_of(ingredient or "")
    grams = value * _grams(weight, here)
    return Converted(grams / _grams(weight, there), there, weight.source)


def to_celsius(value: float, name: str) -> float:
    """A temperature or oven setting as degrees Celsius of a conventional oven.

    Gas mark G: °F = 275 + 25 (G - 1) from mark 1 up, 275 + 25 log2(G) below it (the rule of
    general-purpose unit tables). Raises ImpossibleAmount for a mark no cooker has.
    """
    if name == "fan_celsius":
        return value + FAN_OFFSET_C
    if name == "gas_mark":
        _refuse_mark(value)
        fahrenheit = 275 + 25 * ((value - 1) if value >= 1 else math.log2(value))
        return _in(fahrenheit, "fahrenheit", "celsius")
    return _in(value, name, "celsius")


def from_celsius(celsius: float, name: str) -> float:
    """The inverse of `to_celsius`. Raises ImpossibleAmount beyond the marks of a cooker."""
    if name == "fan_celsius":
        return celsius - FAN_OFFSET_C
    if name == "gas_mark":
        marks = (_in(celsius, "celsius", "fahrenheit") - 275) / 25
        mark = 1 + marks if marks >= 0 else 2.0 ** max(marks, -99)
        _refuse_mark(mark, f"{celsius:,.0f} °C")
        return mark
    return _in(celsius, "celsius", name)


def _refuse_mark(mark: float, amount: str = "") -> None:
    """Gas marks run from ¼ to 10; a little beyond still rounds to one of them."""
    if not 0.2 <= mark <= 10.5:
        raise ImpossibleAmount(amount or f"gas mark {mark:g}", "gas marks go from ¼ to 10")


def _in(value: float, here: str, there: str) -> float:
    """The value in another unit of the same kind."""
    if here == there:
        return value
    if {here, there} & {"gas_mark", "fan_celsius"}:
        return from_celsius(to_celsius(value, here), there)
    return float(REGISTRY.Quantity(value, here).to(there).magnitude)


def _grams(weight: densities.Weight, name: str) -> float:
    """Grams in one of this unit of an ingredient. Raises NeedsDensity."""
    if (piece := weight.pieces.get(name)) is not None:
        return piece
    kind = kind_of(name)
    if kind == "mass":
        return _in(1, name, "gram")
    if kind == "volume":
        millilitres = _in(1, name, "millilitre")
        # A spoon or a dash goes by its own weight, every other volume by the cup's.
        small = "spoon" in name or name in ("dash", "pinch", "drop")
        density = weight.g_per_ml(millilitres) if small else weight.g_per_ml()
        if density is not None:
            return millilitres * density
    elif weight.pieces and name == "piece":
        return next(iter(weight.pieces.values()))
    raise NeedsDensity(f"a {everyday(name).replace('_', ' ')} of {weight.name}")

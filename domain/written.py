"""Durations, gaps, temperatures and amounts as cooks write them in our files."""

import re
from dataclasses import dataclass
from typing import get_args
from unicodedata import numeric

from domain import units
from domain.errors import UnknownUnit
from domain.kitchen import UnitSystem
from domain.menu import Duration, Moment
from domain.yamlfile import Entry

DAY_S = 24 * 3600
UNIT_SYSTEMS: tuple[UnitSystem, ...] = get_args(UnitSystem)
_SECONDS = {"h": 3600, "hour": 3600, "min": 60, "minute": 60, "s": 1, "sec": 1, "second": 1}
_PART = re.compile(r"(-?\d+(?:\.\d+)?)\s*([a-z]*)")
_DASH = re.compile(r"\s*(?:–|(?<=[\w.])\s*-|\bto\b)\s*")
_TIME_REMEDY = "write it like “12 min”, “1 h 10 min”, “90 s” or “8-12 min”"
_TEMPERATURE = re.compile(r"(\d+(?:\.\d+)?)\s*°?\s*(c fan|c|f)")
_GAS = re.compile(r"gas(?: mark)? ([1-9]|10|[¼½]|1/4|1/2)")
_NUMBER = re.compile(r"\d+\s+\d+/\d+|\d+/\d+|\d*\s*[¼½¾⅓⅔⅛]|\d+(?:\.\d+)?")
_AMOUNT_REMEDY = "write it like “400 g”, “1 1/2 cups”, “2-3 tbsp”, “2” or “to taste”"


@dataclass(frozen=True)
class Amount:
    """An amount of an ingredient: value None for "to taste", unit None for a count."""

    value: float | None
    high: float | None
    unit: str | None


def length(entry: Entry, written: str, unit: str = "") -> int:
    """`written` as one length of time in whole seconds; `unit` serves a bare number.

    Raises FileProblem about `entry`.
    """
    total = 0.0
    rest = written.strip().lower()
    if not rest or _PART.sub("", rest).strip():
        raise entry.problem(f"“{written}” is not a length of time", _TIME_REMEDY)
    for number, word in _PART.findall(rest):
        name = word or unit
        if name in ("d", "day", "days", "week", "weeks"):
            remedy = "list what is done the day before under “ahead”"
            raise entry.problem(f"“{written}” is days long", remedy)
        size = _SECONDS.get(name) or _SECONDS.get(name.removesuffix("s"))
        if size is None:
            wrong = f"“{written}” has no unit" if not name else f"“{name}” is not a unit of time"
            raise entry.problem(wrong, _TIME_REMEDY)
        total += float(number) * size
    if total < 0:
        raise entry.problem(f"“{written}” is less than nothing", _TIME_REMEDY)
    if total > DAY_S:
        raise entry.problem(f"“{written}” is over a day", "split it, or move it under “ahead”")
    return round(total)


def _ends(entry: Entry, written: str) -> tuple[int, int]:
    """Both ends of "8-12 min" in seconds; of a single length, that length twice."""
    parts = _DASH.split(written)
    if len(parts) > 2:
        raise entry.problem(f"“{written}” is not a length of time", _TIME_REMEDY)
    last = length(entry, parts[-1])
    if len(parts) == 1:
        return last, last
    unit = _PART.findall(parts[-1].lower())[-1][1]
    return length(entry, parts[0], unit), last


def seconds(entry: Entry) -> int:
    """A single length of time in whole seconds, 0 to a day. Raises FileProblem."""
    return length(entry, entry.text())


def duration(entry: Entry) -> Duration:
    """How long a step takes, over 0 s and up to a day. Raises FileProblem.

    A range's likely value is its middle unless given: {likely: 10 min, from: 8 min, to: 14 min}.
    """
    if entry.kind == "fields":
        found = entry.fields(required=("likely", "from", "to"))
        low, likely, high = (seconds(found[name]) for name in ("from", "likely", "to"))
    else:
        low, high = _ends(entry, entry.text())
        likely = (low + high) // 2
    if low <= 0:
        raise entry.problem("lasts no time at all", "give every step at least a few seconds")
    if not low <= likely <= high:
        raise entry.problem("runs backwards", "write the shorter time first, the likely in between")
    return Duration(likely_s=likely, low_s=low, high_s=high)


def gap(entry: Entry) -> tuple[int, int | None]:
    """The least and most seconds between two steps. Raises FileProblem.

    Written "any time", "at once", "within 5 min", "at least 10 min", or "5-10 min".
    """
    return _gap(entry, entry.text())


def gap_since(entry: Entry) -> tuple[tuple[int, int | None], Moment]:
    """A gap as in `gap`, and since which moment: "5 min after its start". Raises FileProblem."""
    line = entry.text()
    for moment in get_args(Moment):
        if line.endswith(f" after its {moment}"):
            return _gap(entry, line.removesuffix(f" after its {moment}")), moment
    wrong = f"“{line}” does not say since when"
    raise entry.problem(wrong, "write it like “5-10 min after its start” or “... after its end”")


def _gap(entry: Entry, line: str) -> tuple[int, int | None]:
    for words, least, most in (("any time", 0, None), ("at once", 0, 0)):
        if line == words:
            return least, most
    if line.startswith("within "):
        return 0, length(entry, line.removeprefix("within "))
    if line.startswith("at least "):
        return length(entry, line.removeprefix("at least ")), None
    low, high = _ends(entry, line)
    if low > high:
        raise entry.problem(
            f"the least gap is above the most (“{line}”)", "write the shorter time first"
        )
    return low, high


def servings(entry: Entry) -> int:
    """How many people something is for, from "2 servings". Raises FileProblem."""
    line = entry.text()
    found = re.fullmatch(r"(\d{1,3}) servings?", line)
    if not found or not 1 <= int(found[1]) <= 100:
        remedy = "write it like “2 servings”, up to 100"
        raise entry.problem(f"“{line}” is not a number of servings", remedy)
    return int(found[1])


def altitude_m(entry: Entry) -> float:
    """Metres above the sea from "350 m" or "1200 ft". Raises FileProblem."""
    line = entry.text()
    found = re.fullmatch(r"(-?\d+(?:\.\d+)?)\s*(m|ft)", line)
    if not found:
        raise entry.problem(f"“{line}” is not a height", "write it like “350 m” or “1200 ft”")
    metres = float(found[1]) * (1.0 if found[2] == "m" else 0.3048)
    if not -450 <= metres <= 6000:
        raise entry.problem(f"“{line}” is where nobody cooks", "write -450 m to 6000 m")
    return round(metres, 1)


def _value(number: str) -> float:
    """ "1 1/2", "1½", "3/4" and "0.5" as a number. Raises ZeroDivisionError for "1/0"."""
    total = 0.0
    for piece in re.findall(r"\d+/\d+|\d+(?:\.\d+)?|[¼½¾⅓⅔⅛]", number):
        above, _, below = piece.partition("/")
        total += numeric(above) if above in "¼½¾⅓⅔⅛" else float(above) / float(below or 1)
    return total


def temperature(entry: Entry, low: float = 40.0, high: float = 300.0) -> float:
    """Degrees Celsius of a conventional oven. Raises FileProblem.

    Written "180 C", "350 F", "160 C fan" or "gas 4"; `units.to_celsius` has the rules.
    """
    line = entry.text().lower()
    degrees, gas = _TEMPERATURE.fullmatch(line), _GAS.fullmatch(line)
    if degrees:
        name = {"c": "celsius", "f": "fahrenheit", "c fan": "fan_celsius"}[degrees[2]]
        celsius = units.to_celsius(float(degrees[1]), name)
    elif gas:
        celsius = units.to_celsius(_value(gas[1]), "gas_mark")
    else:
        raise entry.problem(
            f"“{line}” is not a temperature", "write it like “180 C”, “350 F” or “gas 4”"
        )
    if not low <= celsius <= high:
        raise entry.problem(f"“{line}” is {celsius:.0f} °C", f"write {low:.0f} to {high:.0f} °C")
    return round(celsius, 1)


def amount(entry: Entry, measures: UnitSystem) -> Amount:
    """An ingredient's amount. Raises FileProblem.

    measures: whose cups, spoons and pints the file means.
    """
    line = entry.text()
    if line == "to taste":
        return Amount(None, None, None)
    found = re.match(rf"({_NUMBER.pattern})(?:{_DASH.pattern}({_NUMBER.pattern}))?\s*", line)
    if not found:
        raise entry.problem(f"“{line}” is not an amount", _AMOUNT_REMEDY)
    try:
        value = _value(found[1])
        high = _value(found[2]) if found[2] else None
    except ZeroDivisionError as error:
        raise entry.problem(f"“{line}” divides by zero", _AMOUNT_REMEDY) from error
    if not 0 < value <= 100_000 or (high is not None and not value < high <= 100_000):
        raise entry.problem(f"“{line}” cannot be measured out", _AMOUNT_REMEDY)
    word = line[found.end() :].strip()
    return Amount(value, high, _unit(entry, word, measures) if word else None)


def _unit(entry: Entry, word: str, measures: UnitSystem) -> str:
    try:
        name = units.unit(word, measures)
        kind = units.kind_of(name)
    except UnknownUnit as error:
        close = " or ".join(error.nearest)
        remedy = f"did you mean {close}?" if close else _AMOUNT_REMEDY
        raise entry.problem(f"“{word}” is not a unit known here", remedy) from error
    if kind not in ("mass", "volume", "length", "count"):
        raise entry.problem(f"“{word}” does not measure food", _AMOUNT_REMEDY)
    return name


def unit_system(entry: Entry) -> UnitSystem:
    """Whose measures: "metric", "us", "uk" or "au". Raises FileProblem."""
    word = entry.choice(UNIT_SYSTEMS)
    return next(known for known in UNIT_SYSTEMS if known == word)

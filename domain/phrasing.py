"""Amounts, durations and times of day, as shown on a screen and as a cook would say them."""

import math
from datetime import datetime, time

from domain.rounding import GAS_MARKS, kitchen
from domain.units import REGISTRY, everyday, kind_of, plain

_ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen",
    "nineteen",
]  # fmt: skip
_TENS = ["", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_SIZES = ((10**9, "billion"), (10**6, "million"), (1000, "thousand"), (100, "hundred"))
# Parts of one: (value, sign, spoken alone before "of a", spoken after a whole).
_FRACTIONS = (
    (1 / 8, "⅛", "an eighth of", "an eighth"),
    (1 / 4, "¼", "a quarter of", "a quarter"),
    (1 / 3, "⅓", "a third of", "a third"),
    (3 / 8, "⅜", "three eighths of", "three eighths"),
    (1 / 2, "½", "half", "a half"),
    (5 / 8, "⅝", "five eighths of", "five eighths"),
    (2 / 3, "⅔", "two thirds of", "two thirds"),
    (3 / 4, "¾", "three quarters of", "three quarters"),
    (7 / 8, "⅞", "seven eighths of", "seven eighths"),
)
_FRACTIONAL = ("cup", "tablespoon", "teaspoon", "dessertspoon", "pint", "quart", "gallon", "stick")
_DECIMALS = {
    "kilogram": 3, "pound": 2, "ounce": 1, "fluid_ounce": 1, "litre": 2, "inch": 2, "foot": 2,
    "centimetre": 1, "decilitre": 1, "centilitre": 1, "hour": 2, "minute": 1, "metre": 2,
}  # fmt: skip
_PLURALS = {"foot": "feet", "inch": "inches", "pinch": "pinches", "dash": "dashes"}
_PLURALS |= {"bunch": "bunches"}
_DEGREES = {
    "celsius": ("°C", "degrees Celsius"),
    "fahrenheit": ("°F", "degrees Fahrenheit"),
    "fan_celsius": ("°C fan", "degrees Celsius in a fan oven"),
    "delta_celsius": ("°C", "degrees Celsius"),
    "delta_fahrenheit": ("°F", "degrees Fahrenheit"),
}
_CLOSE = 0.001  # a spoken amount this near the exact one needs no "about"


def shown(value: float, word: str | None, high: float | None = None) -> str:
    """An amount for the eye, true to a part in a hundred: "14.1 oz", "1⅓ cups"."""
    if word is None or plain(word) == "piece":
        return _span(_figure(value, ""), _figure(high, "") if high is not None else "")
    name = everyday(plain(word))
    if name == "gas_mark":
        marks = [_mark(mark) for mark in (value, high) if mark is not None]
        return f"gas mark {'–'.join(marks)}"
    top = _figure(high, name) if high is not None else ""
    number = _span(_figure(value, name), top)
    if name in _DEGREES:
        return f"{number} {_DEGREES[name][0]}"
    most = value if high is None else high
    symbol = REGISTRY.get_symbol(name).replace("_", " ")
    return f"{number} {symbol if symbol != name else counted(name, most)}"


def spoken(
    value: float, word: str | None, high: float | None = None, *, brief: bool = False
) -> str:
    """An amount for the ear, as a kitchen measures it: "about fourteen ounces", "half a cup".

    "about" tells of a rounding. brief: an oven temperature by its number alone, "one eighty".
    """
    if word is None:
        return _joined(number_spoken(value), number_spoken(high) if high is not None else "")
    name = plain(word)
    if kind_of(name) in ("temperature", "difference"):
        return _degrees_spoken(value, name, high, brief)
    low = kitchen(value, name)
    about = "about " if abs(low.error) > _CLOSE else ""
    top = kitchen(high, name).value if high is not None else None
    return about + exactly_spoken(low.value, everyday(name), top)


def exactly_spoken(value: float, unit: str, high: float | None = None) -> str:
    """An amount for the ear as it is: "half a cup", "two to three litres". unit: its plain name."""
    if high is not None:
        return f"{_joined(number_spoken(value), number_spoken(high))}{_after(unit, high)}"
    part = _fraction(value)
    if part and value < 1 and unit != "piece":
        return f"{part[2]} {_article(unit)} {unit.replace('_', ' ')}"
    return f"{number_spoken(value)}{_after(unit, value)}"


def number_spoken(value: float) -> str:
    """A number in words: "fourteen", "one and a half", "three hundred and fifty-six"."""
    if value < 0:
        return f"minus {number_spoken(-value)}"
    whole = math.floor(value + 1e-9)
    part = _fraction(value)
    if abs(value - whole) < 1e-6:
        return _whole_spoken(whole)
    if part:
        return f"{_whole_spoken(whole)} and {part[3]}" if whole else part[3]
    digits = f"{value:.2f}".rstrip("0").split(".")
    after = " ".join(_ONES[int(digit)] for digit in digits[1]) if len(digits) > 1 else ""
    return f"{_whole_spoken(int(digits[0]))}{' point ' + after if after else ''}"


def duration_shown(seconds: float) -> str:
    """A length of time for the eye: "40 s", "2 min 30 s", "12 min", "1 h 15 min"."""
    minutes, rest = divmod(_tidy_seconds(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    parts = ((hours, "h"), (minutes, "min"), (rest, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 s"


def duration_spoken(seconds: float) -> str:
    """A length of time for the ear: "twelve minutes", "an hour and a quarter", "half a minute"."""
    total = _tidy_seconds(seconds)
    hours, left = divmod(total, 3600)
    if hours:
        hour = "an hour" if hours == 1 else f"{_whole_spoken(hours)} hours"
        part = {900: "a quarter", 1800: "a half", 2700: "three quarters"}.get(left)
        if part and hours == 1:
            return f"an hour and {part}"
        if part == "a half":
            return f"{_whole_spoken(hours)} and a half hours"
        return f"{hour} and {_minutes_spoken(left)}" if left else hour
    return "half an hour" if total == 1800 else _minutes_spoken(total)


def clock_shown(moment: datetime | time) -> str:
    """A time of day for the eye, on the 24-hour clock: "19:10"."""
    return f"{moment.hour:02}:{moment.minute:02}"


def clock_spoken(moment: datetime | time) -> str:
    """A time of day for the ear: "ten past seven", "quarter to eight", "seven o'clock"."""
    hour, minute = moment.hour, moment.minute
    if minute == 0 and hour in (0, 12):
        return "midnight" if hour == 0 else "noon"
    after = minute <= 30
    name = _ONES[((hour if after else hour + 1) - 1) % 12 + 1]
    gap = minute if after else 60 - minute
    if gap == 0:
        return f"{name} o'clock"
    said = {15: "quarter", 30: "half"}.get(gap) or _whole_spoken(gap)
    if gap % 5:
        said += " minute" if gap == 1 else " minutes"
    return f"{said} {'past' if after else 'to'} {name}"


def _tidy_seconds(seconds: float) -> int:
    """Whole seconds as a cook would count them: by 5 under 90 s, half minutes under 10 min."""
    seconds = max(0.0, seconds)
    step = 1 if seconds < 10 else 5 if seconds < 90 else 30 if seconds < 600 else 60
    return math.floor(seconds / step + 0.5) * step


def _minutes_spoken(total: int) -> str:
    """Whole and half minutes, or seconds below one and a half."""
    minutes, seconds = divmod(total, 60)
    if total == 90:
        return "a minute and a half"
    if seconds and minutes == 0:
        return (
            "half a minute"
            if seconds == 30
            else f"{_whole_spoken(seconds)}{_after('second', seconds)}"
        )
    if seconds and minutes == 1:
        return f"one minute {_whole_spoken(seconds)}"
    return f"{number_spoken(total / 60)}{_after('minute', total / 60)}"


def _degrees_spoken(value: float, name: str, high: float | None, brief: bool) -> str:
    if name == "gas_mark":
        return f"gas mark {_mark_spoken(value)}" + (f" to {_mark_spoken(high)}" if high else "")
    say = degrees_briefly if brief else number_spoken
    span = _joined(say(round(value)), say(round(high)) if high is not None else "")
    if brief:
        return f"{span} fan" if name == "fan_celsius" else span
    return f"{span} {_DEGREES[name][1]}"


def degrees_briefly(value: float) -> str:
    """Degrees as said across a kitchen: "one eighty", "two hundred", "two oh five"."""
    hundreds, rest = divmod(round(value), 100)
    if not 1 <= hundreds <= 9 or rest == 0:
        return number_spoken(value)
    return f"{_ONES[hundreds]} {'oh ' if rest < 10 else ''}{_whole_spoken(rest)}"


def _mark(value: float) -> str:
    mark = min(GAS_MARKS, key=lambda known: abs(known - value))
    return {0.25: "¼", 0.5: "½"}.get(mark, f"{mark:g}")


def _mark_spoken(value: float) -> str:
    return {"¼": "a quarter", "½": "a half"}.get(_mark(value)) or _whole_spoken(int(_mark(value)))


def _figure(value: float, name: str) -> str:
    """A number for the eye: a fraction where measures are so divided, else few decimals."""
    if value < 0:
        return f"−{_figure(-value, name)}"
    part = _fraction(value, 0.003 * value)
    whole = math.floor(value)
    if part and (name in _FRACTIONAL or name in ("", "pound", "inch", "clove", "can")):
        return f"{whole or ''}{part[1]}"
    places = _DECIMALS.get(name, 2 if name in _FRACTIONAL or not name else 0)
    if 0 < value < 10 and places == 0 and kind_of(name or "piece") != "temperature":
        places = 1
    text = f"{value:.{places}f}"
    if not float(text) and value:
        text = f"{value:.1g}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _fraction(value: float, tolerance: float = 1e-3) -> tuple[float, str, str, str] | None:
    """The kitchen fraction that the part of value above its whole is, or None."""
    part = value - math.floor(value)
    return next((row for row in _FRACTIONS if abs(row[0] - part) <= tolerance), None)


def _whole_spoken(value: int) -> str:
    if value < 20:
        return _ONES[value]
    if value < 100:
        tens, ones = divmod(value, 10)
        return _TENS[tens] + (f"-{_ONES[ones]}" if ones else "")
    size, word = next((size, word) for size, word in _SIZES if value >= size)
    head, rest = divmod(value, size)
    link = " and " if rest < 100 else " "
    return f"{_whole_spoken(head)} {word}" + (f"{link}{_whole_spoken(rest)}" if rest else "")


def counted(name: str, value: float) -> str:
    """The unit's word in the number that goes with the value."""
    word = name.replace("_", " ")
    one = value == 1 or (0 < value < 1 and _fraction(value) is not None)
    return word if one else _PLURALS.get(name, f"{word}s")


def _after(name: str, value: float) -> str:
    return "" if name == "piece" else f" {counted(name, value)}"


def _article(name: str) -> str:
    return "an" if name in ("ounce", "inch", "hour") else "a"


def _span(low: str, high: str) -> str:
    return f"{low}–{high}" if high else low


def _joined(low: str, high: str) -> str:
    return f"{low} to {high}" if high else low

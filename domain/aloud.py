"""Any text as words alone: no figure, sign or abbreviation reaches a voice.

What is written with both forms (`assistant.two_forms`) is in words already. This is for the rest:
dish files, tables, sources, settings, and whatever anybody names.
"""

import re
import unicodedata
from datetime import time
from functools import lru_cache
from typing import Literal

from domain.phrasing import clock_spoken, counted, degrees_briefly, exactly_spoken, number_spoken

English = Literal["uk", "us"]

# Short forms of units as they are written, beside the unit of `domain.units`.
UNITS = {
    "fl oz": "fluid_ounce", "floz": "fluid_ounce",
    "kg": "kilogram", "g": "gram", "gr": "gram", "mg": "milligram",
    "l": "litre", "L": "litre", "ml": "millilitre", "mL": "millilitre", "cl": "centilitre",
    "dl": "decilitre", "oz": "ounce", "lb": "pound", "lbs": "pound",
    "tsp": "teaspoon", "tsps": "teaspoon", "tbsp": "tablespoon", "tbsps": "tablespoon",
    "Tbsp": "tablespoon", "dsp": "dessertspoon", "pt": "pint", "qt": "quart",
    "cup": "cup", "cups": "cup", "m": "metre", "cm": "centimetre", "mm": "millimetre", "ft": "foot",
    '"': "inch", "″": "inch",
    "h": "hour", "hr": "hour", "hrs": "hour", "min": "minute", "mins": "minute",
    "s": "second", "sec": "second", "secs": "second",
}  # fmt: skip
_SCALES = {
    "°C fan": "degrees Celsius in a fan oven", "°C": "degrees Celsius", "°F": "degrees Fahrenheit",
    "C fan": "degrees Celsius in a fan oven", "C": "degrees Celsius", "F": "degrees Fahrenheit",
    "°": "degrees", "%": "per cent",
}  # fmt: skip
_SHORT = {
    "e.g.": "for example", "i.e.": "that is", "approx.": "about", "approx": "about",
    "etc.": "and so on", "vs.": "against", "vs": "against", "max.": "at most",
    "ok": "okay", "w/o": "without", "w/": "with", "and/or": "or",
}  # fmt: skip
_SIGNS = {
    "&": " and ", "+": " plus ", "=": " is ", "≈": " about ", "~": " about ", "<": " under ",
    ">": " over ", "≤": " at most ", "≥": " at least ", "@": " at ", "/": " or ",
    "…": ". ", "–": ", ", "—": ", ", "(": ", ", ")": ", ", "[": ", ", "]": ", ",
    "→": ", ", "•": ", ", "’": "'", "‘": "'", "`": "'",
}  # fmt: skip
_ORDINALS = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth",
    "nine": "ninth", "twelve": "twelfth",
}  # fmt: skip
_MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
_HOLDERS = (
    r"(?:tin|can|jar|pack|packet|bag|tub|block|carton|bottle|sachet|cube|piece|slice|dish|pan)"
)

# Begins where figures begin, so that a long row of them is read once.
_NUMBER = r"(?<!\d)(?:\d+/\d+|(?:\d{1,3}(?:,\d{3})+(?!\d)|\d+)(?:\.\d+)?(?: \d+/\d+)?)"
_HYPHENS = r"\s?[-–]\s?"


def _either(words: dict[str, str]) -> str:
    return "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))


_FRACTION = re.compile(r"(\d?)([¼-¾⅐-⅞])")
_CLOCK = re.compile(r"(?<![\d:])([01]?\d|2[0-3]):([0-5]\d)(?![\d:])")
_ORDINAL = re.compile(r"\b(\d{1,3})(?:st|nd|rd|th)\b")
_DIALLED = re.compile(r"\b(?:call|dial|phone)(?: (?:or )?\d[\d ]*\d)+", re.I)
_YEAR = re.compile(rf"\b({_MONTHS}) (\d\d)(\d\d)\b")
_CODE = re.compile(r"(?<![\w.,])\d{7,}(?![\w])|(?<=[A-Z] )\d{4,}\b")
_TIMES = re.compile(rf"({_NUMBER})\s?[x×]\s?(?={_NUMBER}\s?(?:{_either(UNITS)})[ -]{_HOLDERS})")
_BY = re.compile(r"(?<=[\d\w])\s?[x×]\s?(?=\d)")
_MINUS = re.compile(r"(?<![\w)/.,])[-−–](?=\d)")
_SPAN = rf"({_NUMBER})(?:(?:{_HYPHENS}| to )({_NUMBER}))?"
_WITH_SCALE = re.compile(rf"{_SPAN}\s?({_either(_SCALES)})(?![A-Za-z])")
_WITH_UNIT = re.compile(
    rf"{_SPAN}[\s-]?({_either(UNITS)})(?!\w)(?:\.(?=\s?[a-z]))?([ -]{_HOLDERS}s?\b)?"
)
_OVEN = re.compile(r"(?<= (?:to|at) )([1-3]\d[05])(?![\d.,]*\d|\s?[\w°%])")
_BARE = re.compile(_SPAN)
_LONE_UNIT = re.compile(
    r"\b(fl oz|kg|mg|ml|oz|lbs?|tsps?|tbsps?|cm|mm|mins?|hrs?|secs?)\b\.?", re.I
)
_SHORTENED = re.compile(rf"(?<!\w)(?:{_either(_SHORT)})(?!\w)", re.I)
_CAPITALS = re.compile(r"\b[A-Z]{2,}\b")
_CIRCA = re.compile(r"\bc\.\s?(?=\d)")
_US_AND = re.compile(r"\b(hundred|thousand|million) and (?=(?:[a-z]+(?:teen|ty)|one|two|three|"
                     r"four|five|six|seven|eight|nine|ten|eleven|twelve)\b)")  # fmt: skip
_US_HALF_PAST = re.compile(r"\bhalf past ([a-z]+)\b")


@lru_cache(1024)  # calls are made ready long before they are made, and again and again
def aloud(text: str, english: English = "uk") -> str:
    """The text in words, as a cook would say it: "400 g" is "four hundred grams".

    english: "us" says "six thirty" for half past six, and numbers without "and".
    """
    text = _numbers(unicodedata.normalize("NFKC", _FRACTION.sub(_as_figures, text)))
    text = _LONE_UNIT.sub(lambda found: _unit_word(found[1], 2.0), text)
    text = _SHORTENED.sub(lambda found: _SHORT[found[0].lower()], text)
    text = "".join(_SIGNS.get(character, character) for character in text)
    text = "".join(c if _sayable(c) else " " for c in text)
    text = _tidy(_CAPITALS.sub(lambda found: " ".join(found[0]), text))
    if english == "us":
        text = _US_HALF_PAST.sub(r"\1 thirty", _US_AND.sub(r"\1 ", text))
    return text


def _numbers(text: str) -> str:
    """Every figure in words, the most telling surroundings first."""
    text = _CIRCA.sub("about ", text)
    text = _CLOCK.sub(lambda found: clock_spoken(time(int(found[1]), int(found[2]))), text)
    text = _ORDINAL.sub(lambda found: _ordinal(int(found[1])), text)
    text = _DIALLED.sub(lambda found: _digits(found[0]), text)
    text = _YEAR.sub(lambda found: f"{found[1]} {_year(int(found[2]), int(found[3]))}", text)
    text = _TIMES.sub(lambda found: f"{_words(found[1])} ", text)
    text = _BY.sub(" by ", text)
    text = _MINUS.sub("minus ", text)
    text = _WITH_SCALE.sub(lambda found: f"{_span(found)} {_SCALES[found[3]]}", text)
    text = _WITH_UNIT.sub(_amount, text)
    text = _CODE.sub(lambda found: f" {_digits(found[0])} ", text)
    text = _OVEN.sub(lambda found: degrees_briefly(int(found[0])), text)
    text = _BARE.sub(lambda found: f" {_span(found)} ", text)
    return _digits(text)  # of what is no number


def _as_figures(found: re.Match[str]) -> str:
    """ "1½" as "1 1/2", so that what is made compatible next does not make eleven halves of it."""
    part = unicodedata.normalize("NFKC", found[2]).replace("\u2044", "/")
    return f"{found[1]} {part}" if found[1] else part


def _span(found: re.Match[str]) -> str:
    """One number or a range of two, in words."""
    return " to ".join(_words(number) for number in found.group(1, 2) if number)


def _words(number: str) -> str:
    value = _value(number)
    return _digits(number) if value is None else number_spoken(value)


def _value(number: str) -> float | None:
    """What a number is worth; None for a fraction that is none."""
    whole, _, part = number.rpartition(" ") if "/" in number else (number, "", "")
    value = float(whole.replace(",", "") or 0)
    if part:
        over, under = map(int, part.split("/"))
        if not 0 < over < under:
            return None
        value += over / under
    return value


def _amount(found: re.Match[str]) -> str:
    """ "400 g" in words; before what holds it in one: "four hundred gram tins"."""
    unit, holder = UNITS[found[3]], found[4] or ""
    low, high = _value(found[1]), _value(found[2]) if found[2] else None
    if low is None:
        return f"{_digits(found[1])} {_unit_word(found[3], 2.0)}{holder}"
    if holder:
        return f"{_span(found)} {counted(unit, 1)} {holder[1:]}"
    return exactly_spoken(low, unit, high)


def _unit_word(short: str, value: float) -> str:
    known = UNITS.get(short) or UNITS[short.lower()]
    return counted(known, value)


def _digits(number: str) -> str:
    """Figure by figure, as a telephone number."""
    return re.sub(r"\d", lambda found: f" {number_spoken(int(found[0]))} ", number)


def _year(hundreds: int, rest: int) -> str:
    if rest == 0 or (hundreds == 20 and rest < 10):
        return number_spoken(100 * hundreds + rest)
    return f"{number_spoken(hundreds)} {'oh ' if rest < 10 else ''}{number_spoken(rest)}"


def _ordinal(value: int) -> str:
    words, _, last = number_spoken(value).rpartition(" ")
    tens, _, last = last.rpartition("-")
    last = _ORDINALS.get(last) or f"{last.removesuffix('y') + 'ie' if last[-1] == 'y' else last}th"
    return f"{words} {tens}-{last}".replace(" -", " ").strip(" -")


def _sayable(character: str) -> bool:
    """Letters and their marks, and what parts words and sentences."""
    return unicodedata.category(character)[0] in "LMZ" or character in "-'.,;:!?"


def _tidy(text: str) -> str:
    """One space, one stop; no hyphen or apostrophe but within a word."""
    text = re.sub(r"(?<![^\W\d_])['-]+|['-]+(?![^\W\d_])", " ", text)
    text = re.sub(r"\s+([.,;:!?])", r"\1", " ".join(text.split()))
    text = re.sub(r"(?<=[.!?])[,;:.]+|[,;:]+(?=[.,;:!?])", "", text)
    return text.lstrip(" .,;:!?-'")

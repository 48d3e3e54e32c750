"""Unit words in an utterance: after a number ("400 g"), or alone as the wanted one ("in cups")."""

from dataclasses import dataclass

from assistant.meaning import AmountKind
from assistant.number_words import Token, glued, low, read_number, word_set
from domain.kitchen import UnitSystem
from domain.units import kind_of, unit, words

# What may stand between a number and its unit without changing either.
_BETWEEN = word_set(
    """heaped heaping level levelled rounded scant generous good big small large full flat packed
    more extra further additional whole"""
)
_TINS = word_set("tin pan dish cake round square tray ring plate mould mold springform")
# Pieces whose word is also a verb or a thing: they are measures only in "a slice of".
_NEEDS_OF = word_set(
    """can tin head slice knob jar piece pack packet stick drop bunch pat bulb thumb ear leaf leaves
    spear floret rasher"""
)
_ASKS_UNIT = word_set("in into to as many use using prefer me convert")
_THINGS = word_set("the those these my your our its clean dirty")  # "the cups" are crockery
_NO_TARGET = word_set("drop dash stick pinch")  # "about to drop" asks for no unit
_CLOSERS = word_set("please and for is now then how what only to instead not")
_LONGEST = 4  # words of a unit: "degrees celsius fan"
HIGHEST_CELSIUS_DIAL = 300  # home ovens stop below it; a higher bare number is Fahrenheit
LOWEST_DIAL = 50
_NEAR = 12  # tokens to the temperature that a setting is asked for

_KINDS: dict[str, AmountKind] = {
    kind: kind for kind in ("mass", "volume", "temperature", "length", "duration", "count")
}


@dataclass(frozen=True)
class UnitFound:
    """A unit that was read. name: as in `domain.units`; end: index of the token after it."""

    name: str
    kind: AmountKind
    end: int


def unit_after(tokens: list[Token], i: int, value: float, measures: UnitSystem) -> UnitFound | None:
    """The unit of a number that ends before token i, or None."""
    k = i + 1 if low(tokens, i) == "-" and glued(tokens, i) else i
    while low(tokens, k) in _BETWEEN:
        k += 1
    if low(tokens, k) == "of" and k == i:
        k += 1
    if low(tokens, k) in ("a", "an"):
        k += 1
    found = _longest(tokens, k)
    if found is None or not _is_measure(tokens, k, found, value):
        return None
    name, spelt, end = found
    if spelt in ("c", "C"):
        name = _letter_c(spelt, value, measures)
    if name == "degree":
        name = degrees_meant(value, measures)
    if name == "celsius" and low(tokens, end) in ("fan", "convection"):
        name, end = "fan_celsius", end + 1
    if name == "fan_celsius":
        end += low(tokens, end) in ("oven", "assisted")
    return _found(name, end)


def degrees_meant(value: float, measures: UnitSystem) -> str:
    """The scale of bare degrees: the cook's, but Fahrenheit where no Celsius dial reaches."""
    name = unit("degree", measures)
    return "fahrenheit" if name == "celsius" and value > HIGHEST_CELSIUS_DIAL else name


def unit_wanted(tokens: list[Token], i: int) -> UnitFound | None:
    """The unit that an amount is wanted in, from token i: "to ounces", "how many cups"; or None."""
    longest = _longest(tokens, i)
    if longest is None:
        return None
    name, spelt, end = longest
    if name in ("celsius", "fahrenheit") and len(spelt) > 3:
        return _found(name, end)  # words that mean nothing else
    if name == "gas_mark":
        asked = low(tokens, i - 1) in _ASKS_UNIT or _temperature_near(tokens, i)
        return _found(name, end) if asked and "mark" in spelt.lower() else None
    if name == "fan_celsius":
        return _found(name, end) if _fan_asked(tokens, i) else None
    found = _found("celsius" if spelt in ("c", "C") else name, end)
    if found is None or found.kind == "count" or name in _NO_TARGET or spelt in ("t", "T", "in"):
        return None
    plural = len(spelt) > 3 and spelt.endswith("s")
    if plural and found.kind in ("mass", "volume"):
        before = low(tokens, i - 1)
        return None if before in _THINGS or before[:1].isdecimal() else found
    if not _asked_before(tokens, i):
        return None
    if found.kind == "duration":
        return found if plural and low(tokens, i - 1) != "many" else None
    sure = low(tokens, i - 1) == "many" or (plural and len(spelt) > 2)
    return found if sure or _ends(tokens, end) else None


def _asked_before(tokens: list[Token], i: int) -> bool:
    """True after "in", "to" ..., and after another unit so asked: "in pounds and ounces"."""
    if low(tokens, i - 1) == "and":
        return i > 2 and low(tokens, i - 3) in _ASKS_UNIT and _longest(tokens, i - 2) is not None
    return low(tokens, i - 1) in _ASKS_UNIT


def _found(name: str, end: int) -> UnitFound | None:
    """The unit as one of an amount; None for what amounts are not given in."""
    kind = _KINDS.get(kind_of(name))
    return UnitFound(name, kind, end) if kind and name not in ("degree", "kelvin") else None


def _fan_asked(tokens: list[Token], i: int) -> bool:
    """True for "200 in a fan oven": a temperature was said, and how to set the fan is asked."""
    k = i - 2 if low(tokens, i - 1) in ("a", "the", "my", "our") else i - 1
    return low(tokens, k) in ("in", "for", "to", "with") and _temperature_near(tokens, k)


def _temperature_near(tokens: list[Token], i: int) -> bool:
    """True when a number that could be an oven's stands not far from token i."""
    around = range(max(0, i - _NEAR), min(len(tokens), i + _NEAR))
    numbers = (read_number(tokens, k) for k in around)
    return any(number is not None and number.value >= LOWEST_DIAL for number in numbers)


def _longest(tokens: list[Token], i: int) -> tuple[str, str, int] | None:
    """(name, spelling, end) of the longest unit at i; a full stop after "fl." is passed over."""
    spelt, best = "", None
    k = i
    for _ in range(_LONGEST):
        if k >= len(tokens):
            break
        joint = "" if not spelt or (glued(tokens, k) and tokens[k - 1].text != ".") else "_"
        spelt = spelt + joint + tokens[k].text
        name = words().get(spelt) or words().get(spelt.lower())
        k += 1
        if name and not name.startswith("delta_"):
            best = (name, spelt, k)
        if low(tokens, k) == "." and glued(tokens, k) and low(tokens, k + 1).isalpha():
            k += 1
    return best


def _is_measure(tokens: list[Token], i: int, found: tuple[str, str, int], value: float) -> bool:
    """False where the word after a number is no unit: "one can help", "8 in a tin"."""
    name, spelt, end = found
    spelt = spelt.lower()
    if name == "gas_mark" or name == "kelvin":
        return False
    if name == "fan_celsius":
        return LOWEST_DIAL <= value <= HIGHEST_CELSIUS_DIAL
    if spelt == "in":
        return glued(tokens, i) or low(tokens, end) in _TINS
    if spelt in ("second", "sec"):
        return value != 1
    return spelt not in _NEEDS_OF or low(tokens, end) == "of"


def _letter_c(spelt: str, value: float, measures: UnitSystem) -> str:
    """ "180 c" is Celsius, "2 c" is cups; a capital is Celsius unless the cook measures in US."""
    hot_or_frozen = value >= 30 or value < 0
    if hot_or_frozen or (spelt == "C" and measures != "us"):
        return "celsius"
    return "cup"


def _ends(tokens: list[Token], i: int) -> bool:
    """True when the utterance is over, but for courtesies and punctuation."""
    word = low(tokens, i)
    return not word or not word[0].isalnum() or word in _CLOSERS

"""What a spoon, a jug, a scale or an oven dial can really do with an exact amount."""

import math
from dataclasses import dataclass

from domain.kitchen import UnitSystem
from domain.units import convert, everyday, kind_of, plain

_THIRDS = (0.0, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4, 1.0)  # a set of cups
_WHOLES = (0.0, 1.0)
_HALVES = (0.0, 1 / 2, 1.0)
_QUARTERS = (0.0, 1 / 4, 1 / 2, 3 / 4, 1.0)
_EIGHTHS = (0.0, 1 / 8, 1 / 4, 1 / 2, 3 / 4, 1.0)  # a set of teaspoons; none has 3/8
# The parts of one that can be measured, by unit. Common practice.
_PARTS = {
    "cup": _THIRDS,
    "tablespoon": _HALVES,
    "teaspoon": _EIGHTHS,
    "dessertspoon": _HALVES,
    "gill": _QUARTERS,
    "pint": _QUARTERS,
    "quart": _QUARTERS,
    "gallon": _QUARTERS,
    "pound": _QUARTERS,
    "inch": _QUARTERS,
    "stick": _QUARTERS,
    "hour": _QUARTERS,
    "pinch": _WHOLES,
    "dash": _WHOLES,
}
# Elsewhere the step of the tool: (below this value, step), the last for all above.
_STEPS = {
    "gram": ((10, 0.5), (100, 1), (math.inf, 5)),
    "kilogram": ((math.inf, 0.05),),
    "ounce": ((4, 0.25), (math.inf, 0.5)),
    "fluid_ounce": ((4, 0.25), (math.inf, 0.5)),
    "millilitre": ((30, 1), (100, 5), (math.inf, 10)),
    "centilitre": ((math.inf, 1),),
    "decilitre": ((math.inf, 0.25),),
    "litre": ((math.inf, 0.05),),
    "centimetre": ((math.inf, 0.5),),
    "celsius": ((math.inf, 1),),
    "fahrenheit": ((math.inf, 1),),
    "fan_celsius": ((math.inf, 1),),
    "minute": ((10, 0.5), (math.inf, 1)),
}
GAS_MARKS = (0.25, 0.5, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10)
_TOO_FAR = 0.1  # a rounding that changes the amount by more serves no cook
# The unit below and above in a set of measures: (smaller, larger).
_SETS = (
    ("teaspoon", "tablespoon"),
    ("tablespoon", "cup"),
    ("gram", "kilogram"),
    ("millilitre", "litre"),
    ("ounce", "pound"),
    ("minute", "hour"),
    ("second", "minute"),
)


# The least of a measure that its set has, or that is worth using it for; else one.
LEAST = {
    "cup": 0.25,
    "tablespoon": 0.5,
    "teaspoon": 1 / 8,
    "pound": 1.0,
    "hour": 1.0,
    "minute": 1.0,
}
# What is poured or weighed in one measure and topped up with a smaller one.
_TOPPED_UP = {"cup": "tablespoon", "tablespoon": "teaspoon", "teaspoon": "pinch", "pound": "ounce"}
# Baking notices a rounding of more than this; our own choice ("a few per cent").
NOTICED = 0.03


@dataclass(frozen=True)
class Measurable:
    """An amount as tools can measure it: one or two measures, largest first, (value, unit) each.

    error: (measured - exact) / exact. below: the measure asked for, where the amount is less than
    the least of its set; "" otherwise.
    """

    parts: tuple[tuple[float, str], ...]
    error: float
    below: str = ""


@dataclass(frozen=True)
class Rounded:
    """An amount as a kitchen can measure it. error: (rounded - exact) / exact, 0 for zero."""

    value: float
    unit: str
    error: float


def kitchen(value: float, word: str) -> Rounded:
    """The nearest amount that the tools for this unit can measure.

    Where that would be over a tenth off, two significant digits of the exact amount instead.
    """
    name = plain(word)
    rounded = _to_tool(value, name)
    error = (rounded - value) / value if value else 0.0
    if abs(error) > _TOO_FAR and kind_of(name) != "temperature":
        rounded = float(f"{value:.2g}")
        error = (rounded - value) / value
    return Rounded(rounded, name, error)


def measurable(value: float, word: str, enough: float = NOTICED) -> Measurable:
    """An amount as a cook can measure it, in the unit asked for where that can be.

    In spoons when it is less than the least cup; in two measures (a cup and a half and a spoon)
    where one alone would be further off than is good enough.
    """
    name = plain(word)
    if 0 < value < _least(everyday(name)) and everyday(name) in ("cup", "tablespoon"):
        small, unit = handiest(value, name)
        spoons = measurable(small, unit, enough)
        return Measurable(spoons.parts, spoons.error, name)
    tool = everyday(name)
    if tool == "teaspoon" and 0 < value < LEAST[tool]:
        pinches = max(1.0, round(convert(value, name, "pinch").value))
        exact = convert(pinches, "pinch", name).value
        return Measurable(((pinches, "pinch"),), exact / value - 1, name)
    one = kitchen(value, name)
    measured = tool not in _PARTS or abs(_to_tool(value, name) - one.value) < 1e-9
    enough = _TOO_FAR if tool == "teaspoon" else enough
    if value <= 0 or tool not in _TOPPED_UP or (abs(one.error) <= enough and measured):
        return Measurable(((one.value, name),), one.error)
    ways = _topped_up(value, name)
    good = [way for way in ways if abs(way.error) <= enough]
    if good:
        return max(good, key=lambda way: (-len(way.parts), way.parts[0][0]))
    return min(ways, key=lambda way: (round(abs(way.error), 6), -way.parts[0][0]))


def _topped_up(value: float, name: str) -> list[Measurable]:
    """The amount in one measure, rounded, and in the measure below it with a smaller one added."""
    tool = everyday(name)
    smaller = _like(name, tool, _TOPPED_UP[tool])
    found = [Measurable(((_to_tool(value, name), name),), _to_tool(value, name) / value - 1)]
    whole = math.floor(value)
    for part in _PARTS[tool]:
        large = whole + part
        if not 0 < large <= value:
            continue
        rest = convert(value - large, name, smaller).value
        small = _to_tool(rest, smaller)
        if small:
            total = large + convert(small, smaller, name).value
            found.append(Measurable(((large, name), (small, smaller)), total / value - 1))
    return found


def _to_tool(value: float, name: str) -> float:
    tool = everyday(name)
    if tool == "gas_mark":
        return min(GAS_MARKS, key=lambda mark: abs(mark - value))
    if tool in _PARTS:
        whole = math.floor(value)
        return whole + min(_PARTS[tool], key=lambda part: abs(whole + part - value))
    if tool in _STEPS:
        step = next(step for below, step in _STEPS[tool] if abs(value) < below or below == math.inf)
        return round(value / step) * step
    return float(round(value, 2))


def dial(value: float, word: str) -> float:
    """An oven temperature as a dial is marked: tens of °C, 25s of °F, whole gas marks.

    Common practice; not for temperatures inside food, which are never rounded down.
    """
    name = plain(word)
    if name == "gas_mark":
        return _to_tool(value, name)
    step = 25 if name == "fahrenheit" else 10
    return math.floor(value / step + 0.5) * step


def handiest(value: float, word: str, measures: UnitSystem = "metric") -> tuple[float, str]:
    """The same amount in the unit a cook would reach for: 6 us_teaspoon -> (2.0, "us_tablespoon").

    It moves up only where the larger measure takes the amount exactly, and down from parts that
    no measure has.
    """
    name = plain(word)
    for small, large in _SETS:
        if everyday(name) == small:
            bigger = _like(name, small, large)
            up = convert(value, name, bigger, measures=measures).value
            if up >= _least(large) and abs(kitchen(up, bigger).value - up) < 1e-6:
                return handiest(kitchen(up, bigger).value, bigger, measures)
        if everyday(name) == large and 0 < value < _least(large):
            smaller = _like(name, large, small)
            return convert(value, name, smaller, measures=measures).value, smaller
    return value, name


def scale(
    value: float, word: str, factor: float, measures: UnitSystem = "metric"
) -> tuple[float, str]:
    """An amount times a factor, in the handiest unit. Exact: round it with `kitchen` to measure.

    Raises ImpossibleAmount for a result no kitchen can hold.
    """
    name = plain(word)
    product = convert(value * factor, name, name, measures=measures).value
    return handiest(product, name, measures)


def _least(large: str) -> float:
    """The least of a measure that is worth using it for."""
    return LEAST.get(large, 1)


def _like(name: str, tool: str, other: str) -> str:
    """The other measure of the same country: ("us_cup", "cup", "tablespoon")."""
    if other == "pinch":
        return other
    country = name.removesuffix(tool)
    if country == "australian_":
        return "australian_tablespoon" if other == "tablespoon" else f"metric_{other}"
    return f"{country}{other}"

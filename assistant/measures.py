"""Times and amounts as an answer says and shows them, and a few ways to put a sentence."""

from collections.abc import Sequence
from datetime import datetime

from assistant.reply import Reply
from assistant.scene import Scene
from assistant.two_forms import both
from domain.kitchen import UnitSystem
from domain.menu import Dish, Ingredient
from domain.phrasing import (
    clock_shown,
    clock_spoken,
    duration_shown,
    duration_spoken,
    exactly_spoken,
    shown,
    spoken,
)
from domain.rounding import LEAST, NOTICED, kitchen, measurable
from domain.units import READINGS, convert, everyday, plain

# Measures of these names differ by country enough to say whose is meant.
_DIFFER = ("cup", "fluid_ounce", "gill", "pint", "quart", "gallon")
PEOPLE = {"us": "American", "metric": "metric", "imperial": "imperial", "australian": "Australian"}
# Measures that are filled rather than read off a scale: told as their sets have them.
FILLED = (*_DIFFER, "tablespoon", "teaspoon", "dessertspoon", "pound")
_SAME = 0.01  # a measure this near the exact amount needs no "about"
_SPOKEN_AT_ONCE = 3  # of a list; the rest is told on "more"


def capital(text: str) -> str:
    """The text with a capital first letter."""
    for place, character in enumerate(text):
        if character.isalnum():
            return text[:place] + character.upper() + text[place + 1 :]
    return text


def span(seconds: float) -> str:
    """A length of time: "twelve minutes", shown "12 min"."""
    return both(duration_spoken(seconds), duration_shown(seconds))


def clock(at: float) -> str:
    """A moment by the kitchen clock (POSIX seconds): "ten past seven", shown "19:10"."""
    here = datetime.fromtimestamp(at)
    return both(clock_spoken(here), clock_shown(here))


def listed(title: str, parts: Sequence[str]) -> Reply:
    """A list in speech: the first few at once, the rest on "more"; shown whole."""
    first = f"{title}: {parts[0]}."
    spoken = [first, *(f"{capital(part)}." for part in parts[1:_SPOKEN_AT_ONCE])]
    rest = [f"{capital(part)}." for part in parts[_SPOKEN_AT_ONCE:]]
    return Reply(" ".join(spoken), shown=f"{title}: {'; '.join(parts)}.", more=" ".join(rest))


def scaled(line: Ingredient, dish: Dish, scene: Scene) -> float:
    """The line's amount for the people now expected."""
    return scaled_span(line, dish, scene)[0]


def scaled_span(line: Ingredient, dish: Dish, scene: Scene) -> tuple[float, float | None]:
    """The line's amount for the people now expected, and the upper end where it is a range."""
    people = scene.live.state.servings
    high = line.high * people / dish.serves if line.high is not None else None
    return (line.value or 0.0) * people / dish.serves, high


def amount(value: float, unit: str | None, high: float | None = None) -> str:
    """An amount in kitchen speech, shown with figures; no unit for a count."""
    return both(spoken(value, unit or None, high), shown(value, unit or None, high))


def amount_line(line: Ingredient, dish: Dish, scene: Scene) -> str:
    """An ingredient with its amount for the people expected: "300 g long-grain white rice"."""
    if line.value is None:
        return f"{line.name}, to taste"
    value, high = scaled_span(line, dish, scene)
    of = both(" of", "") if line.unit else ""
    prep = f", {line.prep}" if line.prep else ""
    # As written where it is as written; for other numbers of people, as it can be measured.
    told = measured if line.unit and abs(value - line.value) > 1e-9 else amount
    return f"{told(value, line.unit or '', high)}{of} {line.name}{prep}"


def measures_of(scene: Scene) -> UnitSystem:
    """Whose cups and pints the cook means."""
    return scene.settings.units or scene.kitchen.units


def measured(value: float, unit: str, high: float | None = None, enough: float = NOTICED) -> str:
    """An amount as a cook can measure it, "about" where that is off: "about 1½ cups and 1 tbsp".

    Said to be less than the least of the measure asked for, where it is. enough: how far off one
    measure alone may be.
    """
    if everyday(plain(unit)) not in FILLED:
        return amount(value, unit, high)
    if high is not None:
        low, top = kitchen(value, unit), kitchen(high, unit)
        off = max(abs(low.error), abs(top.error))
        return _about(off) + _exactly(low.value, unit, top.value)
    found = measurable(value, unit, enough)
    told = " and ".join(_exactly(part, name) for part, name in found.parts)
    if found.below:
        least = _exactly(LEAST[everyday(unit)], unit)
        return f"less than {least}: {_about(found.error)}{told}"
    return _about(found.error) + told


def about(value: float, unit: str, high: float | None = None) -> str:
    """An amount that is an average or a habit: "about 250 grams", shown "about 254 g"."""
    if everyday(plain(unit)) in FILLED:
        return f"about {measured(value, unit, high).removeprefix('about ')}"
    top = kitchen(high, unit).value if high is not None else None
    said = exactly_spoken(kitchen(value, unit).value, everyday(unit), top)
    return both(f"about {said}", f"about {shown(value, unit, high)}")


def _about(error: float) -> str:
    return "about " if abs(error) > _SAME else ""


def _exactly(value: float, unit: str, high: float | None = None) -> str:
    name = everyday(unit)
    return both(exactly_spoken(value, name, high), shown(value, unit, high))


def country(name: str, said: str, scene: Scene, *, sized: bool = True) -> str:
    """Whose measure a plain word was taken for: "The cup here is metric, 250 millilitres."

    name: the unit that it was taken for; said: the cook's word; "" when that told the country.
    sized: its size too.
    """
    word = everyday(name)
    own = READINGS[measures_of(scene)].get(plain(said)) if said else None
    if own != name or not (word in _DIFFER or name == "australian_tablespoon"):
        return ""
    whose = PEOPLE[name.removesuffix(f"_{word}")]
    held = convert(1, name, "millilitre").value
    size = both(exactly_spoken(round(held), "millilitre"), shown(held, "millilitre"))
    return f"The {word.replace('_', ' ')} here is {whose}{f', {size}' if sized else ''}."

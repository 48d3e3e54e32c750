"""Times and amounts as an answer says and shows them, and a few ways to put a sentence."""

from collections.abc import Sequence
from datetime import datetime

from assistant.reply import Reply
from assistant.scene import Scene
from assistant.two_forms import both
from domain.menu import Dish, Ingredient
from domain.phrasing import (
    clock_shown,
    clock_spoken,
    duration_shown,
    duration_spoken,
    shown,
    spoken,
)

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
    return (line.value or 0.0) * scene.live.state.servings / dish.serves


def amount(value: float, unit: str | None, high: float | None = None) -> str:
    """An amount in kitchen speech, shown with figures; no unit for a count."""
    return both(spoken(value, unit or None, high), shown(value, unit or None, high))


def amount_line(line: Ingredient, dish: Dish, scene: Scene) -> str:
    """An ingredient with its amount for the people expected: "300 g long-grain white rice"."""
    if line.value is None:
        return f"{line.name}, to taste"
    value = scaled(line, dish, scene)
    high = value * line.high / line.value if line.high is not None else None
    of = both(" of", "") if line.unit else ""
    prep = f", {line.prep}" if line.prep else ""
    return f"{amount(value, line.unit, high)}{of} {line.name}{prep}"

"""The least inside temperatures of the foods asked about, and whether one told is enough."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.figures import (
    allowed,
    as_said,
    asked_about,
    degrees,
    food,
    joined,
    length,
    named_foods,
    plain_degrees,
    says,
)
from assistant.meaning import Understood
from assistant.measures import capital
from assistant.scene import Scene
from assistant.wording import plain
from domain.tables import SafeTemperature, safe_temperature_index
from domain.units import to_celsius

ANY_FOOD = "any cooked food"
# Above this no food that holds water can be inside, so bare degrees are Fahrenheit.
_HOTTEST_C = 110.0
_UNDONE = re.compile(
    r"\b(?:pink|raw|uncooked|rare|bloody|blood(?: in| coming)?|under ?cooked|half (?:cooked|raw)|"
    r"not (?:fully |quite |properly )?(?:cooked|done)|blue|runny|cold in the middle|tartare?|"
    r"carpaccio|sushi|sashimi|ceviche)\b"
)
_ASKS_FIGURE = re.compile(r"\b(?:temperatures?|temp|degrees?|how hot|thermometer|probe)\b")


@dataclass(frozen=True)
class Asked:
    """What is known of the foods asked about.

    names: as the cook says them. told: the strictest row of each kind of food, the strictest
    first; others: the rows that say less.
    """

    names: str
    told: dict[str, SafeTemperature]
    others: tuple[SafeTemperature, ...]

    def lines(self, scene: Scene) -> list[str]:
        """A sentence with figure and source for each kind of food."""
        one = len(self.told) == 1
        return [
            says(
                f"{capital(self.names if one else food(kind, scene))}: {figure(row, scene)}",
                row.source,
            )
            for kind, row in self.told.items()
        ]


def temperatures_asked(ask: Understood, scene: Scene) -> Asked | None:
    """The inside temperatures of the foods in the question; None when no table knows them."""
    text = ask.text.lower()
    found = safe_temperature_index().within(text)
    for name in () if found else named_foods(ask, scene):
        found = (*found, *safe_temperature_index().within(name))
    found = found or safe_temperature_index().find(asked_about(text))
    if not found:
        return None
    rows = list(dict.fromkeys(row for match in found for row in match.rows))
    names = joined(list(dict.fromkeys(as_said(text, match.name) for match in found)))
    told = _strictest_of_kinds(rows, scene)
    return Asked(names, told, tuple(row for row in rows if row not in told.values()))


def _strictest_of_kinds(
    rows: Sequence[SafeTemperature], scene: Scene
) -> dict[str, SafeTemperature]:
    general = [row for row in rows if row.food == ANY_FOOD]
    kinds: dict[str, list[SafeTemperature]] = {}
    for row in rows:
        if row.audience == "home" and row.food != ANY_FOOD:
            kinds.setdefault(row.food, []).append(row)
    kinds = kinds or {rows[0].food: list(rows)}
    told = {kind: strictest([*own, *general], scene) for kind, own in kinds.items()}
    return dict(sorted(told.items(), key=lambda item: _strictness(item[1]), reverse=True))


def _strictness(row: SafeTemperature) -> tuple[int, int]:
    """The highest temperature, then the longest hold: what is meant by the strictest."""
    return round(row.celsius), row.hold_s + row.rest_s


def strictest(rows: Sequence[SafeTemperature], scene: Scene) -> SafeTemperature:
    """The strictest row of those that this cook goes by, else of all."""
    usable = [row for row in rows if allowed(row.source, scene)] or rows
    return max(usable, key=lambda row: (_strictness(row), row.audience == "home"))


def figure(row: SafeTemperature, scene: Scene) -> str:
    """ "70 degrees Celsius for 2 minutes"."""
    hold = f" for {length(row.hold_s)}" if row.hold_s else ""
    rest = f", then {length(row.rest_s)} of rest" if row.rest_s else ""
    return f"{degrees(row.celsius, row.fahrenheit, scene)}{hold}{rest}"


def celsius_told(ask: Understood) -> float | None:
    """The temperature that the question names, in °C; None when it names none."""
    for said in ask.amounts:
        if said.kind != "temperature" or not isinstance(said.value, int | float):
            continue
        scale = said.unit
        bare = not re.search(r"c\b|celsius|centigrade", said.text.lower())
        if scale == "celsius" and bare and said.value > _HOTTEST_C:
            scale = "fahrenheit"
        if scale in ("celsius", "fahrenheit"):
            return to_celsius(said.value, scale)
    return None


def verdict(ask: Understood, rows: Sequence[SafeTemperature], scene: Scene) -> str:
    """ "No, 65 °C is too low." for a temperature that was told, "No." for what is not cooked
    through; "" where neither is asked."""
    celsius = celsius_told(ask)
    text = plain(ask.text)
    if celsius is None:
        return "No." if _UNDONE.search(text) and not _ASKS_FIGURE.search(text) else ""
    holds = [_hold_needed(row, celsius) for row in rows]
    told = plain_degrees(celsius, scene)
    if any(hold is None for hold in holds):
        return f"No, {told} is too low."
    longest = max(hold or 0 for hold in holds)
    return f"Yes, if {told} lasts {length(longest)}." if longest else f"Yes, {told} is enough."


def undone(ask: Understood) -> bool:
    """Whether something raw, pink or rare is asked about."""
    return bool(_UNDONE.search(plain(ask.text)))


def _hold_needed(row: SafeTemperature, celsius: float) -> int | None:
    """How long `celsius` must last by this row, seconds; None where it is too low."""
    pairs = [(row.celsius, row.hold_s), *((one.celsius, one.hold_s) for one in row.equals)]
    enough = [hold for at, hold in pairs if round(celsius, 1) >= at]
    return min(enough, default=None)

"""Kitchens as typed, frozen values. `domain.cookbook` finds and reads them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from domain.errors import KitchenError
from domain.menu import Menu, Use
from domain.yamlfile import nearest

UnitSystem = Literal["metric", "us", "uk", "au"]


@dataclass(frozen=True)
class Oven:
    """One cavity with one temperature at a time.

    heat_s: seconds from cold to 200 °C; change_s: seconds for a change of 10 °C once hot.
    """

    name: str
    shelves: int
    heat_s: int
    change_s: int
    fan: bool = False


@dataclass(frozen=True)
class Kitchen:
    """What there is to cook with. altitude_m is in metres above the sea."""

    name: str
    title: str
    rings: int
    ovens: tuple[Oven, ...]
    equipment: dict[str, int]
    cooks: tuple[str, ...]
    units: UnitSystem = "metric"
    altitude_m: float = 0.0


@dataclass
class KitchenLacks(KitchenError):
    """What a menu needs and a kitchen has not, one sentence each in `lacks`."""

    menu: str
    kitchen: str
    lacks: tuple[str, ...]

    def __str__(self) -> str:
        return f"“{self.menu}” cannot be cooked in “{self.kitchen}”: {'; '.join(self.lacks)}"


def check(menu: Menu, kitchen: Kitchen) -> None:
    """Raises KitchenLacks when a step asks for more than the whole kitchen has.

    A step with several ways is lacking when none of them fits; what the first one lacks is told.
    """
    have = kitchen.equipment | {"ring": kitchen.rings}
    have["oven"] = max((oven.shelves for oven in kitchen.ovens), default=0)
    lacks: dict[str, list[str]] = {}
    for step in menu.steps:
        by_way = [
            [_lack(use, have) for use in way.uses if use.count > have.get(use.what, 0)]
            for way in step.in_all_ways()
        ]
        for lack in dict.fromkeys(by_way[0]) if all(by_way) else ():
            lacks.setdefault(lack, []).append(f"“{step.key}”")
    if lacks:
        told = tuple(f"{in_need(steps)} {lack}" for lack, steps in lacks.items())
        raise KitchenLacks(menu.name, kitchen.name, told)


def in_need(steps: Sequence[str]) -> str:
    """ "“drain” needs", or of several steps the first: what they lack is told once."""
    first, *others = steps
    if not others:
        return f"{first} needs"
    if len(others) == 1:
        return f"{first} and {others[0]} need"
    return f"{first} and {len(others)} other steps need"


def _lack(use: Use, have: dict[str, int]) -> str:
    what, count = use.what, use.count
    if have.get(what):
        name = "shelf in one oven" if what == "oven" else what
        return f"{count} of “{name}” and there are only {have[what]}"
    close = nearest(what, [name for name, count in have.items() if count])
    hint = f"did you mean “{close}”?" if close else "add it to the kitchen’s equipment"
    return f"“{what}”, which is not there; {hint}"

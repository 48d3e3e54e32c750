"""Kitchens as typed, frozen values. `domain.cookbook` finds and reads them."""

from dataclasses import dataclass
from typing import Literal

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

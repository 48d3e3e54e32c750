"""Tins for baking: how much bottom and how much room they have, and what one is to another."""

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from domain.sources import CITED, TABLES, Source, cited, rows
from domain.yamlfile import Entry, read

Shape = Literal["round", "square", "rectangular", "loaf", "measured"]


@dataclass(frozen=True)
class Tin:
    """A tin. sides: its width, or its two sides, in cm; depth: in cm, None when not told.

    holds: millilitres to the brim where they are known apart from its sizes ("a one litre tin").
    """

    shape: Shape
    sides: tuple[float, ...] = ()
    depth: float | None = None
    holds: float | None = None

    @property
    def area(self) -> float | None:
        """Square centimetres of its bottom: π/4 d² for a round one; None when not known."""
        if not self.sides:
            return None
        if self.shape == "round":
            return math.pi / 4 * self.sides[0] ** 2
        return self.sides[0] * self.sides[-1]

    @property
    def volume(self) -> float | None:
        """Millilitres to the brim; None when not known."""
        if self.holds is not None:
            return self.holds
        area = self.area
        return area * self.depth if area is not None and self.depth is not None else None


@dataclass(frozen=True)
class Change:
    """From one tin to another. factor: times the amounts; by: what was compared."""

    factor: float
    by: Literal["area", "volume"]


@dataclass(frozen=True)
class LoafTin:
    """A loaf tin by the pounds of bread it is named after. holds: in millilitres."""

    pounds: float
    holds: float
    source: Source


def change(recipe: Tin, mine: Tin) -> Change | None:
    """What a recipe's amounts are multiplied by for another tin.

    By volume where both are known, else by the area of the bottom, at the same depth. None when
    the two cannot be compared, or a tin has no size.
    """
    volumes = recipe.volume, mine.volume
    if volumes[0] and volumes[1]:
        return Change(volumes[1] / volumes[0], "volume")
    areas = recipe.area, mine.area
    return Change(areas[1] / areas[0], "area") if areas[0] and areas[1] else None


@cache
def loaf_tins() -> tuple[LoafTin, ...]:
    """Loaf tins by their pounds. Raises FileProblem."""
    return rows(read(TABLES / "loaf_tins.yaml"), _loaf_tin)


def _loaf_tin(entry: Entry) -> LoafTin:
    row = entry.fields(("pounds", "holds", *CITED))
    pounds, holds = row["pounds"].number(0.1, 10), row["holds"].number(100, 10_000)
    return LoafTin(pounds, holds, cited(row))


def loaf_tin(pounds: float) -> LoafTin | None:
    """The loaf tin of so many pounds, within a tenth ("900 g" is a two pound one); or None."""
    near = [tin for tin in loaf_tins() if abs(tin.pounds - pounds) <= tin.pounds / 10]
    return near[0] if near else None

"""Bare numbers beside an amount that they correct: "ten minutes, not twenty"."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from assistant.meaning import AmountHeard

_AGAINST = ("not", "instead of", "rather than")


def corrected(text: str, found: Sequence[AmountHeard]) -> tuple[AmountHeard, ...]:
    """The amounts with each bare count that is set against a measure given that measure."""
    amounts = list(found)
    for k, (first, second) in enumerate(pairwise(found)):
        between = text[first.end : second.start].lower().strip(" ,")
        not_first = not between and text[: first.start].lower().split()[-1:] == ["not"]
        if not_first or between.endswith(_AGAINST):
            amounts[k], amounts[k + 1] = like(first, second), like(second, first)
    return tuple(amounts)


def like(bare: AmountHeard, other: AmountHeard) -> AmountHeard:
    """A bare count as the kind of amount that the other is: "fifteen" of minutes, "eight" of a
    clock."""
    if bare.kind != "count" or bare.unit or not isinstance(bare.value, float):
        return bare
    if other.kind == "clock" and isinstance(other.value, str) and bare.value in range(1, 13):
        afternoon = 12 if other.value >= "12" else 0
        return replace(bare, kind="clock", value=f"{int(bare.value) % 12 + afternoon:02}:00")
    if other.kind in ("clock", "count") or other.value is None:
        return bare
    return replace(bare, kind=other.kind, unit=other.unit)

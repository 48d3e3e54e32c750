"""Which of many limits collide: the smallest set that leaves no way, found by trying.

Knows no kitchen and no solver: `possible` tells whether some limits can be kept together.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Limit = TypeVar("Limit", bound=Hashable)


@dataclass(frozen=True)
class Conflict(Generic[Limit]):
    """Limits that cannot be kept together. smallest: proven that no fewer collide."""

    limits: tuple[Limit, ...]
    smallest: bool


def smallest_conflict(
    limits: Sequence[Limit], possible: Callable[[frozenset[Limit]], bool | None]
) -> Conflict[Limit] | None:
    """The fewest of the limits that cannot be kept together; None unless that is proven of all.

    possible: whether these limits alone can be kept, None when that is not known; what allows a
    set must allow its parts.
    The first limits are preferred. First one set from which nothing can be left out, by
    QuickXplain [U. Junker, AAAI 2004]; then smaller ones, as least hitting sets of what must be
    let go [A. Ignatiev et al., CP 2015]. When the answers stop, it is the best set so far.
    """
    ask = _Remembered(possible)
    if ask(frozenset(limits)) is not False:
        return None
    found = _irreducible(ask, frozenset(), (), tuple(limits))
    let_go: list[tuple[Limit, ...]] = []  # of each, at least one limit is in every conflict
    while True:
        fewest = _hitting(let_go, len(found) - 1)
        if fewest is None:
            return Conflict(found, smallest=True)
        answer = ask(fewest)
        if answer is False:
            return Conflict(tuple(x for x in limits if x in fewest), smallest=True)
        if answer is None:
            return Conflict(found, smallest=False)
        kept = _grown(ask, fewest, tuple(x for x in limits if x not in fewest))
        let_go.append(tuple(x for x in limits if x not in kept))


class _Remembered(Generic[Limit]):
    """Asks only what does not follow from earlier answers."""

    def __init__(self, possible: Callable[[frozenset[Limit]], bool | None]) -> None:
        self._possible = possible
        self._kept: list[frozenset[Limit]] = []
        self._collide: list[frozenset[Limit]] = []

    def __call__(self, limits: frozenset[Limit]) -> bool | None:
        if any(limits <= kept for kept in self._kept):
            return True
        if any(collide <= limits for collide in self._collide):
            return False
        answer = self._possible(limits)
        if answer is not None:
            (self._kept if answer else self._collide).append(limits)
        return answer


def _irreducible(
    ask: _Remembered[Limit],
    background: frozenset[Limit],
    added: tuple[Limit, ...],
    limits: tuple[Limit, ...],
) -> tuple[Limit, ...]:
    """Of the limits, which collide with the background, those without which it would be possible.

    added: what has come to the background since it was last known to be possible.
    """
    if (added or not background) and ask(background) is False:
        return ()
    if len(limits) == 1:
        return limits
    first, second = limits[: len(limits) // 2], limits[len(limits) // 2 :]
    later = _irreducible(ask, background.union(first), first, second)
    return _irreducible(ask, background.union(later), later, first) + later


def _grown(
    ask: _Remembered[Limit], kept: frozenset[Limit], rest: tuple[Limit, ...]
) -> frozenset[Limit]:
    """As many more of the rest as can be kept besides, the last ones preferred."""
    if not rest or ask(kept.union(rest)):
        return kept.union(rest)
    if len(rest) == 1:
        return kept
    half = len(rest) // 2
    return _grown(ask, _grown(ask, kept, rest[half:]), rest[:half])


def _hitting(sets: Sequence[tuple[Limit, ...]], most: int) -> frozenset[Limit] | None:
    """The fewest limits, at most so many, of which each set has one; None when more are needed."""
    for size in range(most + 1):
        found = _hit(sets, frozenset(), size)
        if found is not None:
            return found
    return None


def _hit(
    sets: Sequence[tuple[Limit, ...]], chosen: frozenset[Limit], more: int
) -> frozenset[Limit] | None:
    missed = next((one for one in sets if chosen.isdisjoint(one)), None)
    if missed is None:
        return chosen
    for limit in missed if more else ():
        found = _hit(sets, chosen | {limit}, more - 1)
        if found is not None:
            return found
    return None

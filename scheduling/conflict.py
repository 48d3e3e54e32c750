"""Which of many limits collide: the smallest set that leaves no way, found by trying.

Knows no kitchen and no solver: `Ask` tells whether some limits can be kept together.
"""

from collections.abc import Callable, Collection, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

Limit = TypeVar("Limit", bound=Hashable)


@dataclass(frozen=True)
class Conflict(Generic[Limit]):
    """Limits that cannot be kept together. smallest: proven that no fewer collide."""

    limits: tuple[Limit, ...]
    smallest: bool


@dataclass(frozen=True)
class Answer(Generic[Limit]):
    """Whether some limits can be kept together.

    limits: when they can, these and any others that can be kept besides; when they cannot, those
    among them that collide already.
    """

    possible: bool
    limits: frozenset[Limit]


# Whether these limits alone can be kept, None when that is not known. When asked for the most, an
# answer may take longer and has as many others besides as it can find.
Ask = Callable[[frozenset[Limit], bool], Answer[Limit] | None]


def smallest_conflict(limits: Sequence[Limit], ask: Ask[Limit]) -> Conflict[Limit] | None:
    """The fewest of the limits that cannot be kept together; None unless that is proven of all.

    What allows a set must allow its parts. Where there is a choice, the first limits are kept.
    First one set from which nothing can be left out, by leaving out one after the other
    [J. Marques-Silva, ISMVL 2010]; then the fewest that have one of each set of which something
    must be let go: when these collide, no fewer do [A. Ignatiev et al., CP 2015]. When the answers
    stop, it is the best set so far.
    """
    known = _Known(tuple(limits), ask)
    first = known.answer(known.all)
    if first is None or first.possible:
        return None
    found, size = _irreducible(known, first.limits), 0
    while True:
        fewest = _hitting(known.let_go, range(size, len(found)))
        if fewest is None:
            return Conflict(known.in_order(found), smallest=True)
        answer = known.answer(fewest)
        if answer is None:
            return Conflict(known.in_order(found), smallest=False)
        if not answer.possible:
            return Conflict(known.in_order(fewest), smallest=True)
        size = len(fewest)
        smaller = _apart(known, fewest, answer)
        if smaller and len(smaller) < len(found):
            found = smaller


class _Known(Generic[Limit]):
    """What has been answered, and what follows from it without asking.

    let_go: sets of limits, of each of which every conflict has at least one.
    """

    def __init__(self, limits: tuple[Limit, ...], ask: Ask[Limit]) -> None:
        self.limits = limits
        self.all = frozenset(limits)
        self.let_go: list[tuple[Limit, ...]] = []
        self._ask = ask
        self._answers: list[Answer[Limit]] = []

    def in_order(self, some: Collection[Limit]) -> tuple[Limit, ...]:
        return tuple(limit for limit in self.limits if limit in some)

    def answer(self, limits: frozenset[Limit]) -> Answer[Limit] | None:
        for known in self._answers:
            if limits <= known.limits if known.possible else known.limits <= limits:
                return known
        return self._asked(limits, most=False)

    def grown(self, answer: Answer[Limit]) -> tuple[Limit, ...]:
        """What is let go when as many more are kept as in this answer; remembered."""
        more = self._asked(answer.limits, most=True) or answer
        gone = self.in_order(self.all - more.limits)
        self.let_go.append(gone)
        return gone

    def _asked(self, limits: frozenset[Limit], *, most: bool) -> Answer[Limit] | None:
        answer = self._ask(limits, most)
        if answer is not None:
            self._answers.append(answer)
        return answer


def _irreducible(known: _Known[Limit], collide: frozenset[Limit]) -> frozenset[Limit]:
    """Of limits that collide, some from which nothing can be left out, the first ones preferred."""
    blocks = [known.in_order(collide)]
    while blocks:  # the last ones are tried first, many at once
        block = blocks.pop()
        some = collide.intersection(block)
        answer = known.answer(collide - some) if some and some != collide else None
        if answer and not answer.possible:
            collide = answer.limits
        elif len(block) > 1:
            half = len(block) // 2
            blocks += [block[:half], block[half:]]
        elif answer:
            known.grown(answer)
    return collide


def _apart(
    known: _Known[Limit], fewest: frozenset[Limit], answer: Answer[Limit] | None
) -> frozenset[Limit] | None:
    """Sets of which something must be let go that have nothing in common, until what has been in
    one of them collides: that."""
    tried = fewest
    while answer and answer.possible:
        tried = tried.union(known.grown(answer))
        answer = known.answer(tried)
    return answer.limits if answer else None


def _hitting(sets: Iterable[tuple[Limit, ...]], sizes: range) -> frozenset[Limit] | None:
    """The fewest limits of which each set has one, of a number that is in sizes; else None."""
    small_first = sorted(sets, key=len)
    for size in sizes:
        found = _hit(small_first, frozenset(), size)
        if found is not None:
            return found
    return None


def _hit(
    sets: Sequence[tuple[Limit, ...]], chosen: frozenset[Limit], more: int
) -> frozenset[Limit] | None:
    missed = [one for one in sets if chosen.isdisjoint(one)]
    if not missed:
        return chosen
    if _disjoint(missed) > more:
        return None
    for limit in missed[0]:
        found = _hit(missed, chosen | {limit}, more - 1)
        if found is not None:
            return found
    return None


def _disjoint(sets: Iterable[tuple[Limit, ...]]) -> int:
    """How many of the sets, the first ones preferred, share nothing: each needs its own."""
    met: frozenset[Limit] = frozenset()
    count = 0
    for one in sets:
        if met.isdisjoint(one):
            met = met.union(one)
            count += 1
    return count

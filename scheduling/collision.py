"""Why a plan cannot be: the smallest set of limits that collide, each way out tried by solving."""

import time
from dataclasses import dataclass, replace

from scheduling.case import SERVICE, Case
from scheduling.conflict import Answer, smallest_conflict
from scheduling.kitchen_problem import kitchen_problem
from scheduling.limits import OF_ONE_STEP, Kind, Limit, limits_of, loosened
from scheduling.problem import longest_paths
from scheduling.tasks import ORIGIN, ProblemError
from scheduling.trial import Trial

_ONE_TRY_S = 0.5  # no proof that takes longer is waited for
_IN_A_ROW: frozenset[Kind] = frozenset({"length", "rest", "heating"})


@dataclass(frozen=True)
class Collision:
    """Limits that leave no plan, none of which can be left out unless time was too short.

    by_s: the service that they leave no room for, seconds after now; None when no service at all
    would do. smallest: proven that no fewer limits collide.
    """

    case: Case
    limits: tuple[Limit, ...]
    by_s: int | None
    smallest: bool

    @property
    def in_a_row(self) -> bool:
        """True for steps, rests and heating that simply take too long, one after the other."""
        return all(limit.kind in _IN_A_ROW for limit in self.limits)


def collision(case: Case, *, by_s: int | None = None, limit_s: float = 1.0) -> Collision | None:
    """The smallest set of limits that leaves no plan, with service in at most by_s seconds.

    Of sets as small, one on the chain of steps that takes longest is preferred. None when there
    is a plan after all, or when that cannot be told in limit_s seconds. A set that is proven to
    collide may have more in it than need be when the time is over; `smallest` tells.
    """
    deciding = _longest_chain(case)
    in_order = limits_of(case)
    limits = sorted(in_order, key=lambda limit: _told_last(limit, deciding))
    ask = _Trials(case, by_s, limits, time.monotonic() + limit_s)
    found = smallest_conflict(limits, ask)
    if found is None:
        return None
    told = tuple(limit for limit in in_order if limit in found.limits)
    return Collision(case, told, by_s, found.smallest)


class _Trials:
    """Whether limits can be kept together: a model for each choice of places, which are all that
    is not of one step alone.

    until: by when no more is answered, as `time.monotonic` tells it.
    """

    def __init__(self, case: Case, by_s: int | None, limits: list[Limit], until: float):
        self._case, self._by_s, self._until = case, by_s, until
        self._places = [limit for limit in limits if limit.kind not in OF_ONE_STEP]
        self._loose = [limit for limit in limits if limit.kind in OF_ONE_STEP]
        self._trials: dict[frozenset[Limit], Trial[Limit] | None] = {}

    def __call__(self, limits: frozenset[Limit], most: bool) -> Answer[Limit] | None:
        if most:
            limits = self._with_places(limits, [x for x in self._places if x not in limits])
        answer = self._answer(limits, most)
        if answer and not answer.possible and answer.limits.intersection(self._places):
            without = self._answer(limits.difference(self._places), False)  # plainer to tell
            return without if without and not without.possible else answer
        return answer

    def _answer(self, limits: frozenset[Limit], most: bool) -> Answer[Limit] | None:
        left_s = min(_ONE_TRY_S, self._until - time.monotonic())
        if left_s <= 0:
            return None
        places = limits.intersection(self._places)
        trial = self._trial(places)
        if trial is None:
            return Answer(False, places)
        answer = trial.ask(limits - places, left_s, most=most)
        return answer and Answer(answer.possible, answer.limits | places)

    def _trial(self, places: frozenset[Limit]) -> Trial[Limit] | None:
        """None when these places alone leave no plan."""
        if places not in self._trials:
            try:
                gone = [place for place in self._places if place not in places]
                loose = loosened(self._case, gone, self._loose, self._by_s)
                self._trials[places] = Trial(*loose)
            except ProblemError:
                self._trials[places] = None
        return self._trials[places]

    def _with_places(self, limits: frozenset[Limit], more: list[Limit]) -> frozenset[Limit]:
        """As many more places as can be kept besides."""
        answer = self._answer(limits.union(more), False) if more else None
        if answer is None or answer.possible:
            return answer.limits if answer else limits
        if len(more) == 1:
            return limits
        half = len(more) // 2
        return self._with_places(self._with_places(limits, more[half:]), more[:half])


def _told_last(limit: Limit, deciding: frozenset[str]) -> int:
    """0 for a limit of the chain that decides, 1 for one of another step, 2 for a place."""
    if limit.kind in OF_ONE_STEP:
        return int(limit.name not in deciding)
    return 0 if limit.kind in _IN_A_ROW else 2


def _longest_chain(case: Case) -> frozenset[str]:
    """What follows each other for the longest until service, were nothing ever in use."""
    try:
        problem = kitchen_problem(replace(case, wanted_at=None))
    except ProblemError:
        return frozenset()
    longest = longest_paths(problem, ORIGIN)
    came_from = {ORIGIN: ORIGIN}
    reached = [ORIGIN]
    for at in reached:  # breadth first over the arcs that bind; `reached` grows meanwhile
        for arc in problem.arcs:
            binds = arc.before == at and longest[at] + arc.weight_s == longest[arc.after]
            if binds and arc.after not in came_from:
                came_from[arc.after] = at
                reached.append(arc.after)
    chain = [SERVICE]
    while chain[-1] != ORIGIN:
        chain.append(came_from[chain[-1]])
    return frozenset(chain)

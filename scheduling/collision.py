"""Why a plan cannot be: the smallest set of limits that collide, each way out tried by solving."""

import time
from dataclasses import dataclass, replace

from scheduling.case import SERVICE, Case
from scheduling.conflict import smallest_conflict
from scheduling.kitchen_problem import kitchen_problem
from scheduling.limits import Kind, Limit, limits_of, without
from scheduling.plan import Plan
from scheduling.problem import ORIGIN, ProblemError, longest_paths
from scheduling.solve import solve

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
    limits = sorted(in_order, key=lambda limit: _of_a_step(limit, deciding))
    until = time.monotonic() + limit_s

    def possible(kept: frozenset[Limit]) -> bool | None:
        left_s = min(_ONE_TRY_S, until - time.monotonic())
        if left_s <= 0:
            return None
        return feasible(case, [x for x in limits if x not in kept], by_s=by_s, limit_s=left_s)

    found = smallest_conflict(limits, possible)
    if found is None:
        return None
    told = tuple(limit for limit in in_order if limit in found.limits)
    return Collision(case, told, by_s, found.smallest)


def feasible(case: Case, gone: list[Limit], *, by_s: int | None, limit_s: float) -> bool | None:
    """Whether there is a plan without these limits; None when that cannot be told in time."""
    try:
        problem = without(case, gone, by_s)
    except ProblemError:
        return False
    plan = solve(problem, limit_s=limit_s)
    if isinstance(plan, Plan):
        return True
    return False if plan.proven else None


def _of_a_step(limit: Limit, deciding: frozenset[str]) -> bool:
    """True for a limit of a step that is not on the chain that decides."""
    return limit.kind in ("length", "rest", "soon") and limit.name not in deciding


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

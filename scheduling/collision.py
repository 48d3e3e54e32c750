"""Why a plan cannot be: the smallest set of limits that collide, each way out tried by solving."""

import time
from dataclasses import dataclass

from scheduling.case import Case
from scheduling.conflict import smallest_conflict
from scheduling.limits import Kind, Limit, limits_of, without
from scheduling.plan import Plan
from scheduling.problem import ProblemError
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

    None when there is a plan after all, or when that cannot be told in limit_s seconds. What
    then cannot be proven in time is taken to be possible, so the set is never too small.
    """
    limits = limits_of(case)
    until = time.monotonic() + limit_s

    def possible(kept: frozenset[Limit]) -> bool | None:
        left_s = min(_ONE_TRY_S, until - time.monotonic())
        if left_s <= 0:
            return None
        return feasible(case, [x for x in limits if x not in kept], by_s=by_s, limit_s=left_s)

    found = smallest_conflict(limits, possible)
    return Collision(case, found.limits, by_s, found.smallest) if found else None


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

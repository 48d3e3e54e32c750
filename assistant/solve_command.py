"""`hobside solve`: published project-scheduling instances, solved as they are."""

import time
from pathlib import Path

from domain.errors import KitchenError
from scheduling.instances import read_instance
from scheduling.plan import NoPlan
from scheduling.problem import Problem
from scheduling.solve import least_cost, solve
from scheduling.tasks import ContradictoryLags, DemandTooBig


def solve_line(path: Path, seconds: float) -> dict[str, object]:
    """What `hobside solve` prints of one file. seconds: the most to solve for.

    status: "optimal", "feasible" (bound: no schedule is shorter), "infeasible" (proven; also when
    an activity needs more of a resource than there is), "unknown" (none found in time), or
    "error", explained in "error". makespan and bound are in the file's own unit of time;
    makespan is None without a schedule, and bound where none is known. took_s: seconds, reading
    included.
    """
    began = time.monotonic()
    try:
        found = _solved(read_instance(path), seconds)
    except (ContradictoryLags, DemandTooBig):
        found = _found("infeasible")
    except KitchenError as error:
        found = _found("error") | {"error": str(error)}
    return {"file": str(path), **found, "took_s": round(time.monotonic() - began, 3)}


def _solved(problem: Problem, seconds: float) -> dict[str, object]:
    made = solve(problem, limit_s=seconds)
    if isinstance(made, NoPlan):
        if made.proven:
            return _found("infeasible")
        return _found("unknown", bound=least_cost(problem, problem.levels[0]))
    (makespan,) = made.levels
    status = "optimal" if makespan.proven else "feasible"
    return _found(status, makespan.cost, makespan.bound)


def _found(status: str, makespan: int | None = None, bound: int | None = None) -> dict[str, object]:
    return {"makespan": makespan, "bound": bound, "status": status}

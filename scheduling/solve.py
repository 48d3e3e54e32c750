"""Solves a `Problem`: a start by rule of thumb, then the model, one level after the other."""

import time
from collections.abc import Sequence
from dataclasses import replace

from scheduling.arrange import moved_later, serial_plan, shifted
from scheduling.model import Model, Stop
from scheduling.plan import LevelResult, NoPlan, Plan, cost, costs, violations
from scheduling.problem import Problem, longest_paths
from scheduling.tasks import ORIGIN, Level

__all__ = ["Stop", "least_cost", "solve"]


def solve(
    problem: Problem,
    *,
    hint: Plan | None = None,
    limit_s: float = 10.0,
    workers: int = 1,
    seed: int = 0,
    stop: Stop | None = None,
    known: Sequence[LevelResult] = (),
) -> Plan | NoPlan:
    """The best plan found within limit_s seconds of solving, each level optimal before the next.

    hint: a plan to start from; it need be neither complete nor valid. With one worker and the
    same seed the answer is the same each time, unless the time runs out; more workers have not
    made it faster. known: what the first levels are known to come to, in a hint that is valid:
    they are kept and not solved again. A `NoPlan` that is proven says that there is no plan;
    otherwise the time was too short to find one.
    """
    deadline = time.monotonic() + limit_s
    model: Model | None = None
    best = _valid_start(problem, hint, deadline)
    if best is not None and not problem.levels:
        return best
    results: list[LevelResult] = []
    levels: list[Level | None] = [*problem.levels] or [None]
    for index, level in enumerate(levels):
        began = time.monotonic()
        bound = least_cost(problem, level) if level else 0
        if level is not None and best is not None and index < len(known):
            reached = cost(best, level)
            results.append(
                replace(known[index], cost=reached, bound=min(known[index].bound, reached))
            )
            continue
        if best is None or (level is not None and cost(best, level) > bound):
            if model is None:
                model = Model(problem, workers, seed, stop or Stop())
                model.keep(problem.levels[:index], best)
            left_s = max(0.0, deadline - began)
            share_s = left_s if index + 1 == len(levels) else left_s * 2 / 3
            answer, proven = model.improve(level, best, hint, share_s)
            if isinstance(answer, NoPlan):
                return answer
            best, bound = _settled(problem, answer), max(bound, proven)
        if level is not None:
            reached = cost(best, level)
            took_s = time.monotonic() - began
            results.append(LevelResult(level.name, reached, min(bound, reached), took_s))
            if model is not None:
                model.keep((level,), best)
    assert best is not None
    return Plan(best.tasks, tuple(results))


def least_cost(problem: Problem, level: Level) -> int:
    """A lower bound on a level's cost from the lags alone: what no plan can avoid."""
    total = 0
    for term in level.terms:
        apart_s = longest_paths(problem, term.since).get(term.task)
        if apart_s is None:
            continue
        if term.task != ORIGIN and term.moment == "end":
            apart_s += problem.task(term.task).shortest_s
        if term.since != ORIGIN and term.since_moment == "end":
            apart_s -= problem.task(term.since).longest_s
        total += term.weight * max(0, apart_s - term.beyond_s)
    return total


def _valid_start(problem: Problem, hint: Plan | None, deadline: float) -> Plan | None:
    """The best of the hint and plans by rule of thumb; None when none keeps the rules."""
    tried = [serial_plan(problem, hint)]
    if hint is not None:  # what it has besides (a dish that is done by now) is left out
        known = {task.name for task in problem.tasks}
        tried.append(Plan({n: slot for n, slot in hint.tasks.items() if n in known}))
    valid = [_justified(problem, p, deadline) for p in tried if not violations(problem, p)]
    return min(valid, key=lambda plan: costs(problem, plan), default=None)


def _justified(problem: Problem, plan: Plan, deadline: float) -> Plan:
    """The plan moved later and placed anew from time 0, again and again while that helps.

    Forward-backward improvement (Li and Willis, 1992; Valls et al., 2005).
    """
    best = _settled(problem, plan)
    while time.monotonic() < deadline:
        tried = [best]
        later = moved_later(problem, best, best.tasks)
        first_s, last_s = _from_until(problem, later)
        for by_s in (-first_s, -last_s):  # as it stands, or each as early as it can be
            plan = serial_plan(problem, shifted(later, by_s))
            if not violations(problem, plan):
                tried.append(_settled(problem, plan))
        better = min(tried, key=lambda plan: costs(problem, plan))
        if costs(problem, better) >= costs(problem, best):
            break
        best = better
    return best


def _from_until(problem: Problem, plan: Plan) -> tuple[int, int]:
    """When the first task that can move starts, and when the last one does."""
    loose = [plan.tasks[task.name].start_s for task in problem.tasks if task.pinned_s is None]
    return min(loose, default=0), max(loose, default=0)


def _settled(problem: Problem, plan: Plan) -> Plan:
    """The plan with all that later terms count from moved later: no cost is higher."""
    terms = [term for level in problem.levels for term in level.terms]
    if all(term.since == ORIGIN for term in terms):
        return plan
    counted = {term.task for term in terms}
    return moved_later(problem, plan, plan.tasks.keys() - counted)

"""Solves a `Problem` whose tasks may be broken off, breaking off none where none need be."""

import time
from collections.abc import Mapping
from dataclasses import replace
from functools import partial

from scheduling.parts import Breaks, in_parts, joined, plan_in_parts
from scheduling.plan import LevelResult, NoPlan, Plan, cost, costs, violations
from scheduling.problem import Problem
from scheduling.solve import Stop, least_cost, solve

Still = Mapping[str, list[tuple[int, int]]]


def solve_parts(
    problem: Problem,
    breaks: Breaks,
    *,
    hint: Plan | None = None,
    still: Still | None = None,
    limit_s: float = 10.0,
    workers: int = 1,
    seed: int = 0,
    stop: Stop | None = None,
) -> tuple[Plan | NoPlan, Breaks]:
    """The best plan, and the breaks in whose parts it is; all else is as for `solve`.

    hint: a plan of whole tasks, with the breaks `still` in it, as (from, until) in seconds.
    Many parts are slow to solve. So whole tasks are tried first, up to the level of the breaks.
    If no break can make that better, or the best plan in parts has none, what is left is solved
    with whole tasks. A level is proven where no plan in parts is better.
    """
    solver = partial(solve, workers=workers, seed=seed, stop=stop)
    if not breaks.lengths:
        return solver(problem, hint=hint, limit_s=limit_s), breaks
    until = time.monotonic() + limit_s
    parts = in_parts(problem, breaks)
    upto = [level.name for level in parts.levels].index("breaks")
    whole: Plan | NoPlan = NoPlan(proven=False)
    if not still:
        short = replace(problem, levels=problem.levels[:upto])
        whole = solver(short, hint=hint, limit_s=limit_s / 3)
    if isinstance(whole, Plan) and _cannot_be_better(parts, upto, whole):
        best, levels = whole, (*whole.levels, LevelResult("breaks", 0, 0, 0.0))
    else:
        start = _start(parts, breaks, whole, hint, still or {})
        short = replace(parts, levels=parts.levels[: upto + 1])
        found = solver(short, hint=start, limit_s=(until - time.monotonic()) / 2)
        if isinstance(found, NoPlan):
            return found, breaks
        if cost(found, parts.levels[upto]):
            left_s = until - time.monotonic()
            return solver(parts, hint=found, known=found.levels, limit_s=left_s), breaks
        best, levels = joined(found, breaks), found.levels
    left_s = until - time.monotonic()
    rest = solver(problem, hint=best, known=levels[:upto], limit_s=left_s)
    assert isinstance(rest, Plan), "the hint is a plan"
    of_breaks = levels[upto : upto + 1]
    return Plan(rest.tasks, (*rest.levels[:upto], *of_breaks, *rest.levels[upto:])), breaks.only(())


def _cannot_be_better(parts: Problem, upto: int, whole: Plan) -> bool:
    """Whether the lags alone show that no plan in parts costs less than whole tasks did."""
    pairs = zip(parts.levels[:upto], whole.levels, strict=True)
    return all(result.cost <= least_cost(parts, level) for level, result in pairs)


def _start(
    parts: Problem, breaks: Breaks, whole: Plan | NoPlan, hint: Plan | None, still: Still
) -> Plan | None:
    """What a solve in parts begins from: the better of the two, of which either may be missing."""
    given = [] if hint is None else [plan_in_parts(hint, breaks, still)]
    if isinstance(whole, NoPlan):
        return given[0] if given else None
    found = plan_in_parts(whole, breaks, {})
    valid = [plan for plan in given if not violations(parts, plan)]
    return min([found, *valid], key=lambda plan: costs(parts, plan))

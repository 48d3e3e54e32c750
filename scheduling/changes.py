"""What a cook could change to eat sooner, from what asks least of them to what asks most.

Cooking and resting are never made shorter, and no gap is stretched: that may not be safe.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from domain.menu import Dish, Menu, Step
from scheduling.case import Case
from scheduling.checker import timetable_violations
from scheduling.kitchen_problem import kitchen_problem
from scheduling.limits import for_service, wanted_by_s
from scheduling.parts import broken_off, in_parts, joined
from scheduling.pausing import breaks_of
from scheduling.plan import Plan
from scheduling.problem import Problem
from scheduling.solve import solve
from scheduling.tasks import ProblemError
from scheduling.timetable import Timetable
from scheduling.translate import to_timetable

ChangeKind = Literal[
    "piece",  # one more of some equipment: borrowed, or found in a cupboard
    "beforehand",  # steps that may be done long before, done by now
    "later",  # a dish served after the others: the table waits for it
    "shelf",  # one more in an oven
    "help",  # one more cook
    "ring",
    "oven",
    "left out",  # a dish: there is less to eat
]


@dataclass(frozen=True)
class Change:
    """One change. names: the piece, the steps by key, or the dish; later_s: how much later."""

    kind: ChangeKind
    names: tuple[str, ...] = ()
    later_s: int = 0


def changes(case: Case) -> Iterator[Change]:
    """Every single change worth trying, in the order of `ChangeKind`; "later" by no time yet."""
    left = [s for s in case.menu.steps if not case.begun(s.key) and not case.progress.absent(s)]
    used = {use.what for s in left for way in s.in_all_ways() for use in way.uses}
    dishes = [dish for dish in case.menu.dishes if any(step in left for step in dish.steps)]
    for name in sorted(used - {"oven", "ring"}):
        yield Change("piece", (name,))
    for dish in dishes if not case.progress.begun else ():
        if steps := _beforehand(case.menu, dish):
            yield Change("beforehand", steps)
    for dish in dishes if len(case.menu.dishes) > 1 else ():
        yield Change("later", (dish.name,))
    if "oven" in used and case.ovens:
        yield Change("shelf")
    yield Change("help")
    if "ring" in used:
        yield Change("ring")
    if "oven" in used and case.ovens:
        yield Change("oven")
    eaten = {step.dish for step in case.menu.steps if not case.progress.absent(step)}
    for dish in dishes if len(eaten) > 1 else ():
        yield Change("left out", (dish.name,))


def changed(case: Case, change: Change) -> Case:
    """The case with the change made."""
    so_far, kitchen = case.progress, case.kitchen
    if change.kind in ("piece", "ring"):
        (name,) = change.names or ("ring",)
        more = {**so_far.equipment, name: case.capacities.get(name, 0) + 1}
        return replace(case, progress=replace(so_far, equipment=more))
    if change.kind == "help":
        return replace(case, progress=replace(so_far, cooks=case.cooks + 1))
    if change.kind == "later":
        (dish,) = change.names
        moved = {**so_far.courses, dish: so_far.course_s(case.menu, dish) + change.later_s}
        return replace(case, progress=replace(so_far, courses=moved))
    if change.kind == "left out":
        return replace(case, progress=replace(so_far, dropped=so_far.dropped.union(change.names)))
    if change.kind == "beforehand":
        return replace(case, menu=_without_steps(case.menu, change.names))
    first, *others = case.ovens
    ovens = (replace(first, shelves=first.shelves + 1), *others)
    if change.kind == "oven":
        ovens = (first, *others, replace(first, name="another oven"))
    there = {name: count for name, count in so_far.equipment.items() if name != "oven"}
    progress = replace(so_far, equipment=there)
    return replace(case, kitchen=replace(kitchen, ovens=ovens), progress=progress)


def in_time(case: Case, limit_s: float) -> bool:
    """Whether a plan is found with service at the wanted time, which its checker passes."""
    try:
        problem = for_service(kitchen_problem(case), wanted_by_s(case))
    except ProblemError:
        return False
    return _timetable(case, problem, limit_s) is not None


def soonest(case: Case, limit_s: float) -> Timetable | None:
    """A plan with the soonest service, no sooner than wanted; None when none is found in time.

    Its own checker has passed it. It is proven when anything sooner is ruled out.
    """
    try:
        problem = kitchen_problem(case)
    except ProblemError:
        return None
    upto = [level.name for level in problem.levels].index("lateness") + 1
    return _timetable(case, replace(problem, levels=problem.levels[:upto]), limit_s)


def _timetable(case: Case, problem: Problem, limit_s: float) -> Timetable | None:
    breaks = breaks_of(case, problem)
    parts = replace(in_parts(problem, breaks), levels=problem.levels)
    plan = solve(parts, limit_s=limit_s)
    if not isinstance(plan, Plan):
        return None
    kept = breaks.only(broken_off(plan, breaks))
    whole = joined(plan, breaks.without(kept))
    timetable = to_timetable(case, whole, kept)
    broken = timetable_violations(case.menu, case.kitchen, timetable, case.progress)
    return None if broken else timetable


def _beforehand(menu: Menu, dish: Dish) -> tuple[str, ...]:
    """The steps of a dish that may be done long before and that wait for no other steps."""
    found: list[str] = []
    hurried = {f.step for step in menu.steps for f in step.follows if f.most_s is not None}
    while True:
        more = [
            step.key
            for step in dish.steps
            if step.beforehand
            and step.key not in found
            and step.key not in hurried
            and all(follow.step in found for follow in step.follows)
        ]
        if not more:
            return tuple(found) if len(found) < len(dish.steps) else ()
        found += more


def _without_steps(menu: Menu, keys: tuple[str, ...]) -> Menu:
    def left(step: Step) -> Step:
        return replace(step, follows=tuple(f for f in step.follows if f.step not in keys))

    dishes = (
        replace(dish, steps=tuple(left(step) for step in dish.steps if step.key not in keys))
        for dish in menu.dishes
    )
    marks = tuple(mark for mark in menu.marks if mark.step not in keys)
    return replace(menu, dishes=tuple(dishes), marks=marks)

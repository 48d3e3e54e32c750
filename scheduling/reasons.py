"""Why service cannot be sooner, and what would make it so: each change checked by solving."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from domain.kitchen import Kitchen
from domain.menu import Menu
from scheduling.case import SERVICE, Case, all_steps, whole_second
from scheduling.compose import lacks
from scheduling.kitchen_problem import kitchen_problem
from scheduling.plan import Plan
from scheduling.problem import ORIGIN, Problem, longest_paths
from scheduling.solve import solve
from scheduling.timetable import Progress
from scheduling.translate import minutes

SOONER_S = 60.0  # a change that gains less is not worth telling


@dataclass(frozen=True)
class Change:
    """One change, such as "With one more ring", and when service would be with it."""

    what: str
    service_at: float


@dataclass(frozen=True)
class WhyLate:
    """Why service is no sooner than service_at, POSIX seconds.

    chain: the steps, by key, that follow each other for the longest; with all hands and rings in
    the world service could not be before chain_at. changes: what helps, the best first.
    """

    now: float
    service_at: float
    wanted_at: float | None
    chain: tuple[str, ...]
    chain_at: float
    changes: tuple[Change, ...]

    def sentences(self, menu: Menu, kitchen: Kitchen) -> tuple[str, ...]:
        """The reason and what would help, in kitchen words."""
        says = {step.key: step.say.rstrip(".") for step in all_steps(menu, kitchen)}
        target = self.service_at if self.wanted_at is None else self.wanted_at
        told = ["Nothing takes that long by itself, but the steps get in each other’s way."]
        if self.chain and self.chain_at >= target:
            took = minutes(self.chain_at - self.now)
            first, last = says[self.chain[0]], says[self.chain[-1]]
            if any(mark.step == self.chain[0] for mark in menu.marks):
                told = [f"“{first}” has a fixed mark, and “{last}” ends {took} from now."]
            else:
                told = [f"“{first}” to “{last}”, one after the other, take {took} from now."]
        for change in self.changes:
            sooner = minutes(self.service_at - change.service_at)
            in_time = self.wanted_at is not None and change.service_at <= self.wanted_at
            told.append(f"{change.what}: {sooner} sooner{', in time' if in_time else ''}.")
        return tuple(told)


def why_late(
    menu: Menu,
    kitchen: Kitchen,
    *,
    now: float,
    wanted_at: float | None,
    progress: Progress | None = None,
    limit_s: float = 1.0,
    most: int = 3,
) -> WhyLate | None:
    """Why service cannot be at wanted_at (None: any sooner); None when there is no plan at all.

    Tries one more of each thing, one oven temperature for all, and each dish left out.
    limit_s: seconds of solving for each; what is not proven in them is not told.
    """
    case = Case(menu, kitchen, whole_second(now), wanted_at, progress or Progress())
    service_s = None if lacks(case) else _earliest_s(case, limit_s)
    if service_s is None:
        return None
    chain, chain_s = _longest_chain(case)
    changes = []
    for what, changed in _changes(case):
        sooner_s = _earliest_s(changed, limit_s)
        if sooner_s is not None and service_s - sooner_s >= SOONER_S:
            changes.append(Change(what, now + sooner_s))
    changes.sort(key=lambda change: change.service_at)
    return WhyLate(now, now + service_s, wanted_at, chain, now + chain_s, tuple(changes[:most]))


def _earliest_s(case: Case, limit_s: float) -> int | None:
    """The proven earliest service after now, None when there is none or it is not proven."""
    problem = kitchen_problem(replace(case, wanted_at=None))
    upto = [level.name for level in problem.levels].index("lateness") + 1
    plan = solve(replace(problem, levels=problem.levels[:upto]), limit_s=limit_s)
    return plan.tasks[SERVICE].start_s if isinstance(plan, Plan) and plan.proven else None


def _changes(case: Case) -> Iterator[tuple[str, Case]]:
    """Each single change worth trying, and the case with it."""
    kitchen, so_far = case.kitchen, case.progress
    used = {use.what for step in case.menu.steps for use in step.uses}
    if "oven" in used and kitchen.ovens:
        first, *others = kitchen.ovens
        shelf = replace(first, shelves=first.shelves + 1)
        for what, ovens in (
            ("With another oven", (*kitchen.ovens, replace(first, name="another oven"))),
            ("With one more oven shelf", (shelf, *others)),
        ):
            yield what, replace(case, kitchen=replace(kitchen, ovens=ovens))
    for name in sorted(used - {"oven"}):
        more = {**so_far.equipment, name: case.capacities[name] + 1}
        yield f"With one more {name}", replace(case, progress=replace(so_far, equipment=more))
    yield "With somebody to help", replace(case, progress=replace(so_far, cooks=case.cooks + 1))
    left = [dish for dish in case.menu.dishes if dish.name not in so_far.dropped]
    for dish in left if len(left) > 1 else ():
        dropped = so_far.dropped | {dish.name}
        without = replace(case, progress=replace(so_far, dropped=dropped))
        yield f"Without “{dish.title}”", without


def _longest_chain(case: Case) -> tuple[tuple[str, ...], int]:
    """The steps that decide the earliest service if nothing were ever in use, and that service."""
    problem: Problem = kitchen_problem(replace(case, wanted_at=None))
    longest = longest_paths(problem, ORIGIN)
    came_from = {ORIGIN: ORIGIN}
    reached = [ORIGIN]
    for at in reached:  # breadth first over the arcs that bind; `reached` grows meanwhile
        for arc in problem.arcs:
            binds = arc.before == at and longest[at] + arc.weight_s == longest[arc.after]
            if binds and arc.after not in came_from:
                came_from[arc.after] = at
                reached.append(arc.after)
    chain = [came_from[SERVICE]]
    while chain[-1] != ORIGIN:
        chain.append(came_from[chain[-1]])
    return tuple(key for key in reversed(chain) if key in case.steps), longest[SERVICE]

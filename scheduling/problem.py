"""A scheduling problem: tasks, capacities, gaps and an objective. Knows no kitchen and no solver.

Times are whole seconds from the problem's own origin, 0.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from scheduling.problem_check import check
from scheduling.tasks import (
    ORIGIN,
    Apart,
    ContradictoryLags,
    Hammock,
    Lag,
    Level,
    Moment,
    Resource,
    Task,
)


@dataclass(frozen=True)
class Problem:
    """Levels are minimised in order, each without worsening the ones before.

    Raises ProblemError when built from parts that do not fit, and ContradictoryLags when
    the lags alone leave no schedule. alike: groups of tasks with as many modes each, of which all
    run in the first, or all in the second, and so on.
    """

    tasks: tuple[Task, ...]
    resources: tuple[Resource, ...] = ()
    lags: tuple[Lag, ...] = ()
    aparts: tuple[Apart, ...] = ()
    levels: tuple[Level, ...] = ()
    hammocks: tuple[Hammock, ...] = ()
    alike: tuple[tuple[str, ...], ...] = ()

    def __post_init__(self) -> None:
        check(self)
        earliest_starts(self)

    @cached_property
    def arcs(self) -> tuple["Arc", ...]:
        """Every bound between starts that holds in all modes."""
        return tuple(_arcs(self, tightest=False))

    @cached_property
    def bounds(self) -> tuple[Lag, ...]:
        """The lags, and those that the hammocks imply."""
        return (*self.lags, *(hammock.span for hammock in self.hammocks))

    @cached_property
    def by_name(self) -> dict[str, Task]:
        return {task.name: task for task in self.tasks}

    def task(self, name: str) -> Task:
        """The task of this name. Raises KeyError."""
        return self.by_name[name]


@dataclass(frozen=True)
class Arc:
    """start(after) - start(before) >= weight_s, whatever the modes."""

    before: str
    after: str
    weight_s: int


def _arcs(problem: Problem, *, tightest: bool) -> Iterator[Arc]:
    """Every lag, release and pinned start as bounds between starts.

    They hold in all modes; with `tightest`, they are those of the modes that bind most.
    """
    tasks = problem.by_name

    def span(name: str, moment: Moment, longest: bool) -> int:
        if name == ORIGIN or moment == "start":
            return 0
        return tasks[name].longest_s if longest else tasks[name].shortest_s

    for task in problem.tasks:
        yield Arc(
            ORIGIN, task.name, max(0, task.release_s if task.pinned_s is None else task.pinned_s)
        )
        if task.pinned_s is not None:
            yield Arc(task.name, ORIGIN, -task.pinned_s)
        for other in task.latest_of:
            yield Arc(other, task.name, span(other, "end", tightest))
    for lag in problem.bounds:
        if lag.mode is not None and not tightest:
            continue
        if lag.least_s is not None:
            ahead = span(lag.before, lag.before_moment, tightest)
            behind = span(lag.after, lag.after_moment, not tightest)
            yield Arc(lag.before, lag.after, lag.least_s + ahead - behind)
        if lag.most_s is not None:
            ahead = span(lag.before, lag.before_moment, not tightest)
            behind = span(lag.after, lag.after_moment, tightest)
            yield Arc(lag.after, lag.before, behind - ahead - lag.most_s)


def earliest_starts(problem: Problem, floors: Mapping[str, int] | None = None) -> dict[str, int]:
    """The earliest start of each task by the lags alone, without resources.

    floors: starts that are known to be no earlier than these. Raises ContradictoryLags, with the
    cycle of task names, when no schedule keeps the lags.
    """
    floor_arcs = [Arc(ORIGIN, name, floor) for name, floor in (floors or {}).items()]
    starts = longest_paths(problem, ORIGIN, floor_arcs)
    return {task.name: max(0, starts[task.name]) for task in problem.tasks}


def longest_paths(problem: Problem, source: str, more: Iterable[Arc] = ()) -> dict[str, int]:
    """How long after the source's start each task it bounds must start at least, in seconds.

    The origin counts as a task. Raises ContradictoryLags.
    """
    longest = {source: 0}
    parents: dict[str, str] = {}
    edges = [(arc.before, arc.after, arc.weight_s) for arc in (*problem.arcs, *more)]
    for _ in range(len(problem.tasks) + 2):
        changed = False
        for before, after, weight in edges:
            if before in longest:
                reached = longest[before] + weight
                if after not in longest or reached > longest[after]:
                    longest[after], parents[after], changed = reached, before, True
        if not changed:
            return longest
    raise _contradiction(parents)


def horizon_s(problem: Problem) -> int:
    """A time by which some optimal plan has ended, if there is any plan.

    After the last release, any idle stretch longer than the longest bound that leaves a task
    can be closed by moving all that follows it earlier; so the tasks' longest bounds add up.
    """
    longest = {task.name: task.longest_s for task in problem.tasks}
    reach = longest | {ORIGIN: 0}
    for arc in _arcs(problem, tightest=True):
        reach[arc.before] = max(reach[arc.before], arc.weight_s)
    for apart in problem.aparts:
        gap = max(apart.first_gap_s or 0, apart.second_gap_s or 0)
        for name in (apart.first, apart.second):
            reach[name] = max(reach[name], longest[name] + gap)
    early = 0
    for term in (term for level in problem.levels for term in level.terms):
        if term.task == ORIGIN:  # being later may pay until then, as before a release
            reach[ORIGIN] = max(reach[ORIGIN], -term.beyond_s)
        elif term.since != ORIGIN:  # a gap between the two may pay
            early += max(0, -term.beyond_s)
    total = sum(reach.values()) + early
    deadlines = [task.deadline_s for task in problem.tasks]
    if deadlines and all(limit is not None for limit in deadlines):
        total = min(total, max(limit for limit in deadlines if limit is not None))
    return total


def _contradiction(parents: dict[str, str]) -> ContradictoryLags:
    """The cycle among the tasks that still push each other later."""
    for at in parents:
        path: list[str] = []
        while at in parents and at not in path:
            path.append(at)
            at = parents[at]
        if at in path:
            names = tuple(reversed(path[path.index(at) :]))
            break
    shown = " → ".join(f"“{name}”" if name else "the beginning" for name in (*names, names[0]))
    return ContradictoryLags(
        f"these gaps cannot all hold: {shown}",
        "lengthen the most or shorten the least of one of them",
        names,
    )

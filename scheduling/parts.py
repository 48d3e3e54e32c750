"""A problem whose tasks may be broken off: each such task becomes parts, done one after another.

Knows no kitchen, as `scheduling.problem` does not.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from scheduling.plan import Plan, Scheduled
from scheduling.problem import Problem
from scheduling.tasks import Apart, Excess, Hammock, Lag, Level, Mode, Moment, Task


@dataclass(frozen=True)
class Breaks:
    """How tasks may be broken off. lengths: of each task's parts in each of its modes, in seconds.

    A task has as many parts in all modes, and at least one; parts that a mode has no need of last
    0 s and come last, right after the others. longest_s: between two parts. freed: the resources
    that a break gives back; the others are held from the first part to the last. before: the level
    that the sum of the breaks goes before; last of all where the problem has none of this name.
    """

    lengths: Mapping[str, tuple[tuple[int, ...], ...]]
    longest_s: int
    freed: frozenset[str]
    before: str

    def only(self, names: Collection[str]) -> "Breaks":
        """The same for these tasks alone; the others are not broken off."""
        return replace(self, lengths={n: p for n, p in self.lengths.items() if n in names})

    def without(self, other: "Breaks") -> "Breaks":
        """The same without the tasks of the other."""
        return self.only(self.lengths.keys() - other.lengths.keys())

    def parts(self, name: str) -> list[str]:
        """The names of a task's parts; of a task that is not broken off, its own."""
        count = len(self.lengths[name][0]) if name in self.lengths else 0
        return [f"{name} (part {n} of {count})" for n in range(1, count + 1)] or [name]

    def at(self, name: str, moment: Moment) -> str:
        """The task that starts or ends when this one does."""
        return self.parts(name)[0 if moment == "start" else -1]


WHOLE = Breaks({}, 0, frozenset(), "")  # nothing is broken off


def in_parts(problem: Problem, breaks: Breaks) -> Problem:
    """The problem with parts for tasks; all that bound a task bounds its first or last part."""
    if not breaks.lengths:
        return problem
    return Problem(
        tasks=tuple(part for task in problem.tasks for part in _tasks(task, breaks)),
        resources=problem.resources,
        lags=(*(_lag(lag, breaks) for lag in problem.lags), *_between(breaks)),
        aparts=tuple(part for apart in problem.aparts for part in _aparts(apart, breaks)),
        levels=_levels(problem.levels, breaks),
        hammocks=(
            *(_hammock(hammock, breaks) for hammock in problem.hammocks),
            *_held(problem, breaks),
        ),
        alike=(
            *(tuple(part for n in group for part in breaks.parts(n)) for group in problem.alike),
            *(tuple(breaks.parts(name)) for name, ways in breaks.lengths.items() if len(ways) > 1),
        ),
    )


def plan_in_parts(plan: Plan, breaks: Breaks, still: Mapping[str, list[tuple[int, int]]]) -> Plan:
    """The plan with each task's parts in its place. still: the breaks in it, in seconds."""
    tasks: dict[str, Scheduled] = {}
    for name, slot in plan.tasks.items():
        if name not in breaks.lengths:
            tasks[name] = slot
            continue
        at_s, waits = slot.start_s, sorted(still.get(name, ()))
        for part, length_s in zip(breaks.parts(name), breaks.lengths[name][slot.mode], strict=True):
            while length_s and waits and waits[0][0] <= at_s:
                at_s = max(at_s, waits.pop(0)[1])
            tasks[part] = Scheduled(part, at_s, at_s + length_s, slot.mode)
            at_s += length_s
    return Plan(tasks, plan.levels)


def joined(plan: Plan, breaks: Breaks) -> Plan:
    """The plan with each task from the start of its first part to the end of its last."""
    tasks = dict(plan.tasks)
    for name in breaks.lengths:
        slots = [tasks.pop(part) for part in breaks.parts(name)]
        tasks[name] = Scheduled(name, slots[0].start_s, slots[-1].end_s, slots[0].mode)
    return Plan(tasks, plan.levels)


def broken_off(plan: Plan, breaks: Breaks) -> dict[str, list[tuple[int, int]]]:
    """The breaks of each task that the plan breaks off, as (from, until)."""
    found: dict[str, list[tuple[int, int]]] = {}
    for name in breaks.lengths:
        slots = [plan.tasks[part] for part in breaks.parts(name)]
        pairs = pairwise(slots)
        still = [(one.end_s, other.start_s) for one, other in pairs if other.start_s > one.end_s]
        if still:
            found[name] = still
    return found


def _tasks(task: Task, breaks: Breaks) -> list[Task]:
    latest_of = tuple(breaks.at(name, "end") for name in task.latest_of)
    if task.name not in breaks.lengths:
        return [replace(task, latest_of=latest_of)]
    kept = [
        tuple((what, n) for what, n in mode.demands if what in breaks.freed or not n)
        for mode in task.modes
    ]
    parts = [
        Task(name, tuple(map(Mode, lengths, kept)))
        for name, lengths in zip(
            breaks.parts(task.name), zip(*breaks.lengths[task.name], strict=True), strict=True
        )
    ]
    parts[0] = replace(parts[0], release_s=task.release_s, pinned_s=task.pinned_s)
    parts[-1] = replace(parts[-1], deadline_s=task.deadline_s)
    return parts


def _lag(lag: Lag, breaks: Breaks) -> Lag:
    before = breaks.at(lag.before, lag.before_moment)
    return replace(lag, before=before, after=breaks.at(lag.after, lag.after_moment))


def _between(breaks: Breaks) -> list[Lag]:
    """Each part after the one before, within the longest break; what a mode does not need at
    once."""
    lags = []
    for name, ways in breaks.lengths.items():
        for index, (one, other) in enumerate(pairwise(breaks.parts(name)), 1):
            lags.append(Lag(one, other, 0, breaks.longest_s))
            unused = [mode for mode, lengths in enumerate(ways) if not lengths[index]]
            lags += [Lag(one, other, 0, 0, mode=mode) for mode in unused]
    return lags


def _aparts(apart: Apart, breaks: Breaks) -> list[Apart]:
    """Nothing that is apart from a task comes into its breaks either."""
    order = apart.order or f"{apart.first} or {apart.second} first"
    pairs = [(a, b) for a in breaks.parts(apart.first) for b in breaks.parts(apart.second)]
    if len(pairs) == 1:
        return [apart]
    return [replace(apart, first=one, second=other, order=order) for one, other in pairs]


def _hammock(hammock: Hammock, breaks: Breaks) -> Hammock:
    first = breaks.at(hammock.first, hammock.first_moment)
    return replace(hammock, first=first, last=breaks.at(hammock.last, "end"))


def _held(problem: Problem, breaks: Breaks) -> list[Hammock]:
    """What a task holds in its breaks too."""
    found = []
    for name in breaks.lengths:
        modes, first, last = (
            problem.task(name).modes,
            breaks.at(name, "start"),
            breaks.at(name, "end"),
        )
        for index, mode in enumerate(modes):
            held = tuple((what, n) for what, n in mode.demands if n and what not in breaks.freed)
            if held:
                which = f" in mode {index}" if len(modes) > 1 else ""
                only = index if len(modes) > 1 else None
                found.append(Hammock(f"{name} throughout{which}", first, last, held, mode=only))
    return found


def _levels(levels: tuple[Level, ...], breaks: Breaks) -> tuple[Level, ...]:
    moved = [
        Level(level.name, tuple(_excess(term, breaks) for term in level.terms)) for level in levels
    ]
    prices = tuple(term for name in breaks.lengths for term in _prices(name, breaks))
    names = [*(level.name for level in moved), breaks.before]
    moved.insert(names.index(breaks.before), Level("breaks", prices))
    return tuple(moved)


def _prices(name: str, breaks: Breaks) -> list[Excess]:
    """The breaks of a task: in one term where its length is the same in all modes."""
    lengths = {sum(parts) for parts in breaks.lengths[name]}
    if len(lengths) == 1:
        first, last = breaks.at(name, "start"), breaks.at(name, "end")
        return [Excess(last, 1, first, lengths.pop(), "end", "start")]
    return [Excess(b, 1, a, 0, "start", "end") for a, b in pairwise(breaks.parts(name))]


def _excess(term: Excess, breaks: Breaks) -> Excess:
    task = breaks.at(term.task, term.moment)
    return replace(term, task=task, since=breaks.at(term.since, term.since_moment))

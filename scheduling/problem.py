"""A scheduling problem: tasks, capacities, gaps and an objective. Knows no kitchen and no solver.

Times are whole seconds from the problem's own origin, 0.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from domain.errors import KitchenError

Moment = Literal["start", "end"]
ORIGIN = ""  # a task name that stands for time 0


@dataclass
class ProblemError(KitchenError):
    """A problem that no plan could satisfy or that makes no sense. `names` are the tasks in it."""

    wrong: str
    remedy: str
    names: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.wrong}; {self.remedy}"


@dataclass
class ContradictoryLags(ProblemError):
    """Lags that cannot all hold, whatever the resources: `names` is a cycle of tasks."""


@dataclass
class DemandTooBig(ProblemError):
    """More of a resource is needed at once than there ever is."""


@dataclass(frozen=True)
class Resource:
    """A renewable resource: at any time the demands of what runs add up to at most capacity."""

    name: str
    capacity: int


@dataclass(frozen=True)
class Mode:
    """One way to do a task: how long, and how much of which resource throughout.

    A demand of 0 says that the task runs on the resource without taking any of it.
    """

    duration_s: int
    demands: tuple[tuple[str, int], ...] = ()

    def runs_on(self, resource: str) -> bool:
        return any(name == resource for name, _ in self.demands)


@dataclass(frozen=True)
class Task:
    """Done once, without a break, in exactly one of its modes, within [release_s, deadline_s].

    pinned_s fixes the start (a step already begun). deadline_s bounds the end.
    latest_of: makes the task a milestone, exactly at the latest end of these tasks.
    """

    name: str
    modes: tuple[Mode, ...]
    release_s: int = 0
    deadline_s: int | None = None
    pinned_s: int | None = None
    latest_of: tuple[str, ...] = ()

    @property
    def shortest_s(self) -> int:
        return min(mode.duration_s for mode in self.modes)

    @property
    def longest_s(self) -> int:
        return max(mode.duration_s for mode in self.modes)


@dataclass(frozen=True)
class Lag:
    """least_s <= moment(after) - moment(before) <= most_s (None: no limit on that side).

    before may be ORIGIN. Both may be negative. `why` names the limit in the caller's words.
    mode: it holds only when `after` runs in this one, an index; None for always.
    """

    before: str
    after: str
    least_s: int | None = 0
    most_s: int | None = None
    before_moment: Moment = "end"
    after_moment: Moment = "start"
    why: str = ""
    mode: int | None = None


@dataclass(frozen=True)
class Apart:
    """The two tasks do not overlap when both run on `resource`; gaps are end-to-start seconds.

    first_gap_s applies when `first` goes first, second_gap_s when `second` does; a gap of None
    forbids that order. Aparts with the same non-empty `order` all have it the same way round.
    """

    first: str
    second: str
    resource: str
    first_gap_s: int | None = 0
    second_gap_s: int | None = 0
    order: str = ""


@dataclass(frozen=True)
class Hammock:
    """Demands held from first's moment until `last` ends, however long that is.

    The field's term is a hammock activity. first may be ORIGIN: they are held from time 0.
    `last` ends no earlier than first's moment; when it ends right then, nothing is held.
    mode: they are held only when both, which are then alike, run in this one, an index.
    """

    name: str
    first: str
    last: str
    demands: tuple[tuple[str, int], ...]
    first_moment: Moment = "start"
    mode: int | None = None

    @property
    def span(self) -> Lag:
        """That `last` ends no earlier than first's moment."""
        return Lag(self.first, self.last, 0, None, self.first_moment, "end", f"“{self.name}”")


@dataclass(frozen=True)
class Excess:
    """A cost of weight * max(0, moment(task) - moment(since) - beyond_s).

    Either of task and since may be ORIGIN: with task ORIGIN and beyond_s = -t, it is the cost of
    being earlier than t.
    """

    task: str
    weight: int = 1
    since: str = ORIGIN
    beyond_s: int = 0
    moment: Moment = "end"
    since_moment: Moment = "end"


@dataclass(frozen=True)
class Level:
    """One level of a lexicographic objective: the sum of its terms is minimised."""

    name: str
    terms: tuple[Excess, ...]


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
        _check_names(self)
        _check_tasks(self)
        _check_references(self)
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


def _check_names(problem: Problem) -> None:
    for kind, names in (
        ("task", [task.name for task in problem.tasks]),
        ("resource", [resource.name for resource in problem.resources]),
    ):
        seen: set[str] = set()
        for name in names:
            if not name:
                raise ProblemError(f"a {kind} has no name", "give it one")
            if name in seen:
                raise ProblemError(
                    f"two {kind}s are called “{name}”", "rename one of them", (name,)
                )
            seen.add(name)


def _check_tasks(problem: Problem) -> None:
    capacity = {resource.name: resource.capacity for resource in problem.resources}
    for task in problem.tasks:
        if not task.modes:
            raise ProblemError(f"“{task.name}” has no mode", "give it a duration", (task.name,))
        if task.deadline_s is not None and task.release_s + task.shortest_s > task.deadline_s:
            raise ProblemError(
                f"“{task.name}” is due {task.deadline_s} s after the origin but cannot end before "
                f"{task.release_s + task.shortest_s} s",
                "allow it more time",
                (task.name,),
            )
        if task.latest_of and (len(task.modes) > 1 or task.longest_s > 0):
            raise ProblemError(
                f"the milestone “{task.name}” has a duration", "make it 0 s", (task.name,)
            )
        for mode in task.modes:
            _check_mode(task, mode, capacity)
    for hammock in problem.hammocks:
        _check_demands(hammock.name, hammock.demands, capacity)


def _check_mode(task: Task, mode: Mode, capacity: dict[str, int]) -> None:
    if mode.duration_s < 0:
        raise ProblemError(
            f"“{task.name}” lasts {mode.duration_s} s", "use 0 s or more", (task.name,)
        )
    _check_demands(task.name, mode.demands, capacity)


def _check_demands(by: str, demands: tuple[tuple[str, int], ...], capacity: dict[str, int]) -> None:
    for name, demand in demands:
        if name not in capacity:
            raise ProblemError(
                f"“{by}” needs “{name}”, which there is none of",
                "add that resource or take the demand out",
                (by,),
            )
        if demand < 0:
            raise ProblemError(f"“{by}” needs {demand} of “{name}”", "use 0 or more", (by,))
        if demand > capacity[name]:
            raise DemandTooBig(
                f"“{by}” needs {demand} of “{name}”, and there are {capacity[name]}",
                "raise the capacity or lower the demand",
                (by,),
            )


def _check_references(problem: Problem) -> None:
    names = problem.by_name.keys()
    resources = {resource.name for resource in problem.resources}
    mentioned: list[tuple[str, str]] = []
    for lag in problem.lags:
        mentioned += [("a lag", lag.before or lag.after), ("a lag", lag.after)]
        if lag.least_s is not None and lag.most_s is not None and lag.least_s > lag.most_s:
            raise ContradictoryLags(
                f"from “{lag.before}” to “{lag.after}” at least {lag.least_s} s and at most "
                f"{lag.most_s} s are asked for",
                "let the most be no less than the least",
                (lag.before, lag.after),
            )
    for hammock in problem.hammocks:
        what = f"the hammock “{hammock.name}”"
        mentioned += [(what, hammock.first or hammock.last), (what, hammock.last)]
    for apart in problem.aparts:
        mentioned += [("an apart", apart.first), ("an apart", apart.second)]
        if apart.resource not in resources:
            raise ProblemError(
                f"an apart names the unknown resource “{apart.resource}”", "add it or correct it"
            )
    for level in problem.levels:
        for term in level.terms:
            what = f"the level “{level.name}”"
            mentioned += [(what, term.task or term.since), (what, term.since or term.task)]
            if term.weight < 0:
                raise ProblemError(f"{what} has a negative weight", "use 0 or more", (term.task,))
    mentioned += [(f"“{task.name}”", other) for task in problem.tasks for other in task.latest_of]
    mentioned += [("a group of tasks alike", name) for group in problem.alike for name in group]
    for what, name in mentioned:
        if name not in names:
            raise ProblemError(
                f"{what} names the unknown task “{name}”", "add it or correct it", (name,)
            )
    for group in problem.alike:
        if len({len(problem.task(name).modes) for name in group}) > 1:
            raise ProblemError(
                f"{' and '.join(f'“{name}”' for name in group)} have not as many modes each",
                "give them as many, or do not have them alike",
                group,
            )


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

"""A plan: when each task runs and how. And its checker, which uses no solver."""

from collections.abc import Iterator
from dataclasses import dataclass

from scheduling.problem import Problem
from scheduling.tasks import ORIGIN, Apart, Excess, Level, Moment


@dataclass(frozen=True)
class Scheduled:
    """One task's place in a plan: seconds from the problem's origin, and the mode's index."""

    task: str
    start_s: int
    end_s: int
    mode: int = 0

    def at(self, moment: Moment) -> int:
        return self.start_s if moment == "start" else self.end_s


@dataclass(frozen=True)
class LevelResult:
    """What a level came to: its cost, the proven lower bound, and seconds of solving."""

    name: str
    cost: int
    bound: int
    took_s: float

    @property
    def proven(self) -> bool:
        return self.cost == self.bound


@dataclass(frozen=True)
class Plan:
    """A schedule of every task of a problem, by task name."""

    tasks: dict[str, Scheduled]
    levels: tuple[LevelResult, ...] = ()

    @property
    def proven(self) -> bool:
        """True when every level was proven optimal."""
        return all(level.proven for level in self.levels)

    def at(self, task: str, moment: Moment) -> int:
        """When a task's start or end is, in seconds; the origin is at 0."""
        return 0 if task == ORIGIN else self.tasks[task].at(moment)


@dataclass(frozen=True)
class NoPlan:
    """No schedule: `proven` False when time ran out. `why`: the limits that collide, if known."""

    proven: bool
    why: tuple[str, ...] = ()


def term_cost(plan: Plan, term: Excess) -> int:
    """weight * max(0, moment(task) - moment(since) - beyond_s)."""
    apart_s = plan.at(term.task, term.moment) - plan.at(term.since, term.since_moment)
    return term.weight * max(0, apart_s - term.beyond_s)


def cost(plan: Plan, level: Level) -> int:
    """What a level's terms add up to in this plan."""
    return sum(term_cost(plan, term) for term in level.terms)


def costs(problem: Problem, plan: Plan) -> tuple[int, ...]:
    """The cost of each level, in order: plans compare as these tuples do."""
    return tuple(cost(plan, level) for level in problem.levels)


def violations(problem: Problem, plan: Plan) -> list[str]:
    """Every rule of the problem that the plan breaks, one sentence each; empty when it is valid."""
    missing = [task.name for task in problem.tasks if task.name not in plan.tasks]
    if missing:
        return [f"“{name}” is not in the plan" for name in missing]
    slots = [(task, plan.tasks[task.name].mode) for task in problem.tasks]
    wrong = [(task, mode) for task, mode in slots if not 0 <= mode < len(task.modes)]
    if wrong:  # what such a task takes is not known
        return [f"“{task.name}” has no mode {mode}" for task, mode in wrong]
    return [
        *_task_violations(problem, plan),
        *_lag_violations(problem, plan),
        *_resource_violations(problem, plan),
        *_apart_violations(problem, plan),
        *_alike_violations(problem, plan),
    ]


def _task_violations(problem: Problem, plan: Plan) -> Iterator[str]:
    for task in problem.tasks:
        slot = plan.tasks[task.name]
        if slot.end_s - slot.start_s != task.modes[slot.mode].duration_s:
            yield f"“{task.name}” does not last as long as its mode says"
        if task.pinned_s is not None and slot.start_s != task.pinned_s:
            yield f"“{task.name}” does not start where it is pinned"
        if task.pinned_s is None and slot.start_s < task.release_s:
            yield f"“{task.name}” starts before its release"
        if task.deadline_s is not None and slot.end_s > task.deadline_s:
            yield f"“{task.name}” ends after its deadline"
        if task.latest_of and slot.start_s != max(plan.at(name, "end") for name in task.latest_of):
            yield f"the milestone “{task.name}” is not at the latest end of its tasks"


def _lag_violations(problem: Problem, plan: Plan) -> Iterator[str]:
    for lag in problem.bounds:
        if lag.mode not in (None, plan.tasks[lag.after].mode):
            continue
        apart_s = plan.at(lag.after, lag.after_moment) - plan.at(lag.before, lag.before_moment)
        named = lag.why or f"from “{lag.before}” to “{lag.after}”"
        if lag.least_s is not None and apart_s < lag.least_s:
            yield f"{named}: {apart_s} s, at least {lag.least_s} s"
        if lag.most_s is not None and apart_s > lag.most_s:
            yield f"{named}: {apart_s} s, at most {lag.most_s} s"


def _resource_violations(problem: Problem, plan: Plan) -> Iterator[str]:
    for resource in problem.resources:
        steps: list[tuple[int, int]] = []
        for task in problem.tasks:
            slot = plan.tasks[task.name]
            for name, demand in task.modes[slot.mode].demands:
                if name == resource.name and slot.end_s > slot.start_s:
                    steps += [(slot.start_s, demand), (slot.end_s, -demand)]
        for hammock in problem.hammocks:
            if hammock.mode not in (None, plan.tasks[hammock.last].mode):
                continue
            from_s, until_s = (
                plan.at(hammock.first, hammock.first_moment),
                plan.at(hammock.last, "end"),
            )
            for name, demand in hammock.demands:
                if name == resource.name and until_s > from_s:
                    steps += [(from_s, demand), (until_s, -demand)]
        used = 0
        for at_s, change in sorted(steps):  # at equal times, what ends goes first
            used += change
            if used > resource.capacity:
                yield f"“{resource.name}” is over its capacity at {at_s} s"
                break


def _apart_violations(problem: Problem, plan: Plan) -> Iterator[str]:
    tasks = {task.name: task for task in problem.tasks}
    orders: dict[str, bool] = {}
    for apart in problem.aparts:
        pair = (plan.tasks[apart.first], plan.tasks[apart.second])
        if not all(tasks[s.task].modes[s.mode].runs_on(apart.resource) for s in pair):
            continue
        options = [forward for forward in (True, False) if keeps_apart(apart, *pair, forward)]
        if not options:
            yield f"“{apart.first}” and “{apart.second}” are too close on “{apart.resource}”"
        elif (
            apart.order
            and len(options) == 1
            and orders.setdefault(apart.order, options[0]) != options[0]
        ):
            yield f"“{apart.first}” and “{apart.second}” break the order “{apart.order}”"


def _alike_violations(problem: Problem, plan: Plan) -> Iterator[str]:
    for group in problem.alike:
        if len({plan.tasks[name].mode for name in group}) > 1:
            yield f"{' and '.join(f'“{name}”' for name in group)} run in different modes"


def keeps_apart(apart: Apart, first: Scheduled, second: Scheduled, forward: bool) -> bool:
    """Whether the pair keeps its gap with `first` ahead (forward) or with `second` ahead."""
    gap_s = apart.first_gap_s if forward else apart.second_gap_s
    ahead, behind = (first, second) if forward else (second, first)
    return gap_s is not None and ahead.end_s + gap_s <= behind.start_s

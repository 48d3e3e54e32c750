"""A `Problem` as a CP-SAT model. The only module that imports OR-Tools."""

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import Any

from ortools.sat.python import cp_model

from scheduling.plan import NoPlan, Plan, Scheduled, cost
from scheduling.problem import Problem, earliest_starts, horizon_s, longest_paths
from scheduling.tasks import ORIGIN, Excess, Hammock, Lag, Level, Moment, Task

Expression = Any  # a linear expression, variable or number of CP-SAT, whose types are not public


class Stop:
    """Lets another thread end a solve early: the best plan so far is returned."""

    def __init__(self) -> None:
        self.asked = False
        self._halt: Callable[[], None] | None = None

    def now(self) -> None:
        self.asked = True
        if self._halt is not None:
            self._halt()

    def halts(self, halt: Callable[[], None]) -> None:
        """What to call when asked; called at once if that was before."""
        self._halt = halt
        if self.asked:
            halt()


def _common_unit_s(problem: Problem, optional: Iterable[Lag]) -> int:
    """The greatest number of seconds that divides every time in the problem."""
    return math.gcd(*_all_times(problem, optional)) or 1


def _all_times(problem: Problem, optional: Iterable[Lag]) -> Iterator[int]:
    for task in problem.tasks:
        yield from (mode.duration_s for mode in task.modes)
        yield from (task.release_s, task.deadline_s or 0, task.pinned_s or 0)
    for lag in (*problem.lags, *optional):
        yield from (lag.least_s or 0, lag.most_s or 0)
    for apart in problem.aparts:
        yield from (apart.first_gap_s or 0, apart.second_gap_s or 0)
    for level in problem.levels:
        yield from (term.beyond_s for term in level.terms)


class Model:
    """The CP-SAT model: start, end and mode of each task, counted in the common unit of time.

    optional: lags that are left out, but may be added with `keep_lag`.
    """

    def __init__(
        self,
        problem: Problem,
        workers: int,
        seed: int,
        stop: Stop,
        optional: Collection[Lag] = (),
    ) -> None:
        self.problem = problem
        self.stop = stop
        self.unit = _common_unit_s(problem, optional)
        longer_s = sum(max(0, lag.least_s or 0) for lag in optional)
        self.horizon = (horizon_s(problem) + longer_s) // self.unit
        self.cp = cp_model.CpModel()
        self.solver = cp_model.CpSolver()
        self.solver.parameters.num_workers = workers
        self.solver.parameters.random_seed = seed
        self.tasks = {task.name: task for task in problem.tasks}
        self.starts: dict[str, Expression] = {}
        self.ends: dict[str, Expression] = {}
        self.choices: dict[str, list[Expression]] = {}
        self.intervals: dict[tuple[str, int], Expression] = {}
        self.excesses: dict[Excess, Expression] = {}
        self.orders: dict[str, Expression] = {}
        # Tasks that are alike have their choices in common, by the first of them.
        self.alike = {name: group[0] for group in problem.alike for name in group}
        _start_within_the_critical_path(self)
        for task in problem.tasks:
            _run_once_in_one_mode(self, task)
        _be_the_latest_of(self)
        _keep_lags(self)
        self.held = _hold_hammocks(self)
        _share_resources(self)
        _keep_apart(self)

    def improve(
        self, level: Level | None, start: Plan | None, hint: Plan | None, limit_s: float
    ) -> tuple[Plan | NoPlan, int]:
        """The best plan for this level that keeps the levels before, and the proven bound."""
        if level is not None:
            self.cp.minimize(self.level_cost(level))
            # One moment is proven several times sooner without the linear relaxation, which is
            # weak for schedules; for a sum of many waits it is what gives a bound at all.
            self.solver.parameters.linearization_level = 0 if len(level.terms) == 1 else 2
        self.hint(start or hint)
        self.solver.parameters.max_time_in_seconds = limit_s
        self.stop.halts(self.solver.stop_search)
        status = cp_model.UNKNOWN if self.stop.asked else self.solver.solve(self.cp)
        if status == cp_model.INFEASIBLE:
            return NoPlan(proven=True), 0
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return start or NoPlan(proven=False), 0
        if level is None:
            return self.read(), 0
        return self.read(), math.ceil(self.solver.best_objective_bound - 1e-6) * self.unit

    def keep(self, levels: tuple[Level, ...], plan: Plan | None) -> None:
        """From now on these levels may cost no more than they do in the plan."""
        for level in levels:
            assert plan is not None
            self.cp.add(self.level_cost(level) <= cost(plan, level) // self.unit)

    def keep_lag(self, lag: Lag, when: Sequence[Expression] = ()) -> None:
        """least <= moment(after) - moment(before) <= most, when all the literals are true."""
        apart = self.at(lag.after, lag.after_moment) - self.at(lag.before, lag.before_moment)
        if lag.least_s is not None:
            self.cp.add(apart >= lag.least_s // self.unit).only_enforce_if(when)
        if lag.most_s is not None:
            self.cp.add(apart <= lag.most_s // self.unit).only_enforce_if(when)

    def level_cost(self, level: Level) -> Expression:
        return cp_model.LinearExpr.weighted_sum(
            [self._excess(term) for term in level.terms], [term.weight for term in level.terms]
        )

    def _excess(self, term: Excess) -> Expression:
        if term not in self.excesses:
            beyond = term.beyond_s // self.unit
            excess = self.cp.new_int_var(0, 2 * self.horizon + abs(beyond), "")
            apart = self.at(term.task, term.moment) - self.at(term.since, term.since_moment)
            self.cp.add(excess >= apart - beyond)
            self.excesses[term] = excess
        return self.excesses[term]

    def at(self, task: str, moment: Moment) -> Expression:
        if task == ORIGIN:
            return 0
        return self.starts[task] if moment == "start" else self.ends[task]

    def hint(self, plan: Plan | None) -> None:
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        for name, slot in plan.tasks.items() if plan else ():
            if name in self.tasks and slot.mode < len(self.tasks[name].modes):
                self.cp.add_hint(self.starts[name], max(0, slot.start_s // self.unit))
                if self.alike.get(name, name) == name:
                    for mode, choice in enumerate(self.choices[name]):
                        self.cp.add_hint(choice, int(mode == slot.mode))

    def read(self) -> Plan:
        """The plan that the solver found last."""
        tasks = {}
        for name, task in self.tasks.items():
            chosen = [self.solver.boolean_value(choice) for choice in self.choices[name]]
            mode = chosen.index(True) if chosen else 0
            start_s = self.solver.value(self.starts[name]) * self.unit
            tasks[name] = Scheduled(name, start_s, start_s + task.modes[mode].duration_s, mode)
        return Plan(tasks)


def _start_within_the_critical_path(model: Model) -> None:
    """Each task starts no earlier than the lags before it allow."""
    for name, earliest_s in earliest_starts(model.problem).items():
        task, earliest = model.tasks[name], earliest_s // model.unit
        latest = max(earliest, model.horizon)
        if task.deadline_s is not None:
            latest = min(latest, task.deadline_s // model.unit)
        if latest < earliest:  # no plan: an empty domain is not allowed, a contradiction is
            model.cp.add_bool_or([])
            latest = earliest
        model.starts[name] = model.cp.new_int_var(earliest, latest, name)


def _run_once_in_one_mode(model: Model, task: Task) -> None:
    """One interval per mode; they are optional only where there are several."""
    start, unit = model.starts[task.name], model.unit
    lengths = [mode.duration_s // unit for mode in task.modes]
    if len(lengths) == 1:
        model.choices[task.name] = []
        model.ends[task.name] = start + lengths[0]
        if lengths[0]:
            interval = model.cp.new_fixed_size_interval_var(start, lengths[0], task.name)
            model.intervals[task.name, 0] = interval
    else:
        leader = model.alike.get(task.name, task.name)
        choices = model.choices.get(leader, [])
        if not choices:
            choices = [model.cp.new_bool_var(f"{leader}/{i}") for i in range(len(lengths))]
            model.cp.add_exactly_one(choices)
        model.choices[leader] = model.choices[task.name] = choices
        model.ends[task.name] = start + cp_model.LinearExpr.weighted_sum(choices, lengths)
        for mode, (length, chosen) in enumerate(zip(lengths, choices, strict=True)):
            if length:
                model.intervals[task.name, mode] = model.cp.new_optional_fixed_size_interval_var(
                    start, length, chosen, f"{task.name}/{mode}"
                )
    if task.pinned_s is not None:
        model.cp.add(start == task.pinned_s // unit)
    if task.deadline_s is not None:
        model.cp.add(model.ends[task.name] <= task.deadline_s // unit)


def _be_the_latest_of(model: Model) -> None:
    """A milestone is exactly at the latest end of its tasks."""
    for task in model.problem.tasks:
        if task.latest_of:
            ends = [model.ends[name] for name in task.latest_of]
            model.cp.add_max_equality(model.starts[task.name], ends)


def _keep_lags(model: Model) -> None:
    for lag in model.problem.bounds:
        model.keep_lag(lag, _in_mode(model, lag.after, lag.mode))


def _in_mode(model: Model, name: str, mode: int | None) -> list[Expression]:
    """The literal that says that the task runs in this mode; none where it always does."""
    choices = model.choices[name]
    return [] if mode is None or not choices else [choices[mode]]


def _hold_hammocks(model: Model) -> dict[str, Expression]:
    """An interval from each hammock's beginning to its end, of whatever length that is."""
    held = {}
    for hammock in model.problem.hammocks:
        first = model.at(hammock.first, hammock.first_moment)
        ends = []
        for end in (first, model.at(hammock.last, "end")):  # an interval's ends are of one variable
            ends.append(model.cp.new_int_var(0, model.horizon, ""))
            model.cp.add(ends[-1] == end)
        length = model.cp.new_int_var(_least_held(model, hammock), model.horizon, "")
        size = ends[0], length, ends[1]
        for when in _in_mode(model, hammock.last, hammock.mode) or [None]:
            held[hammock.name] = (
                model.cp.new_interval_var(*size, hammock.name)
                if when is None
                else model.cp.new_optional_interval_var(*size, when, hammock.name)
            )
    return held


def _least_held(model: Model, hammock: Hammock) -> int:
    """How long a hammock is at least, by the lags; what is never empty is known to be in turn."""
    first, last = hammock.first, model.tasks[hammock.last]
    apart_s = longest_paths(model.problem, first)[hammock.last] + last.shortest_s
    if first != ORIGIN and hammock.first_moment == "end":
        apart_s -= model.tasks[first].longest_s
    return max(0, apart_s // model.unit)


def _share_resources(model: Model) -> None:
    """At any time, what runs on a resource takes no more than its capacity."""
    for resource in model.problem.resources:
        users: list[Expression] = []
        demands: list[int] = []
        for (name, mode), interval in model.intervals.items():
            for used, demand in model.tasks[name].modes[mode].demands:
                if used == resource.name and demand:
                    users.append(interval)
                    demands.append(demand)
        alone = len(users) > 1 and resource.capacity == 1
        for hammock in model.problem.hammocks:
            for used, demand in hammock.demands:
                if used == resource.name and demand:
                    users.append(model.held[hammock.name])
                    demands.append(demand)
                    alone = False  # an empty one may lie within another
        if alone:
            model.cp.add_no_overlap(users)
        elif sum(demands) > resource.capacity:
            model.cp.add_cumulative(users, demands, resource.capacity)


def _keep_apart(model: Model) -> None:
    """One of the two goes first, by its gap, when both run on the resource."""
    for apart in model.problem.aparts:
        both = _both_run_on(model, apart.first, apart.second, apart.resource)
        if both is None:
            continue
        if apart.order:
            forward = model.orders.get(apart.order)
            if forward is None:
                forward = model.orders[apart.order] = model.cp.new_bool_var(apart.order)
        else:
            forward = model.cp.new_bool_var("")
        for ahead, behind, gap_s, way in (
            (apart.first, apart.second, apart.first_gap_s, forward),
            (apart.second, apart.first, apart.second_gap_s, forward.negated()),
        ):
            if gap_s is None:
                model.cp.add_bool_or([way.negated()]).only_enforce_if(both)
            else:
                gap = gap_s // model.unit
                first_ends, second_starts = model.ends[ahead], model.starts[behind]
                model.cp.add(first_ends + gap <= second_starts).only_enforce_if([*both, way])


def _both_run_on(model: Model, first: str, second: str, resource: str) -> list[Expression] | None:
    """The literals that say that both tasks run on the resource; None when they cannot."""
    literals = []
    for name in (first, second):
        on = [mode.runs_on(resource) for mode in model.tasks[name].modes]
        if not any(on):
            return None
        if not all(on):
            choices = [c for c, yes in zip(model.choices[name], on, strict=True) if yes]
            literal = choices[0]
            if len(choices) > 1:
                literal = model.cp.new_bool_var("")
                model.cp.add_max_equality(literal, choices)
            literals.append(literal)
    return literals

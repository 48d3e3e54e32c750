"""Plans without a solver: placing tasks one by one, and moving them later or earlier.

Quick enough to answer at once; the solver starts from what these find.
"""

from collections import defaultdict
from collections.abc import Container, Iterable

from scheduling.plan import Plan, Scheduled, keeps_apart
from scheduling.problem import (
    ORIGIN,
    Apart,
    ContradictoryLags,
    Lag,
    Moment,
    Problem,
    Task,
    earliest_starts,
)

FAR_S = 1 << 40  # later than anything
REPAIRS = 20  # rounds of placing anew: more seldom help, and each takes about a millisecond


def serial_plan(problem: Problem, before: Plan | None = None) -> Plan:
    """Places each task as early as the ones placed before it allow (serial schedule generation).

    before: an earlier plan, whose order, modes and times are kept where they still can be.
    When a task comes too late after one that it must soon follow, that one is moved later and
    all are placed anew, a number of times. Check the result with `violations`.
    """
    order = _order(problem, before)
    old = before.tasks if before else {}
    floors = {name: old[name].start_s for name in order if name in old}
    board = Board(problem)
    for _ in range(REPAIRS):
        try:
            earliest = earliest_starts(problem, floors)
        except ContradictoryLags:
            if board.plan().tasks:
                break
            floors, earliest = {}, earliest_starts(problem)
        late = _one_pass(board, order, earliest, old)
        if late is None:
            break
        floors[late.task] = late.start_s
    return board.plan()


def _one_pass(
    board: "Board", order: list[str], earliest: dict[str, int], old: dict[str, Scheduled]
) -> Scheduled | None:
    """Places every task anew; gives the first one that came too late for a most-lag."""
    board.clear()
    late: Scheduled | None = None
    for name in order:
        task = board.tasks[name]
        mode = old[name].mode if name in old and old[name].mode < len(task.modes) else 0
        slot = board.earliest(task, mode, earliest[name])
        if late is None and board.too_late(slot):
            late = slot
        board.place(slot)
    return late


def moved_later(problem: Problem, plan: Plan, names: Iterable[str]) -> Plan:
    """The plan with these tasks moved as late as the others, where they stand, allow."""
    wanted = set(names)
    board = Board(problem, plan, movable=wanted)
    for slot in sorted(plan.tasks.values(), key=lambda s: (-s.end_s, -s.start_s, s.task)):
        if slot.task in wanted:
            board.take_up(slot.task)
            board.place(board.latest(slot))
    return board.plan()


def moved_earlier(problem: Problem, plan: Plan, names: Iterable[str], from_s: int = 0) -> Plan:
    """The plan with these tasks moved as early as the others allow, none before from_s."""
    board = Board(problem, plan)
    wanted = set(names)
    for slot in sorted(plan.tasks.values(), key=lambda s: (s.start_s, s.end_s, s.task)):
        if slot.task in wanted and slot.start_s > from_s:
            board.take_up(slot.task)
            better = board.earliest(board.tasks[slot.task], slot.mode, from_s)
            board.place(better if better.start_s < slot.start_s else slot)
    return board.plan()


class Board:
    """A plan in the making: where tasks stand, and where one more could go."""

    def __init__(
        self, problem: Problem, plan: Plan | None = None, movable: Container[str] = ()
    ) -> None:
        self.tasks = {task.name: task for task in problem.tasks}
        self._capacity = {resource.name: resource.capacity for resource in problem.resources}
        self._placed: dict[str, Scheduled] = {}
        self._on: dict[str, dict[str, int]] = defaultdict(dict)  # resource -> task -> demand
        self._lags: dict[str, list[Lag]] = defaultdict(list)
        self._aparts: dict[str, list[Apart]] = defaultdict(list)
        self._orders: dict[str, bool] = {}
        self._movable = movable  # milestones that may come later
        self._milestones = [task for task in problem.tasks if task.latest_of]
        for lag in problem.lags:
            self._lags[lag.before].append(lag)
            self._lags[lag.after].append(lag)
        for apart in problem.aparts:
            self._aparts[apart.first].append(apart)
            self._aparts[apart.second].append(apart)
        for slot in plan.tasks.values() if plan else ():
            self.place(slot)

    def plan(self) -> Plan:
        return Plan(dict(self._placed))

    def clear(self) -> None:
        self._placed.clear()
        self._on.clear()
        self._orders.clear()

    def place(self, slot: Scheduled) -> None:
        self._placed[slot.task] = slot
        if slot.end_s > slot.start_s:
            for resource, demand in self.tasks[slot.task].modes[slot.mode].demands:
                self._on[resource][slot.task] = demand
        self._decide_orders(slot)
        for milestone in self._milestones:
            if slot.task in milestone.latest_of and all(
                name in self._placed for name in milestone.latest_of
            ):
                at_s = max(self._placed[name].end_s for name in milestone.latest_of)
                self._placed[milestone.name] = Scheduled(milestone.name, at_s, at_s)

    def take_up(self, name: str) -> None:
        slot = self._placed.pop(name)
        for resource, _ in self.tasks[name].modes[slot.mode].demands:
            self._on[resource].pop(name, None)

    def earliest(self, task: Task, mode: int, from_s: int) -> Scheduled:
        """The earliest place from from_s on; a most-lag that leaves none is not kept."""
        length = task.modes[mode].duration_s
        if task.pinned_s is not None:
            return Scheduled(task.name, task.pinned_s, task.pinned_s + length, mode)
        if task.latest_of:
            start = max(self._placed[name].end_s for name in task.latest_of)
            return Scheduled(task.name, start, start, mode)
        low, _ = self._window(task, length)
        start = max(from_s, low, task.release_s)
        while True:
            slot = Scheduled(task.name, start, start + length, mode)
            blocking = self._blocking(slot)
            if not blocking:
                return slot
            start = min(end for _, end in blocking)
            if start == FAR_S:
                return slot  # no later place is better

    def latest(self, slot: Scheduled) -> Scheduled:
        """The latest place from the slot's own on; the slot itself when there is none later."""
        task, length = self.tasks[slot.task], slot.end_s - slot.start_s
        if task.pinned_s is not None or task.latest_of:
            return slot
        _, start = self._window(task, length)
        if task.deadline_s is not None:
            start = min(start, task.deadline_s - length)
        last_s = max((other.end_s for other in self._placed.values()), default=0)
        start = min(start, last_s - length)
        while start > slot.start_s:
            later = Scheduled(slot.task, start, start + length, slot.mode)
            blocking = self._blocking(later)
            if not blocking:
                return later
            start = max(begin for begin, _ in blocking) - length
        return slot

    def too_late(self, slot: Scheduled) -> bool:
        """Whether a most-lag to a task already placed leaves no such late start."""
        task = self.tasks[slot.task]
        if task.pinned_s is not None or task.latest_of:
            return False
        return slot.start_s > self._window(task, slot.end_s - slot.start_s)[1]

    def _window(self, task: Task, length: int) -> tuple[int, int]:
        """The earliest and latest start that the lags to what is placed leave."""
        low, high = 0, FAR_S
        for lag in self._lags[task.name]:
            least, most = lag.least_s, lag.most_s
            if lag.after == task.name:
                other = self._at(lag.before, lag.before_moment)
                shift = length if lag.after_moment == "end" else 0
            else:  # seen from the other end, the least is a most
                other = self._at(lag.after, lag.after_moment)
                shift = length if lag.before_moment == "end" else 0
                least, most = (None if x is None else -x for x in (most, least))
            if other is not None:
                low = max(low, other + least - shift) if least is not None else low
                high = min(high, other + most - shift) if most is not None else high
        for milestone in self._milestones:
            if task.name in milestone.latest_of and milestone.name in self._placed:
                at_s = self._placed[milestone.name].end_s
                if milestone.name in self._movable:
                    at_s = max(at_s, self._window(milestone, 0)[1])
                high = min(high, at_s - length)
        return low, high

    def _at(self, name: str, moment: Moment) -> int | None:
        if name == ORIGIN:
            return 0
        return self._placed[name].at(moment) if name in self._placed else None

    def _blocking(self, slot: Scheduled) -> list[tuple[int, int]]:
        """What stands in the slot's way, as (start, end) with gaps included."""
        blocking: list[tuple[int, int]] = []
        mode = self.tasks[slot.task].modes[slot.mode]
        if slot.end_s > slot.start_s:
            for resource, demand in mode.demands:
                if demand:
                    blocking += self._crowd(slot, resource, demand)
        for apart in self._aparts[slot.task]:
            blocking += self._too_close(slot, apart)
        return blocking

    def _crowd(self, slot: Scheduled, resource: str, demand: int) -> list[tuple[int, int]]:
        """Those on the resource at the times when there is no room for the slot."""
        room = self._capacity[resource] - demand
        there = [
            (self._placed[name], taken)
            for name, taken in self._on[resource].items()
            if self._placed[name].start_s < slot.end_s and self._placed[name].end_s > slot.start_s
        ]
        if sum(taken for _, taken in there) <= room:
            return []
        found: list[tuple[int, int]] = []
        for at_s in {max(slot.start_s, other.start_s) for other, _ in there}:
            now = [(o, taken) for o, taken in there if o.start_s <= at_s < o.end_s]
            if sum(taken for _, taken in now) > room:
                found += [(o.start_s, o.end_s) for o, _ in now]
        return found

    def _too_close(self, slot: Scheduled, apart: Apart) -> list[tuple[int, int]]:
        pair = self._pair(slot, apart)
        if pair is None or any(keeps_apart(apart, *pair, way) for way in self._ways(apart)):
            return []
        is_first = slot.task == apart.first
        other = pair[1] if is_first else pair[0]
        ahead_s, behind_s = apart.first_gap_s, apart.second_gap_s
        if not is_first:
            ahead_s, behind_s = behind_s, ahead_s
        ways = self._ways(apart)
        begin = other.start_s - ahead_s if ahead_s is not None and is_first in ways else -FAR_S
        end = other.end_s + behind_s if behind_s is not None and (not is_first) in ways else FAR_S
        return [(begin, end)]

    def _pair(self, slot: Scheduled, apart: Apart) -> tuple[Scheduled, Scheduled] | None:
        """The two of the apart, when the other is placed and both run on its resource."""
        other = self._placed.get(apart.second if slot.task == apart.first else apart.first)
        if other is None:
            return None
        pair = (slot, other) if slot.task == apart.first else (other, slot)
        on = all(self.tasks[s.task].modes[s.mode].runs_on(apart.resource) for s in pair)
        return pair if on else None

    def _ways(self, apart: Apart) -> tuple[bool, ...]:
        decided = self._orders.get(apart.order)
        return (True, False) if decided is None else (decided,)

    def _decide_orders(self, slot: Scheduled) -> None:
        """Aparts that share an order go the way that the first placed pair of them went."""
        for apart in self._aparts[slot.task]:
            pair = self._pair(slot, apart) if apart.order else None
            if pair is not None:
                kept = [way for way in self._ways(apart) if keeps_apart(apart, *pair, way)]
                if len(kept) == 1:
                    self._orders[apart.order] = kept[0]


def _order(problem: Problem, before: Plan | None) -> list[str]:
    """Every task after those it must wait for; among the free ones, the most urgent first.

    What is under way stands where it stands, so it comes before all others.
    """
    urgency = _urgency(problem, before)
    waits: dict[str, set[str]] = {task.name: set() for task in problem.tasks}
    follows: dict[str, list[str]] = defaultdict(list)
    pairs = [(arc.before, arc.after) for arc in problem.arcs if arc.weight_s >= 0]
    pairs += [(apart.first, apart.second) for apart in problem.aparts if apart.second_gap_s is None]
    for before_name, after_name in pairs:
        if ORIGIN not in (before_name, after_name):
            waits[after_name].add(before_name)
            follows[before_name].append(after_name)
    pinned = {task.name: task.pinned_s for task in problem.tasks if task.pinned_s is not None}
    order: list[str] = []
    while waits:
        # Tasks bound to the same moment wait for each other: then the most urgent goes.
        begun = [name for name in waits if name in pinned]
        free = begun or [name for name, first in waits.items() if not first] or list(waits)
        name = min(free, key=lambda n: (urgency[n], n))
        order.append(name)
        del waits[name]
        for after in follows[name]:
            waits.get(after, set()).discard(name)
    return order


def _urgency(problem: Problem, before: Plan | None) -> dict[str, int]:
    """The start in the plan before; without one, the latest start by the lags (LST rule)."""
    if before is not None:
        known = {name: slot.start_s for name, slot in before.tasks.items()}
        return {task.name: known.get(task.name, 0) for task in problem.tasks}
    tails = {task.name: task.shortest_s for task in problem.tasks}
    edges = [arc for arc in problem.arcs if ORIGIN not in (arc.before, arc.after)]
    for _ in tails:
        changed = False
        for arc in edges:
            if tails[arc.after] + arc.weight_s > tails[arc.before]:
                tails[arc.before] = tails[arc.after] + arc.weight_s
                changed = True
        if not changed:
            break
    return {name: -tail for name, tail in tails.items()}

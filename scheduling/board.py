"""A plan in the making: where tasks stand, and where one more could go."""

from collections import defaultdict
from collections.abc import Container, Iterator
from dataclasses import dataclass

from scheduling.plan import Plan, Scheduled, keeps_apart
from scheduling.problem import Problem
from scheduling.tasks import ORIGIN, Apart, Hammock, Lag, Moment, Task
from scheduling.timeline import FAR_S, Timeline


@dataclass(frozen=True)
class _Use:
    """Where a task would take some of a resource; follows_s: how far its start is from there.

    None when the use begins at a fixed time, or ends at one, wherever the task goes.
    """

    resource: str
    demand: int
    start_s: int
    end_s: int
    start_follows_s: int | None
    end_follows_s: int | None


class Board:
    """Tasks are placed and taken up again; those of the plan are there from the beginning.

    movable: milestones that may come later. A hammock holds what it demands from its beginning
    on, without end as long as its last task is not placed.
    """

    def __init__(
        self, problem: Problem, plan: Plan | None = None, movable: Container[str] = ()
    ) -> None:
        self.tasks = problem.by_name
        self._problem = problem
        self._capacity = {resource.name: resource.capacity for resource in problem.resources}
        self._movable = movable
        self._lags: dict[str, list[Lag]] = defaultdict(list)
        self._aparts: dict[str, list[Apart]] = defaultdict(list)
        self._hammocks: dict[str, list[Hammock]] = defaultdict(list)
        self._milestones: dict[str, list[Task]] = defaultdict(list)  # by what they wait for
        for lag in problem.bounds:
            for name in {lag.before, lag.after}:
                self._lags[name].append(lag)
        for apart in problem.aparts:
            for name in {apart.first, apart.second}:
                self._aparts[name].append(apart)
        for hammock in problem.hammocks:
            for name in {hammock.first, hammock.last}:
                self._hammocks[name].append(hammock)
        for task in problem.tasks:
            for name in task.latest_of:
                self._milestones[name].append(task)
        self.clear()
        for slot in plan.tasks.values() if plan else ():
            self.place(slot)

    def plan(self) -> Plan:
        return Plan(dict(self._placed))

    def holds(self, name: str) -> bool:
        return name in self._placed

    def clear(self) -> None:
        self._placed: dict[str, Scheduled] = {}
        self._on = {name: Timeline() for name in self._capacity}
        self._held: dict[str, tuple[int, int]] = {}  # from when until when a hammock holds
        self._orders: dict[str, bool] = {}
        self._hold(ORIGIN)

    def place(self, slot: Scheduled) -> None:
        self._placed[slot.task] = slot
        for resource, demand in self.tasks[slot.task].modes[slot.mode].demands:
            self._on[resource].take(slot.start_s, slot.end_s, demand)
        self._hold(slot.task)
        self._decide_orders(slot)
        for milestone in self._milestones[slot.task]:
            if all(name in self._placed for name in milestone.latest_of):
                at_s = max(self._placed[name].end_s for name in milestone.latest_of)
                self._placed[milestone.name] = Scheduled(milestone.name, at_s, at_s)
                self._hold(milestone.name)

    def take_up(self, name: str) -> Scheduled:
        """Takes the task away from where it stood, which is given."""
        slot = self._placed.pop(name)
        for resource, demand in self.tasks[name].modes[slot.mode].demands:
            self._on[resource].take(slot.start_s, slot.end_s, -demand)
        self._hold(name)
        return slot

    def earliest(self, task: Task, mode: int, from_s: int) -> Scheduled:
        """The earliest place from from_s on; a most-lag that leaves none is not kept."""
        length = task.modes[mode].duration_s
        if task.pinned_s is not None:
            return Scheduled(task.name, task.pinned_s, task.pinned_s + length, mode)
        if task.latest_of:
            start = max(self._placed[name].end_s for name in task.latest_of)
            return Scheduled(task.name, start, start, mode)
        low, _ = self._window(task, length, mode)
        start = max(from_s, low, task.release_s)
        while True:
            slot = Scheduled(task.name, start, start + length, mode)
            start = self._no_earlier(slot)
            if start in (slot.start_s, FAR_S):  # when there is none, no later place is better
                return slot

    def latest(self, slot: Scheduled, later_s: int = FAR_S) -> Scheduled:
        """The latest place at most later_s after the slot's own, which it is when there is none."""
        task, length = self.tasks[slot.task], slot.end_s - slot.start_s
        if task.pinned_s is not None or task.latest_of:
            return slot
        _, start = self._window(task, length, slot.mode)
        if task.deadline_s is not None:
            start = min(start, task.deadline_s - length)
        last_s = max((other.end_s for other in self._placed.values()), default=0)
        start = min(start, last_s - length, slot.start_s + later_s)
        while start > slot.start_s:
            later = Scheduled(slot.task, start, start + length, slot.mode)
            start = self._no_later(later)
            if start == later.start_s:
                return later
        return slot

    def pushes(self, slot: Scheduled) -> list[tuple[str, int]]:
        """Each placed task that stands too early for this slot, and the start it needs at least.

        Where a task is pinned, or is as late as what it is a milestone of, nothing pushes it.
        """
        floors: dict[str, int] = {}
        for name, floor in (*self._pushed_by_lags(slot), *self._pushed_by_aparts(slot)):
            other = self._placed.get(name)
            if other is not None and other.start_s < floor:
                task = self.tasks[name]
                if task.pinned_s is None and not task.latest_of:
                    floors[name] = max(floor, floors.get(name, floor))
        return list(floors.items())

    def _pushed_by_lags(self, slot: Scheduled) -> Iterator[tuple[str, int]]:
        for lag in self._lags[slot.task]:
            if not self._applies(lag, slot):
                continue
            if lag.before == slot.task and lag.least_s is not None:
                name, moment = lag.after, lag.after_moment
                floor = slot.at(lag.before_moment) + lag.least_s
            elif lag.after == slot.task and lag.most_s is not None:
                name, moment = lag.before, lag.before_moment
                floor = slot.at(lag.after_moment) - lag.most_s
            else:
                continue
            other = self._placed.get(name)
            if other is not None:
                yield name, floor - (other.end_s - other.start_s if moment == "end" else 0)

    def _pushed_by_aparts(self, slot: Scheduled) -> Iterator[tuple[str, int]]:
        """What must come after the slot by the only order that is left, and does not; or the slot
        itself, when it has a place among each two of an order but not among all of them."""
        for apart in self._aparts[slot.task]:
            free_s = self._too_close(slot, apart)[1]
            if free_s < FAR_S:
                yield slot.task, free_s
                continue
            is_first = slot.task == apart.first
            gap_s = apart.first_gap_s if is_first else apart.second_gap_s
            if gap_s is not None:
                yield apart.second if is_first else apart.first, slot.end_s + gap_s

    def _window(self, task: Task, length: int, mode: int = 0) -> tuple[int, int]:
        """The earliest and latest start that the lags to what is placed leave."""
        low, high = 0, FAR_S
        slot = Scheduled(task.name, 0, length, mode)
        for lag in self._lags[task.name]:
            if not self._applies(lag, slot):
                continue
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
        for milestone in self._milestones[task.name]:
            if milestone.name in self._placed:
                at_s = self._placed[milestone.name].end_s
                if milestone.name in self._movable:
                    at_s = max(at_s, self._window(milestone, 0)[1])
                high = min(high, at_s - length)
        return low, high

    def _applies(self, lag: Lag, slot: Scheduled) -> bool:
        """Whether a lag of the slot's task holds in the modes that it and the other have."""
        after = slot if lag.after == slot.task else self._placed.get(lag.after)
        return after is None or lag.mode in (None, after.mode)

    def _at(self, name: str, moment: Moment) -> int | None:
        if name == ORIGIN:
            return 0
        return self._placed[name].at(moment) if name in self._placed else None

    # --- what stands in the way -----------------------------------------------------------------

    def _no_earlier(self, slot: Scheduled) -> int:
        """A start before which there is no place from the slot on; its own when it fits."""
        start = slot.start_s
        for use in self._uses(slot):
            room = self._capacity[use.resource] - use.demand
            over_s = self._on[use.resource].last_over(use.start_s, use.end_s, room)
            if over_s is not None:
                if use.start_follows_s is None:
                    return FAR_S
                start = max(start, over_s + use.start_follows_s)
        for apart in self._aparts[slot.task]:
            free_s = self._too_close(slot, apart)[1]
            if free_s < FAR_S:  # when the slot must go first, the other is what is too early
                start = max(start, free_s)
        return min(start, FAR_S)

    def _no_later(self, slot: Scheduled) -> int:
        """A start after which there is no place up to the slot; its own when it fits."""
        start, length = slot.start_s, slot.end_s - slot.start_s
        for use in self._uses(slot):
            room = self._capacity[use.resource] - use.demand
            over_s = self._on[use.resource].first_over(use.start_s, use.end_s, room)
            if over_s is not None:
                if use.end_follows_s is None:
                    return -FAR_S
                start = min(start, over_s + use.end_follows_s)
        for apart in self._aparts[slot.task]:
            start = min(start, self._too_close(slot, apart)[0] - length)
        return start

    def _uses(self, slot: Scheduled) -> Iterator[_Use]:
        """What the slot would take itself, and by the hammocks that it begins or ends."""
        start_s, end_s = slot.start_s, slot.end_s
        length = end_s - start_s
        if length:
            for resource, demand in self.tasks[slot.task].modes[slot.mode].demands:
                if demand:
                    yield _Use(resource, demand, start_s, end_s, 0, -length)
        for hammock in self._hammocks[slot.task]:
            if hammock.mode not in (None, slot.mode):  # its first and last are alike
                continue
            for resource, demand in hammock.demands:
                if hammock.last == slot.task:
                    from_s = self._at(hammock.first, hammock.first_moment)
                    if from_s is not None and from_s < end_s:  # it holds its own already
                        yield _Use(resource, 0, from_s, end_s, None, -length)
                else:
                    from_s = slot.at(hammock.first_moment)
                    until_s = self._at(hammock.last, "end")
                    until_s = FAR_S if until_s is None else until_s
                    if from_s < until_s:
                        yield _Use(resource, demand, from_s, until_s, start_s - from_s, None)

    def _hold(self, name: str) -> None:
        """Lets the hammocks that the task begins or ends hold what they should, as it now is."""
        for hammock in self._hammocks[name]:
            from_s, until_s = self._held.pop(hammock.name, (0, 0))
            for resource, demand in hammock.demands:
                self._on[resource].take(from_s, until_s, -demand)
            begins_s = self._at(hammock.first, hammock.first_moment)
            ends = [self._placed[n] for n in (hammock.first, hammock.last) if n in self._placed]
            if any(hammock.mode not in (None, slot.mode) for slot in ends):
                continue
            if begins_s is not None:
                ends_s = self._at(hammock.last, "end")
                self._held[hammock.name] = begins_s, FAR_S if ends_s is None else ends_s
                for resource, demand in hammock.demands:
                    self._on[resource].take(*self._held[hammock.name], demand)

    def _too_close(self, slot: Scheduled, apart: Apart) -> tuple[int, int]:
        """From when until when the apart bars the slot: not at all when it keeps its gap."""
        pair = self._pair(slot, apart)
        if pair is None or any(keeps_apart(apart, *pair, way) for way in self._ways(apart)):
            return slot.end_s, slot.start_s
        is_first = slot.task == apart.first
        other = pair[1] if is_first else pair[0]
        ahead_s, behind_s = apart.first_gap_s, apart.second_gap_s
        if not is_first:
            ahead_s, behind_s = behind_s, ahead_s
        ways = self._ways(apart)
        begin = other.start_s - ahead_s if ahead_s is not None and is_first in ways else -FAR_S
        end = other.end_s + behind_s if behind_s is not None and (not is_first) in ways else FAR_S
        return begin, end

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

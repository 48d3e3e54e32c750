"""Many cooks of one plan at once, by the rule that the live schedule itself goes by.

The rule is that of `scheduling.dispatch`: a step begins at its planned moment, or when the last
thing that keeps it from beginning has given way; of several that could, the one planned first.
The plan is not made anew on the way, as the live schedule's is, and what only the cook can see
before a step begins is taken as seen as soon as all else is ready.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from domain.menu import Follow, Step
from scheduling.dispatch import View, capacity, oven_of
from scheduling.queries import paused_s
from scheduling.timetable import (
    ATTENTION,
    ATTENTION_PER_COOK,
    WASH_UP,
    of_no_dish,
    oven_use,
    temperatures_meet,
)

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Rules:
    """What keeps n steps in order, as arrays; times are seconds from the view's now.

    keys: the n steps under way or still to begin, in the plan's order. planned (n): when each
    is to begin, its true beginning for one under way. under_way (n). ready, latest (n): what
    steps already over ask for. follows (n, n): [j, k] where k waits for j; least, most (n, n):
    from the end of j, minus and plus infinity for none. demands (n, r) of capacity (r).
    clash (n, n): two that cannot be in one oven.
    """

    keys: tuple[str, ...]
    planned: Floats
    under_way: Flags
    ready: Floats
    latest: Floats
    follows: Flags
    least: Floats
    most: Floats
    demands: Counts
    capacity: Counts
    clash: Flags


def rules_of(view: View) -> Rules:
    """The rules for what is under way or still to come; a pause is taken as over now."""
    steps = _in_order(view)
    keys = tuple(step.key for step in steps)
    follows, least, most = _gaps(view, steps)
    ready, latest = _gaps_since(view, steps)
    demands, there = _demands(view, steps)
    under_way = [view.state.steps[key].status == "running" for key in keys]
    return Rules(
        keys,
        np.array([_planned_at(view, key) - view.now for key in keys]),
        np.array(under_way, dtype=bool),
        ready,
        latest,
        follows,
        least,
        most,
        demands,
        there,
        np.array([[_clash(view, one, other) for other in steps] for one in steps], dtype=bool),
    )


def simulate(rules: Rules, lengths: Floats) -> tuple[Floats, Floats]:
    """When each step begins and ends in each run, (runs, n), seconds from now.

    lengths (runs, n): seconds. A step that nothing will ever let begin has infinite times.
    """
    if not rules.keys:
        return lengths, lengths
    runs = _Runs(rules, lengths)
    while runs.go_on():
        pass
    return runs.began, runs.ended


class _Runs:
    """The runs side by side, each at its own moment; every round moves each on by one event."""

    def __init__(self, rules: Rules, lengths: Floats) -> None:
        self.rules, self.lengths = rules, lengths
        shape = lengths.shape
        self.at = np.zeros(shape[0])
        self.waiting = np.broadcast_to(~rules.under_way, shape).copy()
        self.began = np.where(rules.under_way, rules.planned, np.inf) + np.zeros(shape)
        self.ended = np.full(shape, np.inf)
        self.ending = np.where(self.waiting, np.inf, np.maximum(self.began + lengths, 0.0))
        self.left = np.broadcast_to(rules.follows.sum(axis=0), shape).copy()
        self.ready = np.broadcast_to(rules.ready, shape).copy()
        self.latest = np.broadcast_to(rules.latest, shape).copy()
        taken = rules.demands[rules.under_way].sum(axis=0)
        self.spare = np.broadcast_to(rules.capacity - taken, (shape[0], len(taken))).copy()
        clashes = rules.clash[rules.under_way].sum(axis=0)
        self.clashes = np.broadcast_to(clashes, shape).copy()

    def go_on(self) -> bool:
        """One event in each run: an end, a beginning, or time that passes; False after the last."""
        next_end = self.ending.min(axis=1, initial=np.inf)
        in_turn = self.waiting & (self.left == 0)
        moment = np.maximum(np.minimum(self.rules.planned, self.latest), self.ready)
        free = in_turn & (moment <= self.at[:, None]) & (next_end > self.at)[:, None]
        free &= self._fits()
        begins = free.any(axis=1)
        later = np.where(in_turn & (moment > self.at[:, None]), moment, np.inf)
        next_at = np.minimum(next_end, later.min(axis=1, initial=np.inf))
        moves = ~begins & np.isfinite(next_at)
        self.at = np.where(moves, np.maximum(self.at, next_at), self.at)
        self._begin(np.flatnonzero(begins), free)
        self._end(np.flatnonzero(moves & (next_end <= self.at)))
        return bool((begins | moves).any())

    def _fits(self) -> Flags:
        """Hands, places and ovens are there for the step; what it does not need is no matter."""
        fits: Flags = self.clashes == 0
        for demand, spare in zip(self.rules.demands.T, self.spare.T, strict=True):
            fits &= demand <= np.maximum(spare, 0)[:, None]
        return fits

    def _begin(self, rows: npt.NDArray[np.intp], free: Flags) -> None:
        first = free[rows].argmax(axis=1)
        self.waiting[rows, first] = False
        self.began[rows, first] = self.at[rows]
        self.ending[rows, first] = self.at[rows] + self.lengths[rows, first]
        self.spare[rows] -= self.rules.demands[first]
        self.clashes[rows] += self.rules.clash[first]

    def _end(self, rows: npt.NDArray[np.intp]) -> None:
        which = self.ending[rows].argmin(axis=1)
        at = self.ending[rows, which]
        self.ended[rows, which], self.ending[rows, which] = at, np.inf
        self.left[rows] -= self.rules.follows[which]
        self.ready[rows] = np.maximum(self.ready[rows], at[:, None] + self.rules.least[which])
        self.latest[rows] = np.minimum(self.latest[rows], at[:, None] + self.rules.most[which])
        self.spare[rows] += self.rules.demands[which]
        self.clashes[rows] -= self.rules.clash[which]


# --- from a view to arrays ----------------------------------------------------------------------


def _in_order(view: View) -> list[Step]:
    """The steps under way and still to come, in the plan's order, no heating nor washing but
    what the plan has."""
    slots = view.timetable.slots
    steps = [
        step
        for key, step in view.steps.items()
        if not view.state.steps[key].over
        and (key in slots or view.state.steps[key].status == "running" or not view.of_no_dish(key))
    ]
    return sorted(steps, key=lambda step: (_planned_at(view, step.key), view.place(step.key)))


def _planned_at(view: View, key: str) -> float:
    """When a step began or is planned to begin, POSIX seconds; now where no plan says."""
    began_at, slot = view.state.steps[key].began_at, view.timetable.slots.get(key)
    if began_at is not None:
        return began_at
    return slot.start_at + paused_s(view) if slot else view.now


def _gaps(view: View, steps: list[Step]) -> tuple[Flags, Floats, Floats]:
    """Who waits for whom among these steps, their ovens' heating and washing up included."""
    index = {step.key: n for n, step in enumerate(steps)}
    shape = len(steps), len(steps)
    follows, least, most = np.zeros(shape, bool), np.full(shape, -np.inf), np.full(shape, np.inf)
    for k, step in enumerate(steps):
        first = (*_heated_by(view, step), *_washed_for(view, step))
        for follow in (*step.follows, *map(Follow, first)):
            if follow.step in index:
                j = index[follow.step]
                follows[j, k] = True
                least[j, k] = max(least[j, k], follow.least_s)
                most[j, k] = min(most[j, k], _most_s(step, follow))
    return follows, least, most


def _most_s(step: Step, follow: Follow) -> float:
    """The gap after which a step begins whatever the plan says: not one that needs hands."""
    pulls = follow.most_s is not None and step.attention != "hands-on"
    return float(follow.most_s) if pulls and follow.most_s is not None else np.inf


def _gaps_since(view: View, steps: list[Step]) -> tuple[Floats, Floats]:
    """From when, and until when at the latest, what is done already lets each step begin."""
    ready, latest = np.full(len(steps), -np.inf), np.full(len(steps), np.inf)
    for k, step in enumerate(steps):
        for follow in step.follows:
            before = view.state.steps.get(follow.step)
            if before is None or before.ended_at is None:
                continue
            since = before.ended_at - view.now
            latest[k] = min(latest[k], since + _most_s(step, follow))
            if before.status == "done":
                ready[k] = max(ready[k], since + follow.least_s)
    return ready, latest


def _heated_by(view: View, step: Step) -> Iterable[str]:
    """The heating, under way or planned before a step, that its oven has first."""
    use, slots = oven_use(step), view.timetable.slots
    if use is None or not use.count:
        return
    for key in view.steps:
        if not view.heats(key) or key not in slots or oven_of(view, key) != oven_of(view, step.key):
            continue
        if step.key in slots:
            if slots[key].end_at <= slots[step.key].start_at + 1:
                yield key
        elif view.state.steps[key].status == "running":
            yield key


def _washed_for(view: View, step: Step) -> Iterable[str]:
    """The washing planned before a step of what it uses; nobody has a piece from another dish's
    first use until then."""
    slots, used = view.timetable.slots, {use.what for use in step.uses}
    if step.key not in slots or of_no_dish(step):
        return
    for key, other in view.steps.items():
        washes = other.dish == WASH_UP and key in slots and other.uses[0].what in used
        if washes and slots[key].end_at <= slots[step.key].start_at + 1:
            yield key


def _demands(view: View, steps: list[Step]) -> tuple[Counts, Counts]:
    """What each step takes of hands, attention, rings, shelves and equipment, and what there is."""
    cooks = len(view.kitchen.cooks)
    there = {"hands": cooks, "attention": cooks * ATTENTION_PER_COOK}
    taken: list[dict[str, int]] = []
    for step in steps:
        attention = step.attention if _never_still(view, step.key) else "unattended"
        one = {"hands": int(attention == "hands-on"), "attention": ATTENTION[attention]}
        for use in step.uses:
            what = f"oven {oven_of(view, step.key)}" if use.what == "oven" else f"a {use.what}"
            there[what] = capacity(view, use.what, step.key)
            one[what] = one.get(what, 0) + use.count
        taken.append(one)
    demands = [[one.get(what, 0) for what in there] for one in taken]
    shape = len(steps), len(there)
    return np.array(demands, dtype=np.int64).reshape(shape), np.array([*there.values()])


def _never_still(view: View, key: str) -> bool:
    """False for a step that is broken off: a simplification, it then keeps nothing else waiting."""
    slot = view.timetable.slots.get(key)
    return view.state.steps[key].put_down_at is None and not (slot and slot.breaks)


def _clash(view: View, one: Step, other: Step) -> bool:
    """The two want one oven at different temperatures."""
    a, b = oven_use(one), oven_use(other)
    if one is other or a is None or b is None:
        return False
    return oven_of(view, one.key) == oven_of(view, other.key) and not temperatures_meet(a, b)

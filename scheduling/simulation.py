"""Many cooks of one plan at once, by the rule that the live schedule itself goes by.

The rule is that of `scheduling.dispatch`: a step begins at its planned moment, or when the last
thing that keeps it from beginning has given way; of several that could, the one planned first.
The plan is not made anew on the way, as the live schedule's is, and what only the cook can see
before a step begins is taken as seen as soon as all else is ready.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from domain.menu import Follow, Moment, Step
from scheduling.queries import paused_s
from scheduling.timetable import (
    ATTENTION,
    ATTENTION_PER_COOK,
    WASH_UP,
    of_no_dish,
    oven_use,
    temperatures_meet,
)
from scheduling.view import View, capacity, oven_of

Floats = npt.NDArray[np.float64]
Counts = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Gaps:
    """From one moment of each step j to the beginning of each k, (n, n), [j, k].

    waits: k waits for that moment. least, most: seconds, minus and plus infinity for none.
    """

    waits: Flags
    least: Floats
    most: Floats


@dataclass(frozen=True)
class ToEnd:
    """Step number `after` begins no sooner than lag_s after the moment of number `before`, as far
    as that is known or expected: its end then meets the gap."""

    before: int
    after: int
    since: Moment
    lag_s: float


@dataclass(frozen=True)
class Rules:
    """What keeps n steps in order, as arrays; times are seconds from the view's now.

    keys: the n steps under way or still to begin, in the plan's order. planned (n): when each
    is to begin, its true beginning for one under way; planned_end (n). likely (n): how long each
    should take. under_way (n). ready, latest (n): what moments already past ask for. since_start
    (None for no gaps), since_end: from these moments of each step on. to_end: gaps to ends.
    demands (n, r) of capacity (r). clash (n, n): two that cannot be in one oven.
    """

    keys: tuple[str, ...]
    planned: Floats
    planned_end: Floats
    likely: Floats
    under_way: Flags
    ready: Floats
    latest: Floats
    since_start: Gaps | None
    since_end: Gaps
    to_end: tuple[ToEnd, ...]
    demands: Counts
    capacity: Counts
    clash: Flags


def rules_of(view: View) -> Rules:
    """The rules for what is under way or still to come; a pause is taken as over now."""
    steps = _in_order(view)
    keys = tuple(step.key for step in steps)
    ready, latest = _gaps_since(view, steps)
    demands, there = _demands(view, steps)
    under_way = [view.state.steps[key].status == "running" for key in keys]
    staggered = any(follow.since == "start" for step in steps for follow in step.follows)
    return Rules(
        keys,
        planned=np.array([_planned_at(view, key) - view.now for key in keys]),
        planned_end=np.array([_planned_end(view, key) - view.now for key in keys]),
        likely=np.array([view.likely_s(key) for key in keys]),
        under_way=np.array(under_way, dtype=bool),
        ready=ready,
        latest=latest,
        since_start=_gaps(view, steps, "start") if staggered else None,
        since_end=_gaps(view, steps, "end"),
        to_end=tuple(_gaps_to_ends(view, steps)),
        demands=demands,
        capacity=there,
        clash=np.array(
            [[_clash(view, one, other) for other in steps] for one in steps], dtype=bool
        ),
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
        left = rules.since_end.waits.sum(axis=0)
        if rules.since_start:
            left = left + rules.since_start.waits[~rules.under_way].sum(axis=0)
        self.left = np.broadcast_to(left, shape).copy()
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
        moment = self._moments()
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

    def _moments(self) -> Floats:
        """When each step is to begin, as far as its gaps and the plan tell."""
        moment = np.maximum(np.minimum(self.rules.planned, self.latest), self.ready)
        for gap in self.rules.to_end:
            first = self._expected(gap.before, gap.since) + gap.lag_s
            moment[:, gap.after] = np.maximum(moment[:, gap.after], first)
        return moment

    def _expected(self, which: int, moment: Moment) -> Floats:
        """When a step began or ended in each run, or should by its time and the plan."""
        began, ended = self.began[:, which], self.ended[:, which]
        if moment == "start":
            return np.where(np.isfinite(began), began, self.rules.planned[which])
        due = np.where(np.isfinite(began), began + self.rules.likely[which], -np.inf)
        due = np.maximum(due, self.rules.planned_end[which])
        return np.where(np.isfinite(ended), ended, due)

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
        if self.rules.since_start:
            self._let(rows, first, self.at[rows], self.rules.since_start)

    def _end(self, rows: npt.NDArray[np.intp]) -> None:
        which = self.ending[rows].argmin(axis=1)
        at = self.ending[rows, which]
        self.ended[rows, which], self.ending[rows, which] = at, np.inf
        self._let(rows, which, at, self.rules.since_end)
        self.spare[rows] += self.rules.demands[which]
        self.clashes[rows] -= self.rules.clash[which]

    def _let(
        self, rows: npt.NDArray[np.intp], which: npt.NDArray[np.intp], at: Floats, gaps: Gaps
    ) -> None:
        """The moment has come that others wait for: their gaps are counted from it."""
        self.left[rows] -= gaps.waits[which]
        self.ready[rows] = np.maximum(self.ready[rows], at[:, None] + gaps.least[which])
        self.latest[rows] = np.minimum(self.latest[rows], at[:, None] + gaps.most[which])


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


def _planned_end(view: View, key: str) -> float:
    """When a step is expected to end as things stand, POSIX seconds."""
    end = view.expected(key, "end")
    return _planned_at(view, key) + view.likely_s(key) if end is None else end


def _gaps(view: View, steps: list[Step], since: Moment) -> Gaps:
    """Who waits for this moment of whom among these steps, heating and washing up included."""
    index = {step.key: n for n, step in enumerate(steps)}
    shape = len(steps), len(steps)
    waits, least, most = np.zeros(shape, bool), np.full(shape, -np.inf), np.full(shape, np.inf)
    for k, step in enumerate(steps):
        first = (*_heated_by(view, step), *_washed_for(view, step))
        for follow in (*step.follows, *map(Follow, first)):
            if follow.step in index and follow.since == since:
                j = index[follow.step]
                if follow.until == "start":
                    waits[j, k] = True
                    least[j, k] = max(least[j, k], follow.least_s)
                most[j, k] = min(most[j, k], _most_s(view, step, follow))
    return Gaps(waits, least, most)


def _gaps_to_ends(view: View, steps: list[Step]) -> Iterator[ToEnd]:
    """The gaps to the ends of these steps, from moments of others of them."""
    index = {step.key: n for n, step in enumerate(steps)}
    for k, step in enumerate(steps):
        for follow in step.follows:
            if follow.until == "end" and follow.step in index:
                lag_s = follow.least_s - view.lead_s(step.key, follow)
                yield ToEnd(index[follow.step], k, follow.since, lag_s)


def _most_s(view: View, step: Step, follow: Follow) -> float:
    """The gap after which a step begins whatever the plan says: not one that needs hands."""
    if follow.most_s is None or step.attention == "hands-on":
        return np.inf
    return follow.most_s - view.lead_s(step.key, follow)


def _gaps_since(view: View, steps: list[Step]) -> tuple[Floats, Floats]:
    """From when, and until when at the latest, what is done already lets each step begin."""
    ready, latest = np.full(len(steps), -np.inf), np.full(len(steps), np.inf)
    for k, step in enumerate(steps):
        for follow in step.follows:
            before = view.state.steps.get(follow.step)
            since = before.at(follow.since) if before else None
            if before is None or since is None:
                continue
            latest[k] = min(latest[k], since - view.now + _most_s(view, step, follow))
            ready[k] = max(ready[k], view.first_by(step.key, follow) - view.now)
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

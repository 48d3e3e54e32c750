"""What can wait, and whether a step can begin now: pure functions on a `View`.

Times are POSIX seconds, spans are seconds.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from domain.menu import Moment, Step
from scheduling.obstacles import Obstacle, obstacles
from scheduling.queries import left_to_do, ready_at, serve_at, service_at, starts_at
from scheduling.refusals import called
from scheduling.view import View, capacity, oven_of


def slack(view: View) -> dict[str, float]:
    """How much longer or later each unfinished step may be without moving service, seconds.

    The plan's order is kept: a step gives way to what follows it, and to what next takes the
    same cook, oven, piece of equipment or (when all are taken) ring. The target is the moment
    the dish is served, by the wanted service if that is later than the planned one. Not counted:
    most gaps and holds, which only starting too early can break.
    """
    spare = max(0.0, (view.state.wanted_at or 0.0) - service_at(view))
    due = {dish.name: serve_at(view, dish.name) + spare for dish in view.menu.dishes}
    left = left_to_do(view)
    begin = {step.key: starts_at(view, step.key) for step in left}
    end = {step.key: ready_at(view, step.key) or view.now for step in left}
    latest: dict[str, float] = {}
    in_order = sorted(left, key=lambda s: (end[s.key], begin[s.key]), reverse=True)
    in_turn = all(follow.in_turn for step in left for follow in step.follows)
    for _ in range(1 if in_turn else ROUNDS):
        for step in in_order:
            bounds = [due.get(step.dish, max(due.values()))]
            for after in left:
                if after.key not in latest or after.key == step.key:
                    continue
                ends_by = latest[after.key]
                begins_by = ends_by - (end[after.key] - begin[after.key])
                bounds += _bounds(step, after, begins_by, ends_by, end[step.key] - begin[step.key])
                if end[step.key] <= begin[after.key] and contend(view, step, after, begin, end):
                    bounds.append(begins_by)
            latest[step.key] = min(bounds)
    return {key: latest[key] - end[key] for key in begin}


def _bounds(
    step: Step, after: Step, begins_by: float, ends_by: float, length_s: float
) -> Iterator[float]:
    """When a step must end by the gaps from it to one that begins and ends by these moments."""
    for follow in after.follows:
        if follow.step == step.key:
            by = (ends_by if follow.until == "end" else begins_by) - follow.least_s
            yield by + length_s if follow.since == "start" else by


def contend(
    view: View, one: Step, after: Step, begin: dict[str, float], end: dict[str, float]
) -> bool:
    """If `one` ran on, `after` would have to wait for it."""
    one_slot, after_slot = view.timetable.slots.get(one.key), view.timetable.slots.get(after.key)
    if one.attention == after.attention == "hands-on":
        return not (one_slot and after_slot) or one_slot.cook == after_slot.cook
    for what in {use.what for use in one.uses} & {use.what for use in after.uses}:
        if what == "oven" and oven_of(view, one.key) != oven_of(view, after.key):
            continue
        at = begin[after.key]
        taken = sum(
            use.count
            for key, step in view.steps.items()
            if key == one.key or (key in begin and begin[key] <= at < end[key])
            for use in step.uses
            if use.what == what
        )
        if taken > capacity(view, what, after.key):
            return True
    return False


# Of gaps from a start or to an end, what comes after may end first: then one round is not enough.
ROUNDS = 3


@dataclass(frozen=True)
class CanStart:
    """Whether a step can begin now. obstacles: what keeps it from that.

    early_s: how long before its planned moment that would be. waits_s: how much longer than
    it may, the finished dish (or the step's result) would wait. delays_s: how much later
    service would be, because the step takes a cook or a place that others need first. why:
    in kitchen words, "" when there is nothing against it.
    """

    yes: bool
    obstacles: tuple[Obstacle, ...] = ()
    early_s: float = 0.0
    waits_s: float = 0.0
    delays_s: float = 0.0
    why: str = ""

    @property
    def hurts(self) -> bool:
        return self.waits_s > 0 or self.delays_s > 0


def can_start(view: View, key: str) -> CanStart:
    """Whether a step can begin now, why not, and whether it would hurt. Raises KeyError."""
    step, standing = view.steps[key], view.state.steps[key]
    if standing.status != "waiting":
        how = {"running": "is already under way", "done": "is already done"}
        return CanStart(
            False, why=f"{called(step)} {how.get(standing.status, 'has been left out')}"
        )
    found = tuple(obstacles(view, key, view.now))
    if found:
        return CanStart(False, found, why=", and ".join(_reason(view, o) for o in found))
    early = starts_at(view, key) - view.now
    waits, delays = _waits_s(view, step), _delays_s(view, step)
    against = []
    if waits > 0:
        against.append(f"it would wait {_minutes(waits)} longer than it keeps well")
    if delays > 0:
        against.append(f"we would eat {_minutes(delays)} later")
    return CanStart(True, (), early, waits, delays, ", and ".join(against))


def _length(view: View, step: Step) -> float:
    return (ready_at(view, step.key) or view.now) - starts_at(view, step.key)


def _waits_s(view: View, step: Step) -> float:
    """How far a start now overruns what may lie between this step and what comes after it."""
    end = view.now + _length(view, step)
    over = [
        _moment(view, after.key, follow.until)
        - (view.now if follow.since == "start" else end)
        - follow.most_s
        for after in left_to_do(view)
        for follow in after.follows
        if follow.step == step.key and follow.most_s is not None
    ]
    if step.dish in {dish.name for dish in view.menu.dishes}:
        dish = view.menu.dish(step.dish)
        others = [s for s in dish.steps if s.key != step.key]
        if all(view.state.steps[s.key].over for s in others):
            over.append(serve_at(view, dish.name) - end - dish.hold_s)
    return max(0.0, *over) if over else 0.0


def _moment(view: View, key: str, moment: Moment) -> float:
    return starts_at(view, key) if moment == "start" else ready_at(view, key) or view.now


def _delays_s(view: View, step: Step) -> float:
    """How far a start now pushes others beyond what they can give way."""
    spare = slack(view)
    left = left_to_do(view)
    begin = {other.key: starts_at(view, other.key) for other in left}
    end = {other.key: begin[other.key] + _length(view, other) for other in left}
    begin[step.key], end[step.key] = view.now, view.now + _length(view, step)
    pushed = [
        end[step.key] - begin[other.key] - spare[other.key]
        for other in left
        if other.key != step.key
        and view.now <= begin[other.key] < end[step.key]
        and view.state.steps[other.key].status == "waiting"
        and contend(view, step, other, begin, end)
    ]
    return max(0.0, *pushed) if pushed else 0.0


def _reason(view: View, obstacle: Obstacle) -> str:
    takers = " and ".join(called(view.steps[key]) for key in obstacle.by)
    what = obstacle.what
    if obstacle.kind == "paused":
        return "we are paused"
    if obstacle.kind == "gate":
        return f"we wait until {what}"
    if obstacle.kind == "cook":
        return f"your hands are busy with {takers}"
    if obstacle.kind in ("step", "gap"):
        return _order_reason(view, obstacle)
    if not obstacle.by:
        return f"there is no {what} for it"
    if obstacle.kind == "ring":
        return f"every ring is taken: {takers}"
    return f"the {what} is taken by {takers}"


def _order_reason(view: View, obstacle: Obstacle) -> str:
    follow, before = obstacle.follow, called(view.steps[obstacle.what])
    since_start = follow is not None and follow.since == "start"
    if obstacle.kind == "step":
        return f"it waits for {before}{' to begin' if since_start else ''}"
    left = _minutes((obstacle.until or view.now) - view.now)
    if follow is not None and follow.until == "end":
        whose = "the start of " if since_start else ""
        return f"it would be done {left} too soon after {whose}{before}"
    return f"it has to wait {left} more after {before}{' began' if since_start else ''}"


def _minutes(seconds: float) -> str:
    count = max(1, round(seconds / 60))
    return "1 minute" if count == 1 else f"{count} minutes"

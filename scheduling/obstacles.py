"""What keeps a step from beginning now."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from domain.menu import Follow, Use
from scheduling.timetable import (
    ATTENTION,
    ATTENTION_PER_COOK,
    of_no_dish,
    oven_use,
    temperatures_meet,
)
from scheduling.view import View, capacity, oven_of

ObstacleKind = Literal["step", "gap", "gate", "ring", "oven", "equipment", "cook", "paused"]


@dataclass(frozen=True)
class Obstacle:
    """One thing that keeps a step from beginning.

    what: a step's key, an oven's or a piece of equipment's name, or the gate as shown.
    until: when it should be out of the way, POSIX seconds; None when only the cook can tell.
    by: the keys of the running steps that take it up. follow: the gap, of a step or a gap.
    """

    kind: ObstacleKind
    what: str
    until: float | None = None
    by: tuple[str, ...] = ()
    follow: Follow | None = None


def obstacles(view: View, key: str, at: float) -> list[Obstacle]:
    """What keeps a waiting step from beginning at this moment (POSIX seconds)."""
    return [
        *_order_obstacles(view, key, at),
        *_cook_obstacles(view, key, at),
        *_place_obstacles(view, key),
        *_dirty_obstacles(view, key),
    ]


def _order_obstacles(view: View, key: str, at: float) -> Iterator[Obstacle]:
    step, standing = view.steps[key], view.state.steps[key]
    if view.state.paused_at is not None:
        yield Obstacle("paused", "")
    for follow in step.follows:
        before = view.state.steps.get(follow.step)
        if before is None or before.status == "skipped":
            continue
        first = view.first_by(key, follow)
        if not view.state.lets(follow):
            until = view.end_of(follow.step) if before.status == "running" else None
            yield Obstacle("step", follow.step, until, follow=follow)
        elif first > at:
            yield Obstacle("gap", follow.step, first, follow=follow)
    if step.gate and step.gate.moment == "start" and standing.gate_seen_at is None:
        yield Obstacle("gate", step.gate.shown)


def _cook_obstacles(view: View, key: str, at: float) -> Iterator[Obstacle]:
    """Two hands-on steps do not overlap on one cook, and a cook watches only so much.

    What lies still takes nothing of a cook.
    """
    step, cooks = view.steps[key], len(view.kitchen.cooks)
    if not ATTENTION[step.attention]:
        return
    busy_with = [other for other in view.running() if ATTENTION[other.attention]]
    at_work = [other for other in busy_with if not view.in_break(other.key, at)]
    hands = [other.key for other in at_work if other.attention == "hands-on"]
    taken = sum(ATTENTION[other.attention] for other in at_work) + ATTENTION[step.attention]
    no_hand = step.attention == "hands-on" and len(hands) >= cooks
    if no_hand or taken > cooks * ATTENTION_PER_COOK:
        busy = hands if no_hand else [other.key for other in at_work]
        yield Obstacle("cook", "", min(map(view.end_of, busy), default=None), tuple(busy))


def _place_obstacles(view: View, key: str) -> Iterator[Obstacle]:
    for use in view.steps[key].uses:
        if use.what == "oven":
            yield from _oven_obstacles(view, key, use)
            continue
        takers = [
            (step.key, other.count)
            for step in view.running()
            for other in step.uses
            if other.what == use.what and step.key != key
        ]
        if sum(count for _, count in takers) + use.count > capacity(view, use.what, key):
            keys = tuple(taker for taker, _ in takers)
            free = min(map(view.end_of, keys), default=None)
            yield Obstacle("ring" if use.what == "ring" else "equipment", use.what, free, keys)


def _dirty_obstacles(view: View, key: str) -> Iterator[Obstacle]:
    """What other dishes have used is washed first, where there is no other clean one."""
    step = view.steps[key]
    if of_no_dish(step):
        return
    for use in step.uses:
        mine = [w for w in view.dirty if w.piece == use.what and key in w.keys]
        others = [w for w in view.dirty if w.piece == use.what and w not in mine]
        if mine or sum(w.count for w in others) + use.count <= capacity(view, use.what, key):
            continue
        for wash in others:
            running = view.state.steps[wash.key].status == "running"
            yield Obstacle("step", wash.key, view.end_of(wash.key) if running else None)


def _oven_obstacles(view: View, key: str, use: Use) -> Iterator[Obstacle]:
    """An oven has one temperature at a time and so many shelves, and has to be hot first."""
    name = oven_of(view, key)
    inside = [
        (step.key, other)
        for step in view.running()
        if (other := oven_use(step)) and step.key != key and oven_of(view, step.key) == name
    ]
    heating = _heating_before(view, key, name) if use.count else []
    clash = tuple(taker for taker, other in inside if not temperatures_meet(use, other))
    full = sum(u.count for _, u in inside) + use.count > capacity(view, "oven", key)
    if heating or clash or full:
        keys = tuple(heating) or clash or tuple(taker for taker, _ in inside)
        known = [view.end_of(k) for k in keys if view.state.steps[k].status == "running"]
        pick = min if full and not clash else max
        yield Obstacle("oven", name or "oven", pick(known, default=None), keys)


def _heating_before(view: View, key: str, oven: str | None) -> list[str]:
    """The heating, under way or still to come, that a step in this oven waits for."""
    slots = view.timetable.slots
    return [
        other
        for other, standing in view.state.steps.items()
        if not standing.over
        and view.heats(other)
        and other in slots
        and oven_of(view, other) == oven
        and (key not in slots or slots[other].end_at <= slots[key].start_at + 1)
        and (standing.status == "running" or key in slots)
    ]

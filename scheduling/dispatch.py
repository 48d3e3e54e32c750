"""What may begin and what the clock alone begins and ends, by the plan and its limits."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from domain.kitchen import Kitchen
from domain.menu import Menu, Step, Use
from scheduling.compose import Timetable
from scheduling.events import Event, State, ends_by_clock, expected_end, planned_end
from scheduling.live import take


@dataclass(frozen=True)
class View:
    """The live schedule at one moment; every answer is a query on it.

    menu: as loaded; kitchen: with what was reported lost or gained; steps: by key, those that
    heat ovens included; now, first_service_at: POSIX seconds, the latter as first planned;
    why_not: why no plan holds any more, in kitchen words, empty while one does.
    """

    menu: Menu
    kitchen: Kitchen
    steps: Mapping[str, Step]
    state: State
    timetable: Timetable
    now: float
    first_service_at: float
    why_not: tuple[str, ...] = field(default=())

    def running(self) -> list[Step]:
        """The steps under way, in order of their beginning."""
        under_way = [k for k, s in self.state.steps.items() if s.status == "running"]
        return [
            self.steps[key]
            for key in sorted(under_way, key=lambda k: self.state.steps[k].began_at or 0.0)
        ]

    def end_of(self, key: str) -> float:
        """When a running step will probably end, POSIX seconds."""
        return expected_end(self.steps[key], self.state.steps[key], self.now)

    def planned_end_of(self, key: str) -> float:
        """When a running step should end by its time alone, POSIX seconds; may be past."""
        return planned_end(self.steps[key], self.state.steps[key])


ObstacleKind = Literal["step", "gap", "gate", "ring", "oven", "equipment", "cook", "paused"]


@dataclass(frozen=True)
class Obstacle:
    """One thing that keeps a step from beginning.

    what: a step's key, an oven's or a piece of equipment's name, or the gate as shown.
    until: when it should be out of the way, POSIX seconds; None when only the cook can tell.
    by: the keys of the running steps that take it up.
    """

    kind: ObstacleKind
    what: str
    until: float | None = None
    by: tuple[str, ...] = ()


def obstacles(view: View, key: str, at: float) -> list[Obstacle]:
    """What keeps a waiting step from beginning at this moment (POSIX seconds)."""
    return [
        *_order_obstacles(view, key, at),
        *_cook_obstacles(view, key),
        *_place_obstacles(view, key),
    ]


def _order_obstacles(view: View, key: str, at: float) -> Iterator[Obstacle]:
    step, standing = view.steps[key], view.state.steps[key]
    if view.state.paused_at is not None:
        yield Obstacle("paused", "")
    for follow in step.follows:
        before = view.state.steps.get(follow.step)
        if before is None or before.status == "skipped":
            continue
        if before.status != "done":
            until = view.end_of(follow.step) if before.status == "running" else None
            yield Obstacle("step", follow.step, until)
        elif before.ended_at is not None and before.ended_at + follow.least_s > at:
            yield Obstacle("gap", follow.step, before.ended_at + follow.least_s)
    if step.gate and step.gate.moment == "start" and standing.gate_seen_at is None:
        yield Obstacle("gate", step.gate.shown)


def _cook_obstacles(view: View, key: str) -> Iterator[Obstacle]:
    """Two hands-on steps do not overlap on one cook; watching leaves the hands free."""
    if view.steps[key].attention != "hands-on":
        return
    busy = [s.key for s in view.running() if s.attention == "hands-on"]
    if len(busy) >= len(view.kitchen.cooks):
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


def oven_of(view: View, key: str) -> str | None:
    """The name of the oven that the plan gives a step; the first one where it says nothing."""
    slot = view.timetable.slots.get(key)
    if slot and slot.oven:
        return slot.oven
    return view.kitchen.ovens[0].name if view.kitchen.ovens else None


def capacity(view: View, what: str, key: str) -> int:
    """How many rings, pieces, or shelves of the step's oven there are."""
    if what == "ring":
        return view.kitchen.rings
    if what == "oven":
        name = oven_of(view, key)
        return next((oven.shelves for oven in view.kitchen.ovens if oven.name == name), 0)
    return view.kitchen.equipment.get(what, 0)


def _oven_obstacles(view: View, key: str, use: Use) -> Iterator[Obstacle]:
    """An oven has one temperature at a time and so many shelves."""
    name = oven_of(view, key)
    inside = [
        (step.key, other)
        for step in view.running()
        for other in step.uses
        if other.what == "oven" and step.key != key and oven_of(view, step.key) == name
    ]
    clash = tuple(taker for taker, other in inside if not _agree(use, other))
    full = sum(u.count for _, u in inside) + use.count > capacity(view, "oven", key)
    if clash or full:
        keys = clash or tuple(taker for taker, _ in inside)
        pick = max if clash else min
        yield Obstacle("oven", name or "oven", pick(map(view.end_of, keys), default=None), keys)


def _agree(one: Use, other: Use) -> bool:
    """Two uses of an oven stand each other's temperature."""
    if one.celsius is None or other.celsius is None:
        return True
    return abs(one.celsius - other.celsius) <= min(one.tolerance, other.tolerance)


def due_events(view: View) -> list[Event]:
    """What the clock ends and begins up to view.now, in order: nothing before the cook starts.

    Ends are those of steps that need no word of the cook; beginnings are those whose planned
    moment has come and that nothing keeps from beginning.
    """
    events: list[Event] = []
    if view.state.started_at is None:
        return events
    while True:
        due = min((*_endings(view), *_beginnings(view)), key=_by_time, default=None)
        if due is None:
            return events
        events.append(due)
        view = replace(view, state=take(view.steps, view.state, due))


def _by_time(event: Event) -> tuple[float, bool, str]:
    return event.at, event.kind == "began", event.subject


def _endings(view: View) -> Iterator[Event]:
    for step in view.running():
        if ends_by_clock(step):
            end = planned_end(step, view.state.steps[step.key])
            if end <= view.now:
                yield Event(end, "finished", step.key, by="clock")


def _beginnings(view: View) -> Iterator[Event]:
    for slot in view.timetable.slots.values():
        standing = view.state.steps.get(slot.key)
        if standing is None or standing.status != "waiting" or slot.start_at > view.now:
            continue
        at = _first_moment(view, slot.key, slot.start_at)
        if at <= view.now and not obstacles(view, slot.key, at):
            yield Event(at, "began", slot.key, by="clock")


def _first_moment(view: View, key: str, planned_at: float) -> float:
    """The planned moment, or when the last thing that kept the step from beginning gave way."""
    step, states = view.steps[key], view.state.steps
    moments = [planned_at, states[key].gate_seen_at or planned_at]
    for follow in step.follows:
        before = states.get(follow.step)
        if before and before.status == "done" and before.ended_at is not None:
            moments.append(before.ended_at + follow.least_s)
    for other in view.steps.values():
        ended_at = states[other.key].ended_at
        if ended_at is not None and _share(step, other):
            moments.append(ended_at)
    return max(moments)


def _share(one: Step, other: Step) -> bool:
    """The two steps take the same hands or the same place."""
    if one.attention == other.attention == "hands-on":
        return True
    return bool({use.what for use in one.uses} & {use.what for use in other.uses})

"""What may begin and what the clock alone begins and ends, by the plan and its limits."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import Literal

from domain.kitchen import Kitchen
from domain.menu import Follow, Menu, Moment, Step, Use
from scheduling.events import Event, State, ends_by_clock, planned_end
from scheduling.hands import in_hand
from scheduling.live import take
from scheduling.timetable import (
    ATTENTION,
    ATTENTION_PER_COOK,
    Progress,
    Timetable,
    is_heating,
    of_no_dish,
    oven_use,
    temperatures_meet,
)
from scheduling.washing import Wash, washes


@dataclass(frozen=True)
class View:
    """The live schedule at one moment; every answer is a query on it.

    menu: with what was added; kitchen: with what was reported lost or gained; steps: by key,
    those that heat ovens included; now, first_service_at: POSIX seconds, the latter as first
    planned; why_not: why no plan holds any more, in kitchen words, empty while one does.
    """

    menu: Menu
    kitchen: Kitchen
    steps: Mapping[str, Step]
    state: State
    timetable: Timetable
    now: float
    first_service_at: float
    why_not: tuple[str, ...] = field(default=())

    def heats(self, key: str) -> bool:
        """True for a step that is not of a dish but heats an oven."""
        return is_heating(self.steps[key])

    def of_no_dish(self, key: str) -> bool:
        """True for a step that heats an oven or washes up: needed only where the plan has it."""
        return of_no_dish(self.steps[key])

    @cached_property
    def dirty(self) -> tuple[Wash, ...]:
        """What dishes that have begun keep, or have left, to be washed before another has it."""
        if not self.menu.wash_up:
            return ()
        times = {
            status: {
                key: (standing.began_at or self.now, standing.ended_at or self.now)
                for key, standing in self.state.steps.items()
                if standing.status == status
            }
            for status in ("done", "running")
        }
        skipped = frozenset(k for k, s in self.state.steps.items() if s.status == "skipped")
        so_far = Progress(times["done"], times["running"], skipped, self.state.dropped)
        return tuple(w for w in washes(self.menu, so_far, self.kitchen.equipment) if w.begun)

    def running(self) -> list[Step]:
        """The steps under way, in order of their beginning."""
        under_way = [k for k, s in self.state.steps.items() if s.status == "running"]
        return [
            self.steps[key]
            for key in sorted(under_way, key=lambda k: self.state.steps[k].began_at or 0.0)
        ]

    def end_of(self, key: str) -> float:
        """When a running step will probably end, POSIX seconds; never before now.

        Once it is overdue that is what the plan has since allowed it.
        """
        planned, slot = self.planned_end_of(key), self.timetable.slots.get(key)
        if planned > self.now or slot is None:
            return max(planned, self.now)
        return max(slot.end_at, self.now)

    def planned_end_of(self, key: str) -> float:
        """When a running step should end by its time and the plan's breaks, POSIX seconds.

        It may be past. One that was put down goes on once the work it was put down for is over.
        """
        standing = self.state.steps[key]
        planned = planned_end(self.steps[key], standing)
        if standing.put_down_at is None:
            return planned + self.breaks_to_come_s(key)
        if standing.aside:
            slot = self.timetable.slots.get(key)
            goes_on_at = slot.stretches[-1][0] if slot and slot.breaks else self.now
            return max(goes_on_at, self.now) + planned - standing.put_down_at
        meanwhile = [k for k in in_hand(self.steps, self.state) if self.state.steps[k].moves]
        free_at = max(map(self.end_of, meanwhile), default=self.now)
        return free_at + planned - standing.put_down_at

    def likely_s(self, key: str) -> float:
        """How long a step that waits will probably take, with the plan's breaks, seconds."""
        slot = self.timetable.slots.get(key)
        if slot:
            return slot.end_at - slot.start_at
        return self.steps[key].duration.likely_s + self.state.steps[key].extra_s

    def expected(self, key: str, moment: Moment) -> float | None:
        """When a step began or ended, or will by its time and the plan, POSIX seconds; it may be
        past. None where no plan says."""
        standing, slot = self.state.steps[key], self.timetable.slots.get(key)
        known = standing.at(moment)
        if known is not None:
            return known
        if standing.status == "running":
            planned = self.planned_end_of(key)
            return max(planned, slot.end_at) if slot else planned
        return slot.at(moment) if slot else None

    def lead_s(self, key: str, follow: Follow) -> float:
        """How long before the moment that a gap is to this step begins, seconds."""
        return self.likely_s(key) if follow.until == "end" else 0.0

    def first_by(self, key: str, follow: Follow) -> float:
        """When a step that waits may begin at the soonest by one of its gaps, POSIX seconds.

        Minus infinity when nothing is left to wait for, or nothing tells for how long. A gap to
        the step's end is met by its likely end, from when the plan expects the step before.
        """
        before = self.state.steps.get(follow.step)
        if before is None or before.status == "skipped":
            return -math.inf
        since = self.expected(follow.step, follow.since)
        return -math.inf if since is None else since + follow.least_s - self.lead_s(key, follow)

    def breaks_to_come_s(self, key: str) -> float:
        """How long the plan will yet have a step lie still, seconds."""
        slot = self.timetable.slots.get(key)
        breaks = slot.breaks if slot else ()
        return sum(max(0.0, until - max(since, self.now)) for since, until in breaks)

    def in_break(self, key: str, at: float) -> bool:
        """True when a step under way lies still, or the plan has it lie still then."""
        slot = self.timetable.slots.get(key)
        breaks = slot.breaks if slot else ()
        down = self.state.steps[key].put_down_at is not None
        return down or any(since <= at < until for since, until in breaks)

    @cached_property
    def order(self) -> Mapping[str, int]:
        """The place of each step in the plan's order."""
        return {key: place for place, key in enumerate(self.timetable.slots)}

    def place(self, key: str) -> int:
        """The place of a step in the plan's order; after all others where it is in none."""
        return self.order.get(key, len(self.order))


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


def due_events(view: View) -> list[Event]:
    """What the clock ends and begins up to view.now, in order: nothing before the cook starts.

    Ends are those of steps that need no word of the cook; beginnings are those whose planned
    moment has come and that nothing keeps from beginning.
    """
    events: list[Event] = []
    if view.state.started_at is None:
        return events
    while True:
        due = min((*_endings(view), *_beginnings(view)), key=partial(_in_turn, view), default=None)
        if due is None:
            return events
        events.append(due)
        view = replace(view, state=take(view.steps, view.state, due))


def due_endings(view: View) -> list[Event]:
    """What has ended by the clock up to view.now, in order, without beginning anything."""
    if view.state.started_at is None:
        return []
    return sorted(_endings(view), key=partial(_in_turn, view))


def _in_turn(view: View, event: Event) -> tuple[float, bool, int]:
    """By time; at one moment ends before beginnings, and both in the plan's order."""
    return event.at, event.kind == "began", view.place(event.subject)


def _endings(view: View) -> Iterator[Event]:
    for step in view.running():
        if ends_by_clock(step):
            end = planned_end(step, view.state.steps[step.key])
            if end <= view.now:
                yield Event(end, "finished", step.key, by="clock")


def _beginnings(view: View) -> Iterator[Event]:
    for slot in view.timetable.slots.values():
        standing = view.state.steps.get(slot.key)
        if standing is None or standing.status != "waiting":
            continue
        planned_at = min(slot.start_at, _latest_moment(view, slot.key))
        if planned_at > view.now:
            continue
        at = _first_moment(view, slot.key, planned_at)
        if at <= view.now and not obstacles(view, slot.key, at):
            cook = cook_of(view, slot.key)
            yield Event(at, "began", slot.key, length_s(view, slot.key), by="clock", note=cook)


def cook_of(view: View, key: str) -> str:
    """The cook whom the plan gives a step, where there are several; else ""."""
    slot = view.timetable.slots.get(key)
    return slot.cook or "" if slot and len(view.kitchen.cooks) > 1 else ""


def _latest_moment(view: View, key: str) -> float:
    """When a step that needs no hands begins whatever the plan says: its longest gap is over.

    A pan does not wait for a better plan: rice that has simmered stands from then on. A gap to
    its end that can no longer be met lets it begin at once.
    """
    step = view.steps[key]
    moments = [
        since + max(0.0, follow.most_s - view.lead_s(key, follow))
        for follow in step.follows
        if follow.most_s is not None
        and (before := view.state.steps.get(follow.step)) is not None
        and (since := before.at(follow.since)) is not None
    ]
    return min(moments, default=math.inf) if step.attention != "hands-on" else math.inf


def length_s(view: View, key: str) -> float | None:
    """How long the plan gives a step that is of no dish, seconds: heating takes less than from cold
    when the oven is warm, washing up longer for several pieces.

    None for other steps, whose likely time holds. Extra time asked for beforehand is not in it.
    """
    slot = view.timetable.slots.get(key)
    if slot is None or not view.of_no_dish(key):
        return None
    return max(0.0, slot.end_at - slot.start_at - view.state.steps[key].extra_s)


def _first_moment(view: View, key: str, planned_at: float) -> float:
    """The planned moment, or when the last thing that kept the step from beginning gave way."""
    step, states = view.steps[key], view.state.steps
    moments = [planned_at, states[key].gate_seen_at or planned_at]
    for follow in step.follows:
        before = states.get(follow.step)
        moments.append(view.first_by(key, follow))
        if before and before.status != "skipped":  # it may have come sooner than was expected
            moments.append(before.at(follow.since) or planned_at)
    for other in view.steps.values():
        ended_at = states[other.key].ended_at
        if ended_at is not None and _share(step, other):
            moments.append(ended_at)
    return max(moments)


def _share(one: Step, other: Step) -> bool:
    """The two steps take the same hands or eyes, or the same place."""
    if "unattended" not in (one.attention, other.attention):
        return True
    return bool({use.what for use in one.uses} & {use.what for use in other.uses})

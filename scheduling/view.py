"""The live schedule at one moment, and what the plan gives a step."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from domain.kitchen import Kitchen
from domain.menu import Follow, Menu, Moment, Step
from scheduling.events import State, planned_end
from scheduling.hands import in_hand
from scheduling.timetable import (
    Progress,
    Timetable,
    is_heating,
    of_no_dish,
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


def cook_of(view: View, key: str) -> str:
    """The cook whom the plan gives a step, where there are several; else ""."""
    slot = view.timetable.slots.get(key)
    return slot.cook or "" if slot and len(view.kitchen.cooks) > 1 else ""


def length_s(view: View, key: str) -> float | None:
    """How long the plan gives a step that is of no dish, seconds: heating takes less than from cold
    when the oven is warm, washing up longer for several pieces.

    None for other steps, whose likely time holds. Extra time asked for beforehand is not in it.
    """
    slot = view.timetable.slots.get(key)
    if slot is None or not view.of_no_dish(key):
        return None
    return max(0.0, slot.end_at - slot.start_at - view.state.steps[key].extra_s)

"""Cooks disturbed half-way: how long the live schedule takes to answer, and how much it moves.

Up to a random moment everything goes as planned; then one thing happens. The reply is what
`LiveSchedule.apply` takes with the full re-plan behind it, as in a kitchen.
"""

import math
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from random import Random

from domain.kitchen import Kitchen
from domain.menu import Menu, Step
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.events import Event, State
from scheduling.keeping_up import kitchen_now, moved_share
from scheduling.kept_plan import KeptPlan
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.replanning import SolvingPlanner, progress, with_extras
from scheduling.timetable import NoTimetable, Timetable
from scheduling.view import View

MIDDLE = (0.2, 0.8)  # of the time from the first step to service


@dataclass(frozen=True)
class Disturbed:
    """One disturbance and what came of it.

    reply_s: until there is a timetable to go by; replan_s: until the better one, None when the
    quick one stood. moved_by_reply, moved_in_all: shares of unstarted steps that begin over two
    minutes earlier or later than planned, and for both how many rules of the menu or the kitchen
    are broken. proven: the better one, level by level.
    """

    kind: str
    reply_s: float
    moved_by_reply: float
    broken_by_reply: int
    replan_s: float | None
    moved_in_all: float
    broken_in_all: int
    proven: bool


class TimedPlanner(SolvingPlanner):
    """Notes how long the latest full plan took, and what it was; and how many there were."""

    made: Timetable | NoTimetable | None = None
    took_s: float | None = None
    plans = 0

    def plan(
        self, menu: Menu, kitchen: Kitchen, state: State, now: float, last: Timetable | None
    ) -> Timetable | NoTimetable:
        began = time.perf_counter()
        self.made = super().plan(menu, kitchen, state, now, last)
        self.took_s = time.perf_counter() - began
        self.plans += 1
        return self.made


def disturbed(
    menu: Menu, kitchen: Kitchen, timetable: Timetable, turn: int, chance: Random, limit_s: float
) -> Disturbed | None:
    """What one random disturbance comes to; turn goes through the kinds, one after the other.

    None when there was nothing that this kind could happen to.
    """
    begin_at = min(slot.start_at for slot in timetable.slots.values())
    now = begin_at + chance.uniform(*MIDDLE) * (timetable.service_at - begin_at)
    planner = TimedPlanner(limit_s)
    store = MemoryStore()
    happened = store.append(
        list(as_planned(planner.steps(menu, kitchen), timetable, begin_at, now))
    )
    store.keep_plan(KeptPlan(timetable, timetable.service_at, happened[-1].seq).text())
    cook = LiveSchedule(menu, kitchen, SimulatedClock(now), store, planner, "background")
    try:
        before = cook.snapshot()
        event = list(KINDS.values())[turn % len(KINDS)](before, chance)
        if event is None or planner.plans:
            return None
        began = time.perf_counter()
        outcome = cook.apply(event)
        reply_s = time.perf_counter() - began
        assert not outcome.refused, outcome.refused
    finally:
        cook.close()  # waits for the re-plan
    after, state = outcome.after, outcome.after.state
    better = planner.made if isinstance(planner.made, Timetable) else after.timetable
    return Disturbed(
        list(KINDS)[turn % len(KINDS)],
        reply_s,
        moved_share(timetable, after.timetable, state),
        _broken(after, after.timetable, timetable),
        planner.took_s,
        moved_share(timetable, better, state),
        _broken(after, better, timetable),
        better.proven,
    )


def as_planned(
    steps: Mapping[str, Step], timetable: Timetable, begin_at: float, now: float
) -> Iterator[Event]:
    """All that happened up to now, as the cook would have told it."""
    yield Event(begin_at, "cook_started", value=timetable.wanted_at)
    told = []
    for slot in timetable.slots.values():
        gate = steps[slot.key].gate
        if gate and gate.moment == "start":
            told.append((slot.start_at, 1, Event(slot.start_at, "gate_seen", slot.key)))
        still_s = sum(until - since for since, until in slot.breaks)
        length_s = slot.end_at - slot.start_at - still_s
        told.append((slot.start_at, 2, Event(slot.start_at, "began", slot.key, length_s)))
        for since, until in slot.breaks:
            told.append((since, 0, Event(since, "put_down", slot.key)))
            told.append((until, 2, Event(until, "taken_up", slot.key)))
        told.append((slot.end_at, 0, Event(slot.end_at, "finished", slot.key)))
    for at, _, event in sorted(told, key=lambda one: one[:2]):
        if at <= now:
            yield event


def _broken(view: View, made: Timetable, last: Timetable) -> int:
    """Rules that the timetable breaks without telling so in `missed`, by a step still to begin:
    what clashes among those that have begun was so before."""
    so_far = progress(view.steps, view.state, view.now, last)
    kitchen = kitchen_now(view.kitchen, view.state)
    found = timetable_violations(with_extras(view.menu, view.state), kitchen, made, so_far)
    ahead = {key for key, standing in view.state.steps.items() if standing.status == "waiting"}
    broken = [told for told in found if any(f"“{key}”" in told for key in ahead)]
    return max(0, len(broken) - len(made.missed))


# --- what can happen ----------------------------------------------------------------------------


def _picked(view: View, chance: Random, status: str) -> str | None:
    keys = [
        key
        for key, standing in view.state.steps.items()
        if standing.status == status and not view.heats(key)
    ]
    return chance.choice(keys) if keys else None


def _needs_longer(view: View, chance: Random) -> Event | None:
    key = _picked(view, chance, "running")
    return Event(view.now, "longer", key, 60.0 * chance.randint(2, 10)) if key else None


def _ends_early(view: View, chance: Random) -> Event | None:
    key = _picked(view, chance, "running")
    return Event(view.now, "finished", key) if key else None


def _is_skipped(view: View, chance: Random) -> Event | None:
    key = _picked(view, chance, "waiting")
    return Event(view.now, "skipped", key) if key else None


def _loses_a_ring(view: View, chance: Random) -> Event | None:
    left = view.kitchen.rings - 1
    return Event(view.now, "equipment_changed", "ring", left) if left else None


def _service_moves(view: View, chance: Random) -> Event | None:
    by_s = 60.0 * chance.choice((-15, -10, -5, 5, 10, 15, 30))
    moved = math.floor(view.timetable.service_at) + by_s
    return Event(view.now, "service_moved", value=max(view.now + 60, moved))


KINDS: dict[str, Callable[[View, Random], Event | None]] = {
    "needs longer": _needs_longer,
    "ends early": _ends_early,
    "skipped": _is_skipped,
    "ring lost": _loses_a_ring,
    "service moved": _service_moves,
}

"""What the clock alone begins and ends, by the plan and its limits."""

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from domain.menu import Step
from scheduling.events import Event, ends_by_clock, planned_end
from scheduling.live import take
from scheduling.obstacles import obstacles
from scheduling.view import View, cook_of, length_s


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

"""What a cook wants to be reminded of when a step begins or ends, or before service."""

from collections.abc import Mapping
from dataclasses import replace

from domain.menu import Moment, Step
from scheduling.events import Event, Reminder, State


def reminded(__: Mapping[str, Step], state: State, event: Event) -> State:
    """The state once a reminder is set or cancelled."""
    if event.kind == "reminder_cancelled":
        kept = tuple(one for one in state.reminders if one.words != event.subject)
        return replace(state, reminders=kept)
    new = reminder_of(event)
    others = (one for one in state.reminders if replace(one, set_at=new.set_at) != new)
    return replace(state, reminders=(*others, new))


def reminder_of(event: Event) -> Reminder:
    """The reminder that an event sets: its note is "service", or "start" or "end" and a step."""
    start, _, step = event.note.partition(" ")
    moment: Moment = "start" if start == "start" else "end"
    return Reminder(event.subject, event.at, event.value or 0.0, moment, step)


def reminder_refused(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    """Why this of a reminder cannot be, or None."""
    if event.kind == "reminder_cancelled":
        known = event.subject in (one.words for one in state.reminders)
        return None if known else f"There is no reminder of “{event.subject}”."
    if not event.subject:
        return "What shall I remind you of?"
    new = reminder_of(event)
    of_a_step = new.step in steps and event.note == f"{new.moment} {new.step}"
    if not (of_a_step or event.note == "service") or new.before_s < 0:
        return "When shall I remind you?"
    standing = state.steps.get(new.step)
    begun = new.moment == "start" and standing is not None and standing.began_at is not None
    over = standing is not None and standing.over
    return "That has happened already." if begun or over else None

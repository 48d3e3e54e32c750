"""What a cook wants to be reminded of when a step begins or ends, or before service."""

from collections.abc import Mapping
from dataclasses import replace

from domain.menu import Moment, Step
from scheduling.events import Event, Reminder, State


def reminded(__: Mapping[str, Step], state: State, event: Event) -> State:
    """The state once a reminder is set or cancelled."""
    reminders = {words: one for words, one in state.reminders.items() if words != event.subject}
    if event.kind == "reminder_set":
        start, _, step = event.note.partition(" ")
        moment: Moment = "start" if start == "start" else "end"
        before_s = event.value or 0.0
        reminders[event.subject] = Reminder(event.subject, event.at, before_s, moment, step)
    return replace(state, reminders=reminders)


def reminder_refused(steps: Mapping[str, Step], state: State, event: Event) -> str | None:
    """Why this of a reminder cannot be, or None."""
    if event.kind == "reminder_cancelled":
        known = event.subject in state.reminders
        return None if known else f"There is no reminder of “{event.subject}”."
    if not event.subject:
        return "What shall I remind you of?"
    moment, _, step = event.note.partition(" ")
    known = event.note == "service" or (moment in ("start", "end") and step in steps)
    if not known or (event.value or 0.0) < 0:
        return "When shall I remind you?"
    standing = state.steps.get(step)
    begun = moment == "start" and standing is not None and standing.began_at is not None
    over = standing is not None and standing.over
    return "That has happened already." if begun or over else None

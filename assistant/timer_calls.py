"""Calls of what the cook has set: timers that are up, and reminders whose moment has come."""

from collections.abc import Iterator, Mapping

from assistant.measures import capital
from assistant.said import ASK_EVERY_S, FRESH_S, Call, Said, call, is_due, times_said
from scheduling.queries import reminder_at
from scheduling.view import View

TIMER_EVERY_S = (30.0,)  # evenly: only what is on the heat insists


def timer_calls(view: View, said: Mapping[str, Said]) -> Iterator[Call]:
    """The timers that ring, and what the cook wants to be reminded of now."""
    for timer in view.state.timers.values():
        key = f"timer:{timer.name}:{timer.ends_at:.0f}"
        ringing = timer.ends_at <= view.now and not timer.acknowledged
        if ringing and is_due(said, key, view.now, TIMER_EVERY_S):
            again = " still" if key in said else ""
            words = f"{capital(timer.name)} is{again} up."
            if timer.note:
                words = _reminder(timer.note, again=key in said)
            yield call(key, "due", words, times_said(said, key))
    for reminder in view.state.reminders:
        at = reminder_at(view, reminder)
        moment = f"{reminder.before_s:.0f} before {reminder.moment} {reminder.step}"
        key = f"timer:{reminder.words}:{reminder.set_at:.0f}:{moment}"
        if at is None or not view.now - FRESH_S < at <= view.now:
            continue
        if is_due(said, key, view.now, ASK_EVERY_S):
            yield call(
                key, "due", _reminder(reminder.words, again=key in said), times_said(said, key)
            )


def _reminder(words: str, *, again: bool) -> str:
    return f"Reminder{', again' if again else ''}: {words}."

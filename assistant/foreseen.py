"""Calls that are about to fall due, so that their sound can be made beforehand."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from assistant.calls import SOON_S, calls
from assistant.marks import STAND_BY_S, mark_at, marks_ahead
from assistant.said import Said
from scheduling.dispatch import due_events
from scheduling.events import Event, ends_by_clock
from scheduling.live import take
from scheduling.queries import next_steps, reminders_ahead, starts_at
from scheduling.view import View

_JUST_AFTER_S = 0.25  # about when a call is made that falls due between two ticks
_NEXT_STEPS = 4


def foreseen(
    view: View, said: Mapping[str, Said], within_s: float, *, by_ear: bool = False
) -> list[str]:
    """The spoken words of the calls that may well be made within so many seconds.

    Foreseen is what comes if the cook says nothing, and if every step is reported done in time.
    """
    words: dict[str, None] = {}
    for moment in sorted({view.now, *_moments(view)}):
        if view.now <= moment <= view.now + within_s:
            later = replace(view, now=moment + _JUST_AFTER_S)
            for course in (later, _as_reported(later)):
                made = calls(_by_clock(course), said, by_ear=by_ear)
                words |= dict.fromkeys(call.spoken for call in made)
    return list(words)


def _moments(view: View) -> Iterator[float]:
    """When something ends or begins by the clock, or is announced (POSIX seconds)."""
    yield from (timer.ends_at for timer in view.state.timers.values())
    yield from (view.planned_end_of(step.key) for step in view.running())
    yield from (at for at, _ in reminders_ahead(view))
    for step in next_steps(view, _NEXT_STEPS):
        yield starts_at(view, step.key)
        yield starts_at(view, step.key) - SOON_S
    for mark in marks_ahead(view):
        yield mark_at(view, mark) - STAND_BY_S
        yield mark_at(view, mark)
        yield starts_at(view, mark.step)


def _as_reported(view: View) -> View:
    """As if the cook had just reported done what should be done by then."""
    for step in view.running():
        if not ends_by_clock(step) and view.planned_end_of(step.key) <= view.now:
            done = Event(view.now, "finished", step.key)
            view = replace(view, state=take(view.steps, view.state, done))
    return view


def _by_clock(view: View) -> View:
    """With what the clock has ended and begun by then."""
    for event in due_events(view):
        view = replace(view, state=take(view.steps, view.state, event))
    return view

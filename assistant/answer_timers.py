"""Answers about timers: set, asked after, changed, cancelled; several at once."""

import re
from dataclasses import replace

from assistant.answer_time import duration_s, moment, seconds_of
from assistant.meaning import Understood
from assistant.measures import capital, clock, span
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.timers import (
    MOST_TIMERS,
    free_names,
    lengths,
    name_said,
    ringing_order,
    timer_ref,
    timers_left,
    timers_meant,
    timers_named,
)
from scheduling.events import Event, Timer
from scheduling.queries import reminders_ahead

_AT_ONCE_S = 1.0  # of a timer that is made so short that its time is up
# A timer is to be so long ("to", "make it", "should be"), or longer and shorter by so much.
_SHOULD_BE = re.compile(r"\b(?:be|been)\b", re.I)
_WHOLE = re.compile(r"\b(?:to|make|be|been)\b", re.I)
_PARTS = frozenset(
    "add another by extra from give less longer more off plus put shorter up".split()  # noqa: SIM905
)
_LESS = frozenset({"less", "off", "shorter"})
_SEVERAL = frozenset({"timers", "all", "both"})


def timer_set(ask: Understood, scene: Scene) -> Reply:
    """Timers of the lengths said, called as is said or after the thing they are for."""
    ends = [scene.now + seconds_of(length) for length in lengths(ask)]
    ends = _so_many(ask, ends) or [end for end in (moment(ask, scene),) if end is not None]
    if not ends:
        return Reply("For how long?", question=Question((), amount_for=ask))
    if len(ringing_order(scene)) + len(ends) > MOST_TIMERS:
        return Reply("Too many timers are running. Cancel one first.")
    each = _called_apart(ask)
    names, used = free_names(name_said(ask), scene), set[str]()
    events = []
    for place, end in enumerate(ends):
        own = each[place] if len(each) == len(ends) > 1 else ""
        names_of_it = free_names(own, scene) if own else names
        name = next(name for name in names_of_it if name not in used)
        used.add(name)
        events.append(Event(scene.now, "timer_set", name, end))
    return Reply(_set_line(events, scene), events=tuple(events))


def _set_line(events: list[Event], scene: Scene) -> str:
    told = [(event.subject, event.value or 0.0) for event in events]
    if len(told) == 1:
        ((name, end),) = told
        return f"{capital(name)} set: {span(end - scene.now)}, until {clock(end)}."
    each = ", ".join(f"{name}, {span(end - scene.now)}" for name, end in told)
    return f"{len(told)} timers set. {capital(each)}."


def _so_many(ask: Understood, ends: list[float]) -> list[float]:
    """ "Two five minute timers" are two of five minutes, not one of two and one of five."""
    counts = [amount for amount in ask.amounts if amount.kind == "count"]
    if len(ends) != 2 or len(ask.amounts) != 2 or len(counts) != 1:
        return ends
    (count,), gap = counts, ask.text[counts[0].end : ask.amounts[1].start]
    several = "timers" in ask.text[ask.amounts[1].end :].lower()
    if not gap.strip() and several and isinstance(count.value, float):
        return ends[1:] * int(count.value)
    return ends


def _called_apart(ask: Understood) -> list[str]:
    """What stands beside each length: "five minutes for the eggs and seven for the beans"."""
    told = lengths(ask)
    if len(told) < 2:
        return []
    after = [*(length.start for length in told[1:]), len(ask.text)]
    parts = [ask.text[length.end : end] for length, end in zip(told, after, strict=True)]
    names = [name_said(Understood(part, ask.intent, 1.0)) for part in parts]
    return names if all(names) else []


def timer_left(ask: Understood, scene: Scene) -> Reply:
    """Time left on the timer named, else on all; and what is to be reminded of."""
    timers = timers_meant(ask, scene)
    waiting = _reminders_ahead(scene)
    if not timers and waiting:
        return Reply(f"No timer is running. I will remind you: {'; '.join(waiting)}.")
    return timers_left(timers, scene)


def timer_change(ask: Understood, scene: Scene) -> Reply:
    """Move a timer's end by the duration said ("less" takes away), or have it be so long."""
    length = duration_s(ask)
    words = set(ask.text.lower().split())
    if length is not None and _WHOLE.search(ask.text) and not _PARTS & words:
        return _timer_of_length(ask, length, scene)
    timers = timers_meant(ask, scene)
    if not timers:
        return Reply("No timer is running.")
    if length is None:
        return Reply("By how long?", question=Question((), amount_for=ask))
    if len(timers) > 1 and not timers_named(ask, scene) and not _last_set(ask, scene):
        return _which(ask, timers)
    timer = _last_set(ask, scene) or timers[0]
    end = max(scene.now + _AT_ONCE_S, timer.ends_at + (-length if _LESS & words else length))
    event = Event(scene.now, "timer_set", timer.name, end, note=timer.note)
    return Reply(f"{capital(timer.name)}: {span(end - scene.now)} now.", events=(event,))


def _last_set(ask: Understood, scene: Scene) -> Timer | None:
    """The timer that was told of last, where none is named and more than one could be meant."""
    if timers_named(ask, scene):
        return None
    told = [event.subject for event in scene.log if event.kind == "timer_set"]
    last = scene.context.acted
    fresh = last is not None and last.intent in ("timer_set", "timer_change", "remind_me")
    alive = {timer.name: timer for timer in ringing_order(scene)}
    return alive.get(told[-1]) if told and fresh else None


def _timer_of_length(ask: Understood, length: float, scene: Scene) -> Reply:
    """The timer meant, so long in all where it "should be", else from now on; a new one where
    there is none, or none for the thing named."""
    about = [ref for ref in ask.refs if ref.kind != "timer"]
    named = timers_named(ask, scene)
    running = ringing_order(scene)
    if name_said(ask):  # a timer with a name of its own is for something else
        running = [timer for timer in running if timer.name.startswith("timer")]
    timers = named or ([] if about else running)
    if not timers:
        return timer_set(ask, scene)
    timer = (None if named else _last_set(ask, scene)) or timers[0]
    since = timer.set_at if _SHOULD_BE.search(ask.text) else scene.now
    end = since + length
    left = f"{span(end - scene.now)} left, until {clock(end)}" if end > scene.now else "time is up"
    rings_at = max(scene.now + _AT_ONCE_S, end)
    event = Event(scene.now, "timer_set", timer.name, rings_at, note=timer.note)
    return Reply(f"{capital(timer.name)}, {span(length)}: {left}.", events=(event,))


def timer_cancel(ask: Understood, scene: Scene) -> Reply:
    """Cancel the timer or the reminder named, or all; ask which when several could be meant."""
    several = bool(_SEVERAL & set(ask.text.lower().split()))
    timers = timers_meant(ask, scene)
    reminders = _reminders_named(ask, scene)
    if reminders and not timers_named(ask, scene):
        gone = tuple(Event(scene.now, "reminder_cancelled", words) for words in reminders)
        return Reply(f"No reminder any more: {', '.join(reminders)}.", events=gone)
    if not timers:
        return Reply("No timer is running.")
    if len(timers) > 1 and not several:
        return _which(ask, timers)
    events = tuple(Event(scene.now, "timer_cancelled", timer.name) for timer in timers)
    return Reply(f"Cancelled: {', '.join(timer.name for timer in timers)}.", events=events)


def _reminders_named(ask: Understood, scene: Scene) -> list[str]:
    """The reminders without a time of the clock that are meant: by a word of theirs, or the only
    one of "the reminder"."""
    waiting = _reminders_ahead(scene)
    said = set(ask.text.lower().replace(".", "").split())
    every = [one.words for one in scene.live.state.reminders]
    named = [words for words in every if {w for w in words.lower().split() if len(w) > 3} & said]
    if named:  # what has been called is meant, but waits no more
        return [words for words in waiting if words in named]
    asked = any(word.startswith("remind") for word in said)
    return waiting if asked and (len(waiting) == 1 or "all" in said) else []


def _reminders_ahead(scene: Scene) -> list[str]:
    return list(dict.fromkeys(one.words for _, one in reminders_ahead(scene.live)))


def _which(ask: Understood, timers: list[Timer]) -> Reply:
    choices = tuple(
        (timer.name, replace(ask, confidence=1.0, refs=(timer_ref(timer),))) for timer in timers[:3]
    )
    question = Question(choices)
    return Reply(f"Which one: {' or '.join(name for name, _ in choices)}?", question=question)

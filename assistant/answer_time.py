"""Answers about time: what is left, when things are ready, pace, and timers."""

import re

from assistant.figures import short
from assistant.meaning import AmountHeard, Ref, Understood
from assistant.measures import capital, clock, listed, span
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.subject import steps_meant, topic
from assistant.wall_clock import next_shown
from domain.menu import Step
from scheduling.events import Event, Timer
from scheduling.queries import finished, pace_s, ready_at, service_at, starts_at, time_left

_ON_TIME_S = 60.0  # within a minute a cook is on time; our own choice
_MOST_TIMERS = 20
_AT_ONCE_S = 1.0  # of a timer that is made so short that its time is up
# A timer is to be so long ("to", "make it", "should be"), or longer and shorter by so much.
_SHOULD_BE = re.compile(r"\b(?:be|been)\b", re.I)
_WHOLE = re.compile(r"\b(?:to|make|be|been)\b", re.I)
_PARTS = frozenset(
    "add another by extra from give less longer more off plus put shorter up".split()  # noqa: SIM905
)
_SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86400}


def time_left_of(ask: Understood, scene: Scene) -> Reply:
    """Time left on the thing named, else on what runs by itself and on the timers."""
    ref = topic(ask, scene)
    if ref is None:
        return _all_left(scene)
    if ref.kind == "timer":
        return timer_left(ask, scene)
    steps = steps_meant(ref, scene)
    if not steps:
        return Reply(f"Nothing in this menu goes with {ref.text}.")
    return _left_of(steps, ref, scene)


def _left_of(steps: list[Step], ref: Ref, scene: Scene) -> Reply:
    going = [step for step in steps if scene.live.state.steps[step.key].status == "running"]
    if going:
        step = min(going, key=lambda s: time_left(scene.live, s.key) or 0.0)
        left = time_left(scene.live, step.key) or 0.0
        if left <= 0:
            until = f" It is done when {step.gate.shown}." if step.gate else ""
            return Reply(f"Time is up: {step.name}.{until}", more=_ready_line(ref, scene))
        return Reply(f"{capital(span(left))} left: {step.name}.", more=_ready_line(ref, scene))
    waiting = [step for step in steps if scene.live.state.steps[step.key].status == "waiting"]
    if waiting:
        step = waiting[0]
        start, length = starts_at(scene.live, step.key), span(step.duration.likely_s)
        return Reply(
            f"Not begun: {step.name} starts at {clock(start)}. It takes {length}.",
            more=_ready_line(ref, scene),
        )
    return Reply(f"That is done: {steps[-1].name}.")


def _all_left(scene: Scene) -> Reply:
    parts = []
    for step in scene.live.running():
        left = time_left(scene.live, step.key) or 0.0
        parts.append(f"{step.name}, {span(left) if left > 0 else 'time is up'}")
    parts += [f"{timer.name}, {_timer_span(timer, scene)}" for timer in _ringing_order(scene)]
    return listed("Time left", parts) if parts else Reply("Nothing is running.")


def when_ready(ask: Understood, scene: Scene) -> Reply:
    """When the thing named will be ready; the whole menu's service when nothing is named."""
    ref = topic(ask, scene)
    at = _ready_at(ref, scene) if ref else None
    if ref is None or at is None:
        return when_eat(ask, scene)
    if at <= scene.now:
        return Reply(f"{capital(_called(ref, scene))} is ready.")
    line, wait = f"{capital(_called(ref, scene))} is ready at {clock(at)}", span(at - scene.now)
    whole = f"{line}, in {wait}."
    told = whole if short(whole) else f"{line}. That is in {wait}."
    return Reply(told, more=f"We eat at {clock(service_at(scene.live))}.")


def when_eat(_: Understood, scene: Scene) -> Reply:
    """The service time, and the time until then."""
    at = service_at(scene.live)
    if finished(scene.live):
        return Reply("Everything is ready. You can eat now.")
    return Reply(f"We eat at {clock(at)}, in {span(at - scene.now)}.", more=_pace_line(scene))


def pace(_: Understood, scene: Scene) -> Reply:
    """Ahead, on time, or behind the wanted service."""
    return Reply(_pace_line(scene), more=f"We eat at {clock(service_at(scene.live))}.")


def will_make(ask: Understood, scene: Scene) -> Reply:
    """Whether service falls before the time named."""
    wanted = _moment(ask, scene)
    at = service_at(scene.live)
    if wanted is None:
        return when_eat(ask, scene)
    if at <= wanted:
        spare = wanted - at
        ahead = f" That is {span(spare)} to spare." if spare >= _ON_TIME_S else ""
        return Reply(f"Yes, we eat at {clock(at)}.{ahead}")
    return Reply(f"No. The earliest is {clock(at)}, {span(at - wanted)} later.")


def what_time(_: Understood, scene: Scene) -> Reply:
    """The time of day."""
    return Reply(f"It is {clock(scene.now)}.")


def how_long_total(_: Understood, scene: Scene) -> Reply:
    """From the first step to service, and how much of it is hands-on."""
    slots = scene.live.timetable.slots
    begun = [s.began_at for s in scene.live.state.steps.values() if s.began_at is not None]
    first = min([*begun, *(slot.start_at for slot in slots.values())], default=scene.now)
    hands = sum(s.duration.likely_s for s in scene.live.steps.values() if s.attention == "hands-on")
    total = service_at(scene.live) - first
    return Reply(f"{capital(span(total))} in all; {span(hands)} of it by hand.")


def timer_set(ask: Understood, scene: Scene) -> Reply:
    """A timer of the length said, named after the thing said."""
    end = _moment(ask, scene)
    if end is None:
        return Reply("For how long?", question=Question((), amount_for=ask))
    ringing = [timer for timer in scene.live.state.timers.values() if not timer.acknowledged]
    if len(ringing) >= _MOST_TIMERS:
        return Reply("Too many timers are running. Cancel one first.")
    name = _free_name(ask, scene)
    event = Event(scene.now, "timer_set", name, end, note=ask.text)
    return Reply(
        f"{capital(name)} set: {span(end - scene.now)}, until {clock(end)}.", events=(event,)
    )


def timer_left(ask: Understood, scene: Scene) -> Reply:
    """Time left on the timer named, else on all."""
    timers = _timers_meant(ask, scene)
    if not timers:
        return Reply("No timer is running.")
    return listed("Timers", [f"{timer.name}, {_timer_span(timer, scene)}" for timer in timers])


def timer_change(ask: Understood, scene: Scene) -> Reply:
    """Move a timer's end by the duration said ("less" takes away), or have it be so long."""
    timers = _timers_meant(ask, scene)
    length = duration_s(ask)
    by_so_much = _PARTS & set(ask.text.lower().split())
    if length is not None and _WHOLE.search(ask.text) and not by_so_much:
        return _timer_of_length(ask, length, scene)
    if not timers or length is None:
        return Reply("Which timer, and by how long?" if timers else "No timer is running.")
    sign = -1 if any(word in ask.text.lower().split() for word in ("less", "off", "shorter")) else 1
    timer = timers[0]
    end = max(scene.now + _AT_ONCE_S, timer.ends_at + sign * length)
    event = Event(scene.now, "timer_set", timer.name, end, note=timer.note)
    return Reply(f"{capital(timer.name)}: {span(end - scene.now)} now.", events=(event,))


def _timer_of_length(ask: Understood, length: float, scene: Scene) -> Reply:
    """The timer meant, so long in all where it "should be", else from now on; a new one where
    there is none, or none for the thing named."""
    about = [ref for ref in ask.refs if ref.kind != "timer"]
    timers = _timers_named(ask, scene) or ([] if about else _ringing_order(scene))
    if not timers:
        return timer_set(ask, scene)
    timer = timers[0]
    since = timer.set_at if _SHOULD_BE.search(ask.text) else scene.now
    end = since + length
    left = f"{span(end - scene.now)} left, until {clock(end)}" if end > scene.now else "time is up"
    rings_at = max(scene.now + _AT_ONCE_S, end)
    event = Event(scene.now, "timer_set", timer.name, rings_at, note=timer.note)
    return Reply(f"{capital(timer.name)}, {span(length)}: {left}.", events=(event,))


def timer_cancel(ask: Understood, scene: Scene) -> Reply:
    """Cancel the timer named; ask which when several could be meant."""
    timers = _timers_meant(ask, scene)
    if not timers:
        return Reply("No timer is running.")
    if len(timers) > 1 and "all" not in ask.text.lower().split():
        return Reply(f"Which one: {' or '.join(timer.name for timer in timers)}?")
    events = tuple(Event(scene.now, "timer_cancelled", timer.name) for timer in timers)
    return Reply(f"Cancelled: {', '.join(timer.name for timer in timers)}.", events=events)


def duration_s(ask: Understood) -> float | None:
    """The first duration said, in seconds; None when none was."""
    for amount in ask.amounts:
        if amount.kind == "duration" and isinstance(amount.value, float | int) and amount.unit:
            return float(amount.value) * _SECONDS[amount.unit]
    return None


def clock_moment(amount: AmountHeard, now: float) -> float | None:
    """The next time the wall clock shows this amount, POSIX seconds."""
    if amount.kind != "clock" or not isinstance(amount.value, str):
        return None
    hour, minute = (int(part) for part in amount.value.split(":"))
    return next_shown(hour, minute, now)


def _moment(ask: Understood, scene: Scene) -> float | None:
    """The moment that a duration or a clock time points to."""
    for amount in ask.amounts:
        at = clock_moment(amount, scene.now)
        if at is not None:
            return at
    length = duration_s(ask)
    return None if length is None else scene.now + length


def _ready_at(ref: Ref, scene: Scene) -> float | None:
    if ref.kind in ("dish", "step"):
        return ready_at(scene.live, ref.name)
    steps = steps_meant(ref, scene)
    return ready_at(scene.live, steps[0].key) if steps else None


def _ready_line(ref: Ref, scene: Scene) -> str:
    at = _ready_at(ref, scene)
    return f"{capital(_called(ref, scene))} is ready at {clock(at)}." if at is not None else ""


def _called(ref: Ref, scene: Scene) -> str:
    return scene.menu.dish(ref.name).title if ref.kind == "dish" else ref.text


def _pace_line(scene: Scene) -> str:
    late = pace_s(scene.live)
    if abs(late) < _ON_TIME_S:
        return "You are on time."
    return f"You are {span(abs(late))} {'behind' if late > 0 else 'ahead'}."


def _ringing_order(scene: Scene) -> list[Timer]:
    timers = [timer for timer in scene.live.state.timers.values() if not timer.acknowledged]
    return sorted(timers, key=lambda timer: timer.ends_at)


def _timers_meant(ask: Understood, scene: Scene) -> list[Timer]:
    return _timers_named(ask, scene) or _ringing_order(scene)


def _timers_named(ask: Understood, scene: Scene) -> list[Timer]:
    named = [ref.name for ref in ask.refs if ref.kind == "timer"]
    about = [ref.text for ref in ask.refs if ref.kind != "timer"]
    return [
        timer
        for timer in _ringing_order(scene)
        if timer.name in named or any(text in timer.name for text in about)
    ]


def _timer_span(timer: Timer, scene: Scene) -> str:
    left = timer.ends_at - scene.now
    return span(left) if left > 0 else "ringing"


def _free_name(ask: Understood, scene: Scene) -> str:
    """A name for a new timer: the thing it is for, else timer, second timer, ..."""
    taken = scene.live.state.timers
    about = next((ref.text.removeprefix("the ") for ref in ask.refs if ref.kind != "timer"), "")
    base = f"{about} timer" if about else "timer"
    ordinal = (base, *(f"{base} {n}" for n in range(2, _MOST_TIMERS + 2)))
    running = {name for name, timer in taken.items() if not timer.acknowledged}
    return next(name for name in ordinal if name not in running)

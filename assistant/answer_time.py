"""Answers about time: what is left, when things are ready, and pace."""

from assistant.figures import short
from assistant.meaning import AmountHeard, Ref, Understood
from assistant.measures import capital, clock, listed, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import steps_meant, topic
from assistant.timers import ringing_order, timer_span, timers_left, timers_named
from assistant.wall_clock import next_shown
from domain.menu import Step
from scheduling.queries import finished, pace_s, ready_at, service_at, starts_at, time_left

_ON_TIME_S = 60.0  # within a minute a cook is on time; our own choice
_SECONDS = {"second": 1, "minute": 60, "hour": 3600, "day": 86400}


def time_left_of(ask: Understood, scene: Scene) -> Reply:
    """Time left on the thing named, else on what runs by itself and on the timers."""
    ref = topic(ask, scene)
    if ref is None:
        return _all_left(scene)
    if ref.kind == "timer":
        return timers_left(timers_named(ask, scene), scene)
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
    parts += [f"{timer.name}, {timer_span(timer, scene)}" for timer in ringing_order(scene)]
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
    wanted = moment(ask, scene)
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


def duration_s(ask: Understood) -> float | None:
    """The first duration said, in seconds; None when none was."""
    for amount in ask.amounts:
        if amount.kind == "duration" and isinstance(amount.value, float | int) and amount.unit:
            return seconds_of(amount)
    return None


def seconds_of(length: AmountHeard) -> float:
    """A duration in seconds."""
    assert isinstance(length.value, float | int)
    assert length.unit
    return float(length.value) * _SECONDS[length.unit]


def clock_moment(amount: AmountHeard, now: float) -> float | None:
    """The next time the wall clock shows this amount, POSIX seconds."""
    if amount.kind != "clock" or not isinstance(amount.value, str):
        return None
    hour, minute = (int(part) for part in amount.value.split(":"))
    return next_shown(hour, minute, now)


def moment(ask: Understood, scene: Scene) -> float | None:
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

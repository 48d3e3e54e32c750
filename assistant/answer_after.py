"""Answers once it is cooked: how long things really took, and what to change next time."""

from collections.abc import Iterable, Iterator

from assistant.meaning import Ref, Understood
from assistant.measures import capital, clock, listed, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.wording import plain
from domain.menu import Step
from scheduling.queries import finished, ready_at, serve_at, service_at

# What differs by less than both is no lesson; our own choice.
_LEAST_S, _LEAST_SHARE = 60.0, 0.2
_WAITED_S = 300.0  # a dish that was ready so long before it was served waited; our own choice

_NOTICED_S, _MOST_TOLD = 60.0, 5  # how far from the plan is worth a word; our own choice


def took(ask: Understood, scene: Scene) -> Reply:
    """How long the thing named, or all, really took against the plan."""
    if ask.refs:
        return _took_of(ask.refs[0], scene)
    started = scene.live.state.started_at
    if started is None:
        return Reply("We have not begun.")
    if "longest" in plain(ask.text).split():
        return _longest(scene)
    over = finished(scene.live)
    end = service_at(scene.live) if over else scene.now
    return Reply(
        f"{capital(span(end - started))} {'in all' if over else 'so far'}.",
        more=_otherwise_than_planned(scene),
    )


def _otherwise_than_planned(scene: Scene) -> str:
    """The steps whose time was furthest from their plan, the furthest first."""
    took = _took_s(scene.live.steps.values(), scene)
    off = {step: abs(real - step.duration.likely_s) for step, real in took.items()}
    furthest = sorted((step for step in off if off[step] >= _NOTICED_S), key=lambda s: -off[s])
    told = [f"{capital(_told(step, took[step]))}." for step in furthest[:_MOST_TOLD]]
    return " ".join(told) or "Every step took about as long as planned."


def _took_of(ref: Ref, scene: Scene) -> Reply:
    """The thing's time in all against the plan, then step by step."""
    done = _took_s(steps_meant(ref, scene), scene)
    if not done:
        return Reply("That is not done yet.")
    parts = [_told(step, real) for step, real in done.items()]
    if len(done) == 1:
        return listed("It took", parts)
    real = sum(done.values())
    off = real - sum(step.duration.likely_s for step in done)
    against = (
        f"{span(abs(off))} {'longer' if off > 0 else 'shorter'} than" if abs(off) >= 1 else "as"
    )
    return Reply(f"{capital(span(real))}, {against} planned.", more="; ".join(parts) + ".")


def _longest(scene: Scene) -> Reply:
    done = _took_s(scene.live.steps.values(), scene)
    if not done:
        return Reply("Nothing is done yet.")
    longest = max(done, key=lambda step: done[step])
    return Reply(f"The longest: {_told(longest, done[longest])}.")


def _took_s(steps: Iterable[Step], scene: Scene) -> dict[Step, float]:
    """How long each of these that is done took, seconds, where that is known."""
    took = {}
    for step in steps:
        standing = scene.live.state.steps[step.key]
        began, ended = standing.began_at, standing.ended_at
        if standing.status == "done" and began is not None and ended is not None:
            took[step] = ended - began
    return took


def _told(step: Step, real: float) -> str:
    return f"{step.name}, {span(real)}. Planned: {span(step.duration.likely_s)}"


def next_time(ask: Understood, scene: Scene) -> Reply:
    """What to change, from how it went: lateness, steps that took longer or shorter, waits, and
    what was left out; each with its figures, what weighs most first."""
    if scene.live.state.started_at is None:
        return Reply("We have not begun.")
    named = {step.key for ref in ask.refs for step in steps_meant(ref, scene)}
    lessons = [*_late(scene), *_lengths(scene, named), *_waits(scene), *_left_out(scene)]
    if not lessons:
        so = "Nothing" if finished(scene.live) else "Nothing so far"
        return Reply(f"{so}: all was within a fifth of its time.")
    return Reply(lessons[0], more=" ".join(lessons[1:]))


def _late(scene: Scene) -> Iterator[str]:
    """How late service was against what was wanted first, and when it was wanted in the end."""
    told = [e for e in scene.log if e.kind in ("cook_started", "service_moved")]
    wanted = next((event.value for event in told if event.value is not None), None)
    first = wanted if wanted is not None else scene.live.first_service_at
    late = service_at(scene.live) - first
    if late >= _LEAST_S:
        so = "were" if finished(scene.live) else "are"
        yield f"Start {span(late)} earlier: we {so} that late."
    moved = [event for event in told if event.kind == "service_moved" and event.value is not None]
    if moved:
        yield f"Service was moved, to {clock(moved[-1].value or 0.0)} in the end."


def _lengths(scene: Scene, named: set[str]) -> Iterator[str]:
    """The steps that were far from their time, the furthest first."""
    off = []
    for step, real in _took_s(scene.live.steps.values(), scene).items():
        planned = step.duration.likely_s
        far = max(_LEAST_S, _LEAST_SHARE * planned)
        counts = (not named or step.key in named) and not scene.live.of_no_dish(step.key)
        if counts and abs(real - planned) >= far:
            off.append((abs(real - planned), step, real))
    for _, step, real in sorted(off, key=lambda one: -one[0]):
        word = "longer" if real > step.duration.likely_s else "less"
        yield f"Plan {word} for “{step.name}”: {span(real)}, not {span(step.duration.likely_s)}."


def _waits(scene: Scene) -> Iterator[str]:
    """The dishes that were ready long before they were served."""
    if not finished(scene.live):
        return
    for dish in scene.menu.dishes:
        ready = ready_at(scene.live, dish.name)
        waited = serve_at(scene.live, dish.name) - ready if ready is not None else 0.0
        if waited >= max(_WAITED_S, float(dish.hold_s)):
            held = f"it holds for {span(dish.hold_s)}"
            yield f"Begin the {dish.title.lower()} later: it waited {span(waited)}, {held}."


def _left_out(scene: Scene) -> Iterator[str]:
    dropped = [d.title.lower() for d in scene.menu.dishes if d.name in scene.live.state.dropped]
    if dropped:
        yield f"Left out: {', '.join(dropped)}."
    skipped = [
        step.name
        for step in scene.live.steps.values()
        if scene.live.state.steps[step.key].status == "skipped"
        and step.dish not in scene.live.state.dropped
        and not scene.live.of_no_dish(step.key)
    ]
    if skipped:
        yield f"Steps left out: {', '.join(skipped)}."

"""Answers to what is on now and what comes next."""

import re

from assistant.figures import short
from assistant.meaning import Ref, Understood
from assistant.measures import amount_line, capital, clock, listed, span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import step_meant, steps_meant
from assistant.wording import plain
from domain.menu import Cues, Step
from scheduling.queries import (
    finished,
    next_steps,
    now_steps,
    on_heat,
    ready_at,
    starts_at,
    time_left,
    waiting_for,
)

_SENSES = ("sight", "sound", "smell", "feel")
_BY_EAR = ("sound", "smell", "feel")
_AFTER = re.compile(r"\b(?:after|follows?|once|when|done with|finished with)\b")
SOON_S = 45.0  # a step this near is told as if it were due; our own choice


def what_now(_: Understood, scene: Scene) -> Reply:
    """The step in hand; with none, when the next begins and what is running."""
    if scene.live.state.paused_at is not None:
        return Reply("We are paused. Say carry on when you are back.")
    steps = now_steps(scene.live)
    hands_on = [step for step in steps if step.attention == "hands-on"]
    rest = _running([step for step in steps if step not in hands_on], scene)
    if hands_on:
        return Reply(hands_on[-1].say, more=rest, step=hands_on[-1].key)
    following = next_steps(scene.live, 1)
    if following:
        key = following[0].key
        wait = starts_at(scene.live, key) - scene.now
        if wait < SOON_S:
            return Reply(f"Next up: {following[0].say}", more=rest, step=key)
        words = f"Nothing for your hands for {span(wait)}. Then: {following[0].say}"
        return Reply(words, more=rest, step=key)
    if steps:
        return Reply(rest)
    return Reply("Everything is done. Serve it." if finished(scene.live) else "Nothing just now.")


def what_next(ask: Understood, scene: Scene) -> Reply:
    """The next step to begin, and when; of the thing named, or after it where that is asked."""
    if ask.refs and (steps := _to_come(ask, scene)):
        if _AFTER.search(plain(ask.text)):
            return _after(steps, scene)
        waiting = [s for s in steps if scene.live.state.steps[s.key].status == "waiting"]
        if waiting:
            return _begins(waiting[0], scene)
    return _coming(scene, 0, "Nothing more to start.")


def what_after_next(ask: Understood, scene: Scene) -> Reply:
    """The step after the next one, or what comes after the thing named."""
    if ask.refs and (steps := _to_come(ask, scene)):
        return _after(steps, scene)
    return _coming(scene, 1, "Nothing comes after that.")


def _to_come(ask: Understood, scene: Scene) -> list[Step]:
    """The steps of the thing named that are not over, in the plan's order."""
    named = [ref for ref in ask.refs if ref.kind in ("step", "dish", "ingredient")]
    steps = steps_meant(named[0], scene) if named else []
    left = [step for step in steps if not scene.live.state.steps[step.key].over]
    return sorted(left, key=lambda step: starts_at(scene.live, step.key))


def _after(steps: list[Step], scene: Scene) -> Reply:
    """What the plan begins once these steps are over; once the one in hand is, where one is."""
    live = scene.live
    now = [step for step in steps if live.state.steps[step.key].status == "running"]
    in_hand = [step for step in now if step.attention == "hands-on"]
    ends = {step.key: ready_at(live, step.key) or scene.now for step in steps}
    last = in_hand[-1] if in_hand else max(steps, key=lambda step: ends[step.key])
    over_at = ends[last.key]
    mine = {last.key} if in_hand else {step.key for step in steps}
    waiting = next_steps(live, len(live.steps))
    later = (s for s in waiting if s.key not in mine and starts_at(live, s.key) >= over_at - 1)
    step = next(later, None)
    if step is None:
        return Reply(f"After “{last.name}” comes service.", more=f"At {clock(over_at)}.")
    return Reply(
        f"After “{last.name}”, at {clock(starts_at(live, step.key))}. {step.say}",
        more=step.more,
        step=step.key,
    )


def whats_on_heat(_: Understood, scene: Scene) -> Reply:
    """What occupies a ring or the oven, with the time left on each."""
    things = on_heat(scene.live)
    if not things:
        return Reply("Nothing is on the heat.")
    parts = []
    for thing in things:
        where = f"in the {thing.oven}" if thing.oven else "on a ring"
        if thing.over:
            left = "its time is up"
        elif thing.until is None:
            left = f"until {thing.step.gate.shown}" if thing.step.gate else "until you say"
        else:
            left = f"{span(thing.until - scene.now)} left"
        parts.append(f"{thing.step.name}, {where}, {left}")
    return listed("On the heat", parts)


def what_waiting(_: Understood, scene: Scene) -> Reply:
    """What the cook waits for: things to be seen, and things that run by themselves."""
    parts = []
    for wait in waiting_for(scene.live):
        if wait.gate is not None:
            parts.append(f"{wait.step.name}, until {wait.gate.shown}")
        elif wait.until is not None:
            parts.append(f"{wait.step.name}, {span(wait.until - scene.now)} left")
    return listed("Waiting for", parts) if parts else Reply("You are not waiting for anything.")


def where_was_i(ask: Understood, scene: Scene) -> Reply:
    """Where the cook stands: the last thing done, then the step in hand; or with a thing named."""
    if ask.refs:
        return _how_far(ask.refs[0], scene)
    done = [
        (standing.ended_at, key)
        for key, standing in scene.live.state.steps.items()
        if standing.status == "done" and standing.ended_at is not None
    ]
    now = what_now(ask, scene)
    if not done:
        return now
    last = scene.live.steps[max(done)[1]]
    return Reply(f"You last finished: {last.name}. {now.spoken}", more=now.more)


def _how_far(thing: Ref, scene: Scene) -> Reply:
    """Which steps of a thing are done, under way and still to do."""
    steps = steps_meant(thing, scene)
    status = {step.key: scene.live.state.steps[step.key].status for step in steps}
    stands = {"Done": "done", "Under way": "running", "Still to do": "waiting"}
    some = {
        told: [step.name for step in steps if status[step.key] == standing]
        for told, standing in stands.items()
    }
    parts = [f"{told}: {', '.join(names)}." for told, names in some.items() if names]
    if parts and not short(parts[0]):
        told, names = next((told, names) for told, names in some.items() if names)
        parts[0] = f"{told}: {len(names)} steps. {capital(', '.join(names))}."
    return Reply(" ".join(parts)) if parts else Reply("That has no steps here.")


def step_again(ask: Understood, scene: Scene) -> Reply:
    """The step's own line once more."""
    step = step_meant(ask, scene)
    return Reply(step.say, more=step.more, step=step.key) if step else what_now(ask, scene)


def step_in_full(ask: Understood, scene: Scene) -> Reply:
    """The step with its detail, cautions and time."""
    step = step_meant(ask, scene)
    if step is None:
        return what_now(ask, scene)
    length = f"It takes about {span(step.duration.likely_s)}."
    parts = [step.say, step.more, *step.cautions, length]
    if scene.settings.by_ear:  # its line tells hazards and length already
        parts = parts[:2]
    told = " ".join(part for part in parts if part)
    return Reply(told, more=" ".join(_cues(step.cues)), step=step.key)


def step_amounts(ask: Understood, scene: Scene) -> Reply:
    """The amounts that the step needs, for the people now expected."""
    step = step_meant(ask, scene)
    if step is None:
        return Reply("Which step do you mean?")
    if not step.ingredients:
        return Reply(f"Nothing to measure for: {step.name}.")
    dish = scene.menu.dish(step.dish)
    lines = [line for line in dish.ingredients if line.name in step.ingredients]
    told = ", ".join(amount_line(line, dish, scene) for line in lines)
    batches = step.batch[1]
    return Reply(f"For all {batches} batches: {told}." if batches > 1 else f"{capital(told)}.")


def done_cue(ask: Understood, scene: Scene) -> Reply:
    """What done is like, by sense; sound, smell and feel first for a cook by ear."""
    if scene.settings.by_ear:
        return _done_by_ear(ask, scene)
    step = _with_cues(ask, scene)
    if step is None:
        return Reply("The recipe gives no sign for that. Go by the time.")
    told = _cues(step.cues)
    return Reply(told[0], more=" ".join(told[1:]), shown=" ".join(told), step=step.key)


def _done_by_ear(ask: Understood, scene: Scene) -> Reply:
    """What is heard, smelt and felt, with the time; the time alone where there is no such sign."""
    step = _done_of_dish(ask, scene) or step_meant(ask, scene)
    if step is None:
        return Reply("Which step do you mean?")
    left = time_left(scene.live, step.key)
    going = left is not None and left > 0
    time = f"{span(left or 0.0)} left" if going else f"it takes {span(step.duration.likely_s)}"
    told = _cues(step.cues, _BY_EAR)
    if not told:
        return Reply(f"Go by the time: {time}. There is no other sign.", step=step.key)
    told.append(f"{capital(time)}.")
    return Reply(told[0], more=" ".join(told[1:]), shown=" ".join(told), step=step.key)


def _with_cues(ask: Understood, scene: Scene) -> Step | None:
    """The step meant, or the last one of its dish that has cues. A dish is done when what it does
    on the heat is."""
    step = _done_of_dish(ask, scene) or step_meant(ask, scene)
    if step is None or _cues(step.cues):
        return step
    same = [other for other in scene.live.steps.values() if other.dish == step.dish]
    return next((other for other in reversed(same) if _cues(other.cues)), None)


def _done_of_dish(ask: Understood, scene: Scene) -> Step | None:
    """What of a dish named is on the heat, or will be last, and has cues."""
    if not ask.refs or ask.refs[0].kind != "dish":
        return None
    steps = [s for s in steps_meant(ask.refs[0], scene) if s.on_heat and _cues(s.cues)]
    states = scene.live.state.steps
    going = [step for step in steps if states[step.key].status == "running"]
    waiting = [step for step in steps if states[step.key].status == "waiting"]
    return next(iter(going or waiting[-1:]), None)


def _coming(scene: Scene, place: int, none: str) -> Reply:
    steps = next_steps(scene.live, place + 1)
    if len(steps) <= place:
        return Reply(none, more=_running(now_steps(scene.live), scene))
    return _begins(steps[place], scene)


def _begins(step: Step, scene: Scene) -> Reply:
    wait = starts_at(scene.live, step.key) - scene.now
    when = "Straight away" if wait < SOON_S else f"At {clock(scene.now + wait)}"
    return Reply(f"{when}. {step.say}", more=step.more, step=step.key)


def _running(steps: list[Step], scene: Scene) -> str:
    parts = []
    for step in steps:
        left = time_left(scene.live, step.key) or 0.0
        parts.append(f"{step.name}, {f'{span(left)} left' if left > 0 else 'its time is up'}")
    return f"Running: {'; '.join(parts)}." if parts else ""


def _cues(cues: Cues, senses: tuple[str, ...] = _SENSES) -> list[str]:
    return [cue for sense in senses if (cue := getattr(cues, sense))]

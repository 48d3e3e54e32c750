"""Answers to what the cook reports: each says what was taken and which events it stores."""

from collections.abc import Iterable
from dataclasses import replace

from rapidfuzz import fuzz

from assistant.answer_before import start_verdict
from assistant.answer_time import duration_s
from assistant.meaning import Ref, Understood
from assistant.measures import capital, clock, span
from assistant.reply import Question, Reply
from assistant.resolve import stem
from assistant.scene import Scene
from assistant.subject import in_hand, steps_meant
from assistant.told_reading import wanted_reading
from assistant.wording import plain
from domain.menu import Step
from scheduling.events import Event, EventKind
from scheduling.queries import heating_next, next_steps, on_heat, starts_at, time_left, waiting_for
from scheduling.view import oven_of

_A_LITTLE_S = 120.0  # what "not yet" adds to a thing whose time is up; our own choice
_LESS = frozenset({"less", "fewer", "shorter", "sooner"})
_PUT = (" on", " in")
_GATE_ALIKE = 88.0  # rapidfuzz ratio of what was said to a gate's own wording; our own choice


def report_begun(ask: Understood, scene: Scene) -> Reply:
    """The thing named has begun; when nothing is named, the step just called, or the next."""
    step = _begun_by_clock(ask, scene) or first_with(ask, scene, "waiting")
    step = step or first_running(ask, scene)
    if step is None and not ask.refs:
        step = _just_called(scene) or next(iter(next_steps(scene.live, 1)), None)
    if step is None:
        return Reply("Which step have you begun?")
    return noted(scene, "began", step, f"Noted, you have begun: {step.name}.")


def _just_called(scene: Scene) -> Step | None:
    """The step in hand that only the clock has begun, while less than half of it is over."""
    step = in_hand(scene)
    return step if step and _freshly_called(step, scene) else None


def _begun_by_clock(ask: Understood, scene: Scene) -> Step | None:
    """Of what was named, the step that was just called: it is meant, not the one after it."""
    step = first_with(ask, scene, "running")
    return step if step and _freshly_called(step, scene) else None


def _freshly_called(step: Step, scene: Scene) -> bool:
    if scene.live.state.steps[step.key].began_by != "clock":
        return False
    return (time_left(scene.live, step.key) or 0.0) > step.duration.likely_s / 2


def report_done(ask: Understood, scene: Scene) -> Reply:
    """The thing named is done; the step in hand when nothing is named."""
    oven = _turned_off(ask, scene)
    if oven is not None:
        return _without_oven(oven, scene)
    if not ask.refs:
        step = in_hand(scene)
        return _done(step, scene) if step else ask_which(ask, scene, scene.live.running())
    step = first_running(ask, scene) or _on_heat(ask, scene) or _ready_to_begin(ask, scene)
    if step is None:
        steps = [step for ref in ask.refs for step in steps_meant(ref, scene)]
        if not steps:
            return Reply(f"Nothing in this menu goes with {ask.refs[0].text}.")
        return Reply(_why_not_done(steps[0], scene))
    return _done(step, scene)


def _turned_off(ask: Understood, scene: Scene) -> str | None:
    """The oven that is said to be off; "oven" where it is not told which."""
    ovens = {"oven", *(oven.name for oven in scene.kitchen.ovens)}
    named = (ref.name for ref in ask.refs if ref.kind == "equipment" and ref.name in ovens)
    return next(named, None) if "off" in plain(ask.text).split() else None


def _without_oven(oven: str, scene: Scene) -> Reply:
    """The next that needs an oven said to be off; nothing is done by it, nor is the heat kept."""
    live = scene.live
    ovens = {one.name for one in live.kitchen.ovens if oven in ("oven", one.name)}
    due = [
        step
        for step in live.steps.values()
        if any(use.what == "oven" for use in step.uses)
        and not live.state.steps[step.key].over
        and oven_of(live, step.key) in ovens
    ]
    step = min(due, key=lambda step: starts_at(live, step.key), default=None)
    if step is None:
        return Reply(f"Good. Nothing more goes into the {oven}.")
    if live.state.steps[step.key].status == "running":
        return Reply(f"The plan needs the {oven} now: {step.name}. Turn it on again.")
    at = clock(starts_at(live, step.key))
    return Reply(f"The plan goes on as if it were hot. Next in it: {step.name}, at {at}.")


def report_longer(ask: Understood, scene: Scene) -> Reply:
    """So much more time for the thing named, or the step in hand."""
    step = _overdue(ask, scene) or first_running(ask, scene) or _on_heat(ask, scene)
    step = step or _heating_to_come(ask, scene)
    if step is None and ask.refs:
        return _longer_later(ask, scene)
    if step is None:
        step = in_hand(scene) or next((thing.step for thing in on_heat(scene.live)), None)
    if step is None:
        return ask_which(ask, scene, scene.live.running())
    return _longer(step, ask, scene)


def _longer(step: Step, ask: Understood, scene: Scene) -> Reply:
    length = duration_s(ask)
    if length is None:
        meant = replace(ask, refs=(as_ref(step),))
        return Reply("How much longer?", question=Question((), amount_for=meant))
    if _LESS & set(plain(ask.text).split()):
        return Reply("I only add time. Say when it is done, and I go on from there.")
    event = Event(scene.now, "longer", step.key, length)
    return Reply(f"{capital(span(length))} more: {step.name}.", events=(event,))


def _longer_later(ask: Understood, scene: Scene) -> Reply:
    """More time for a thing that is not under way: offered for what it does on the heat."""
    steps = [step for ref in ask.refs for step in steps_meant(ref, scene)]
    if not steps:
        return ask_which(ask, scene, scene.live.running())
    waiting = [s for s in steps if scene.live.state.steps[s.key].status == "waiting"]
    if not waiting:
        return Reply(f"That is done already: {steps[0].name}.")
    waiting.sort(key=lambda step: starts_at(scene.live, step.key))
    hot = [s for s in waiting if s.on_heat and s.attention != "hands-on"]
    step = (hot or waiting)[0]
    if ask.by == "confirmed":
        return _longer(step, ask, scene)
    length = duration_s(ask)
    label = f"plan {f'{span(length)} more' if length else 'more time'} for it"
    meant = replace(ask, refs=(as_ref(step),), by="confirmed", confidence=1.0)
    at = clock(starts_at(scene.live, step.key))
    return Reply(
        f"Not on yet: {step.name} starts at {at}. Shall I {label}?",
        question=Question(((label, meant),)),
    )


def report_gate(ask: Understood, scene: Scene) -> Reply:
    """What we waited to see has happened."""
    open_gates = [wait.step for wait in waiting_for(scene.live) if wait.gate is not None]
    named = [step for ref in ask.refs for step in steps_meant(ref, scene) if step in open_gates]
    said = gate_said(ask.text, scene)
    step = said or (named[0] if named else None)
    if step is None and len(open_gates) == 1 and not ask.refs:
        step = open_gates[0]
    if step is None:
        if open_gates and not ask.refs:
            return ask_which(ask, scene, open_gates)
        return report_done(ask, scene)
    assert step.gate is not None
    return noted(scene, "gate_seen", step, f"Good: {step.gate.shown}.")


def gate_said(text: str, scene: Scene) -> Step | None:
    """The step whose open gate is reported in these very words, or nearly."""
    said = plain(text)
    for wait in waiting_for(scene.live):
        if wait.gate is None:
            continue
        for words in (wait.gate.shown, *wait.gate.says):
            if said.endswith(_PUT) and not plain(words).endswith(_PUT):
                continue  # "the pan is on" is not yet "the pan is hot"
            if fuzz.ratio(said, plain(words)) >= _GATE_ALIKE:
                return wait.step
    return None


def report_not_yet(ask: Understood, scene: Scene) -> Reply:
    """Something whose time is up gets a little longer; a gate is simply waited for."""
    cooked = _not_hot_enough(ask, scene)
    if cooked is not None:
        assert cooked.gate is not None
        return Reply(f"Not yet: cook it on until {cooked.gate.shown}.", more=cooked.more)
    if duration_s(ask) is not None:
        return report_longer(ask, scene)
    if not ask.refs and _of_a_gate(ask.text, scene):
        return Reply("All right, I will wait.")
    step = _on_heat(ask, scene) if ask.refs else None
    overdue = [thing.step for thing in on_heat(scene.live) if thing.over]
    if step is None and len(overdue) == 1:
        step = overdue[0]
    if step is None:
        return Reply("All right, I will wait.")
    event = Event(scene.now, "longer", step.key, _A_LITTLE_S)
    return Reply(f"Two minutes more: {step.name}.", events=(event,))


def _of_a_gate(text: str, scene: Scene) -> bool:
    """Whether something that is waited for is told of: "it hasn't boiled yet"."""
    said = {stem(word) for word in plain(text).split()}
    gates = (wait.gate.shown for wait in waiting_for(scene.live) if wait.gate is not None)
    return any(stem(plain(shown).split()[-1]) in said for shown in gates)


def _not_hot_enough(ask: Understood, scene: Scene) -> Step | None:
    """The step whose thermometer was told to read too little."""
    steps = (scene.live.steps[ref.name] for ref in ask.refs if ref.kind == "step")
    read = any(amount.kind != "duration" for amount in ask.amounts)
    return next((step for step in steps if read and wanted_reading(step)), None)


def report_forgot(ask: Understood, scene: Scene) -> Reply:
    """What was forgotten, read out, with whether it can be done now."""
    step = first_running(ask, scene) or first_with(ask, scene, "waiting")
    if step is None:
        return Reply("No harm said yet. Which step was it?")
    if scene.live.state.steps[step.key].status == "running":
        return Reply(f"Do it now. {step.say}")
    return Reply(start_verdict(step, scene), more=step.say)


def go_back(_: Understood, scene: Scene) -> Reply:
    """The step before the one in hand, read again; nothing changes."""
    done = [
        (standing.ended_at, key)
        for key, standing in scene.live.state.steps.items()
        if standing.status == "done" and standing.ended_at is not None
    ]
    if not done:
        return Reply("Nothing is done yet.")
    step = scene.live.steps[max(done)[1]]
    return Reply(f"Before this: {step.say}", more=step.more)


def pause_cook(ask: Understood, scene: Scene) -> Reply:
    """The plan waits; what is on the heat does not. A step that is named and can be broken off
    lies still by itself, and the plan goes on without it."""
    step = first_with(ask, scene, "running")
    if step is not None and step.pausable:
        return noted(scene, "put_down", step, f"Left for now: {step.name}.")
    if scene.live.state.paused_at is not None:
        return Reply("We are paused already.")
    hot = on_heat(scene.live)
    warn = f" Still on the heat: {hot[0].step.name}." if hot else ""
    return Reply(f"Paused.{warn}", events=(Event(scene.now, "paused"),))


def carry_on(ask: Understood, scene: Scene) -> Reply:
    """Go on after a pause, or with what was put down: the thing named, else the latest."""
    if scene.live.state.paused_at is None:
        step = _aside(ask, scene)
        if step is None:
            return Reply("We are going already.")
        return noted(scene, "taken_up", step, f"Going on: {step.name}.")
    away = scene.now - scene.live.state.paused_at
    event = Event(scene.now, "resumed")
    return Reply(f"Carrying on after {span(away)}.", events=(event,), hush_s=0.0)


def _done(step: Step, scene: Scene) -> Reply:
    return noted(scene, "finished", step, f"Done: {step.name}.")


def noted(scene: Scene, kind: EventKind, step: Step, words: str) -> Reply:
    """The reply that stores this of a step."""
    return Reply(words, events=(Event(scene.now, kind, step.key),))


def _aside(ask: Understood, scene: Scene) -> Step | None:
    """The step that the cook put down and goes on with; None where there is none."""
    named = first_with(ask, scene, "running")
    states = scene.live.state.steps
    if named is not None and states[named.key].put_down_at is not None:
        return named
    down = [step for step in scene.live.running() if states[step.key].aside]
    return max(down, key=lambda step: states[step.key].put_down_at or 0.0, default=None)


def first_with(ask: Understood, scene: Scene, status: str) -> Step | None:
    """The first step with this status that the references can mean."""
    for ref in ask.refs:
        for step in steps_meant(ref, scene):
            if scene.live.state.steps[step.key].status == status:
                return step
    return None


def first_running(ask: Understood, scene: Scene) -> Step | None:
    """A running step that the references can mean, hands-on ones first, then an oven's heating."""
    going = [
        step
        for ref in ask.refs
        for step in steps_meant(ref, scene)
        if scene.live.state.steps[step.key].status == "running"
    ]
    return min(
        going,
        key=lambda s: (s.attention != "hands-on", not scene.live.heats(s.key)),
        default=None,
    )


def _heating_to_come(ask: Understood, scene: Scene) -> Step | None:
    """The heating of an oven that is said to be late before it heats."""
    ovens = {oven.name for oven in scene.kitchen.ovens}
    for ref in ask.refs:
        if ref.kind == "equipment" and ref.name in ovens | {"oven"}:
            return heating_next(scene.live, ref.name if ref.name in ovens else None)
    return None


def _on_heat(ask: Understood, scene: Scene) -> Step | None:
    """A thing still on the heat, ended by the clock alone, that the references can mean."""
    named = {step.key for ref in ask.refs for step in steps_meant(ref, scene)}
    return next((t.step for t in on_heat(scene.live) if t.step.key in named), None)


def _overdue(ask: Understood, scene: Scene) -> Step | None:
    """A thing named that stays on the heat past its time: it is meant, not the work beside it."""
    step = _on_heat(ask, scene)
    late = {thing.step.key for thing in on_heat(scene.live) if thing.over}
    return step if step and step.key in late else None


def _ready_to_begin(ask: Understood, scene: Scene) -> Step | None:
    """A step done before it was told begun: its turn had come."""
    step = first_with(ask, scene, "waiting")
    if step is None:
        return None
    before = (scene.live.state.steps[f.step].status for f in step.follows if f.until == "start")
    return step if all(status in ("done", "running", "skipped") for status in before) else None


def _why_not_done(step: Step, scene: Scene) -> str:
    if scene.live.state.steps[step.key].over:
        return f"That is done already: {step.name}."
    return f"Not begun yet: {step.name} starts at {clock(starts_at(scene.live, step.key))}."


def as_ref(step: Step) -> Ref:
    """The step as if it had been named."""
    return Ref(step.name, "step", step.key, 1.0, 0, 0)


def ask_which(ask: Understood, scene: Scene, steps: Iterable[Step]) -> Reply:
    """A short question naming the steps that could be meant."""
    few = list(steps)[:3]
    if not few:
        return Reply("Nothing is under way. Which step do you mean?")
    choices = tuple(
        (
            step.name,
            Understood(
                ask.text,
                ask.intent,
                1.0,
                ask.amounts,
                (as_ref(step),),
                by="exact",
            ),
        )
        for step in few
    )
    return Reply(
        f"Which one: {' or '.join(step.name for step in few)}?", question=Question(choices)
    )

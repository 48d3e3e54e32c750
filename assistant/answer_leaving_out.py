"""Answers to what is left out: a step, a dish, or one of the two where the words fit both."""

import re

from assistant.answer_changes import dish_meant
from assistant.answer_reports import as_ref, ask_which, first_running, first_with, noted
from assistant.meaning import Ref, Understood
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.subject import in_hand, steps_meant
from assistant.wording import plain
from domain.menu import Step
from scheduling.events import Event
from scheduling.queries import next_steps, starts_at

# What is named after "skip the ..." or "leave out the ...", and what stands there for no name.
_LEFT_OUT = re.compile(
    r"\b(?:skip\w*|omit\w*|leav\w+ out|left out|without|drop\w*) (?:the|my|our) (\w+)"
)
_NO_NAME = frozenset(
    "step one next thing bit part job last rest current whole".split()  # noqa: SIM905
)


def skip_step(ask: Understood, scene: Scene) -> Reply:
    """The thing named is left out; the step in hand or the next one when nothing is named."""
    alike = _called_alike(ask, scene)
    if len(alike) > 1:
        return ask_which(ask, scene, alike)
    step = first_running(ask, scene) or first_with(ask, scene, "waiting")
    unknown = _LEFT_OUT.search(plain(ask.text)) if not ask.refs else None
    if unknown and unknown[1] not in _NO_NAME:
        return Reply(f"I know no {unknown[1]} in this menu. Which step do you mean?")
    if step is None and not ask.refs:
        step = in_hand(scene) or next(iter(next_steps(scene.live, 1)), None)
    if step is None:
        return Reply("Which step shall I leave out?")
    return noted(scene, "skipped", step, f"Left out: {step.name}.")


def drop_dish(ask: Understood, scene: Scene) -> Reply:
    """Leave a whole dish out, once that is confirmed."""
    dish = dish_meant(ask, scene)
    if dish is None:
        return Reply("Which dish shall I leave out?")
    title = scene.menu.dish(dish).title
    part = _part_named(ask, scene)
    if part is not None and ask.by != "confirmed":
        return _part_or_all(ask, part, scene.menu.dish(part.dish).title)
    if ask.by != "confirmed":
        label = f"leave out {title}"
        meant = Understood(ask.text, "drop_dish", 1.0, refs=ask.refs, by="confirmed")
        return Reply(f"Leave out {title} altogether?", question=Question(((label, meant),)))
    return Reply(f"Left out: {title}.", events=(Event(scene.now, "dish_dropped", dish),))


def _called_alike(ask: Understood, scene: Scene) -> list[Step]:
    """The steps still to do that the first thing named can be, where it is a step's own name."""
    first = next(iter(ask.refs), None)
    if first is None or first.kind != "step":
        return []
    named = {ref.name for ref in ask.refs if (ref.start, ref.end) == (first.start, first.end)}
    states = scene.live.state.steps
    steps = (scene.live.steps[key] for key in named if key in scene.live.steps)
    left = [s for s in steps if s.batch[0] == 1 and not states[s.key].over]
    return sorted(left, key=lambda step: starts_at(scene.live, step.key))


def _part_named(ask: Understood, scene: Scene) -> Step | None:
    """The step still to do that is named after what is said, where no dish is said."""
    if any(ref.kind == "dish" for ref in ask.refs):
        return None
    states = scene.live.state.steps
    steps = ((ref, step) for ref in ask.refs for step in steps_meant(ref, scene))
    return next(
        (
            step
            for ref, step in steps
            if (ref.kind == "step" or plain(ref.text) in plain(step.name))
            and not states[step.key].over
        ),
        None,
    )


def _part_or_all(ask: Understood, part: Step, title: str) -> Reply:
    """Asks whether a step is to be left out, or the dish that it is of."""
    ref = as_ref(part)
    only = Understood(ask.text, "skip_step", 1.0, refs=(ref,), by="exact")
    whole = Ref(title, "dish", part.dish, 1.0, 0, 0)
    every = Understood(ask.text, "drop_dish", 1.0, refs=(whole,), by="confirmed")
    choices = ((f"only {part.name}", only), (f"all of {title}", every))
    return Reply(f"Leave out only “{part.name}”, or all of {title}?", question=Question(choices))

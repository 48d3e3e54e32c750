"""Which steps an utterance is about: from a reference, or from what is going on."""

from collections.abc import Iterable

from assistant.meaning import Ref, Understood
from assistant.scene import Scene
from domain.menu import Step
from scheduling.queries import next_steps

# Running steps come first, then those still to come, then those behind us.
_ORDER = {"running": 0, "waiting": 1, "done": 2, "skipped": 3}


def topic(ask: Understood, scene: Scene) -> Ref | None:
    """The thing asked about: named now, or named last ("and how long for that?")."""
    return ask.refs[0] if ask.refs else scene.context.topic


def dishes_named(refs: Iterable[Ref]) -> tuple[str, ...]:
    """The names of the dishes that were named, themselves or by a step of theirs, each once."""
    names = (ref.name.split("/")[0] for ref in refs if ref.kind in ("dish", "step"))
    return tuple(dict.fromkeys(names))


def steps_meant(ref: Ref, scene: Scene) -> list[Step]:
    """The steps `ref` can mean: running ones first, then waiting ones in plan order, then done."""
    live = scene.live

    def place(step: Step) -> tuple[int, float]:
        slot = live.timetable.slots.get(step.key)
        return _ORDER[live.state.steps[step.key].status], slot.start_at if slot else 0.0

    return sorted((step for step in live.steps.values() if _concerns(step, ref)), key=place)


def step_meant(ask: Understood, scene: Scene) -> Step | None:
    """The one step a question is about: the thing named now, or with the last words; else the
    step told last, the one in hand, or the next to begin."""
    last = scene.context.asked
    told = scene.context.reply if last is not None else None
    if not ask.refs and told is not None and told.step in scene.live.steps:
        return scene.live.steps[told.step]
    reported = last is not None and (last.intent or "").startswith("report_")
    ref = next(iter(ask.refs or (last.refs if last is not None and not reported else ())), None)
    if ref is not None:
        steps = steps_meant(ref, scene)
        if steps:
            return steps[0]
    return in_hand(scene) or next(iter(next_steps(scene.live, 1)), None)


def in_hand(scene: Scene) -> Step | None:
    """The step "it is done" means when nothing is named: the hands-on step begun last,
    else the one that has run over its time, else the only one under way."""
    under_way = scene.live.running()
    hands_on = [step for step in under_way if step.attention == "hands-on"]
    if hands_on:
        return hands_on[-1]
    awaited = [step for step in under_way if step.gate and step.gate.moment == "end"]
    for steps in (awaited, under_way):
        if len(steps) == 1:
            return steps[0]
    return None


def _concerns(step: Step, ref: Ref) -> bool:
    if ref.kind == "step":
        return step.key == ref.name
    if ref.kind == "dish":
        return step.dish == ref.name
    if ref.kind == "ingredient":
        return ref.name in step.ingredients
    return any(use.what == ref.name for use in step.uses)

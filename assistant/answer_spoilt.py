"""Answers to what has gone wrong: what now, then what the plan makes of it."""

from assistant.advised import advice_on, advice_reply
from assistant.answer_reports import first_running
from assistant.inside_temperature import temperatures_asked
from assistant.meaning import Understood
from assistant.measures import clock
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.subject import in_hand, steps_meant
from assistant.wording import plain
from domain.advice import advised
from domain.menu import Step
from scheduling.queries import ready_at

_UNKNOWN = "First turn the heat off, and wipe up any spill before you walk on it."
_CHOICES = "Say how much longer you need, or which dish to leave out."
_ASK_HEAT = "Ask me how hot it must be inside."


def report_spoilt(ask: Understood, scene: Scene) -> Reply:
    """What to do at once with what was burnt, spilt, dropped or split; then the plan's choices."""
    row = advised("mishaps", plain(ask.text), weak=True)
    step = _step(ask, scene)
    planned = _plan_words(step, scene) if step else _CHOICES
    if row is None:
        return advice_on(ask, scene, weak=True) or Reply(_UNKNOWN, more=planned)
    known = advice_reply(row, ask, scene, name_practice=False)
    heat = "" if not row.needs_heat or temperatures_asked(ask, scene) else _ASK_HEAT
    spoken = " ".join(filter(None, (known.spoken, heat, planned)))
    body, _, cited = known.shown.partition("\n")
    shown = " ".join(filter(None, (body, heat, planned)))
    return Reply(spoken, f"{shown}\n{cited}", known.more)


def _step(ask: Understood, scene: Scene) -> Step | None:
    """The step that it happened to: the one named, else the one in hand."""
    named = first_running(ask, scene)
    if named is None and ask.refs:
        named = next((step for ref in ask.refs for step in steps_meant(ref, scene)), None)
    return named or in_hand(scene)


def _plan_words(step: Step, scene: Scene) -> str:
    """When the dish is planned to be ready, and what can be said to change that."""
    if step.dish not in {dish.name for dish in scene.menu.dishes}:
        return _CHOICES
    title = scene.menu.dish(step.dish).title.lower()
    at = ready_at(scene.live, step.dish)
    planned = f"The plan has the {title} ready at {clock(at)}. " if at is not None else ""
    return f"{planned}Say how much longer it needs, or to leave it out."

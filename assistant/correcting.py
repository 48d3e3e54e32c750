"""What a correction means: the request it reaches back to, with the other amount or thing."""

import re
from collections.abc import Iterator
from dataclasses import replace

from assistant.corrections import like
from assistant.meaning import AmountHeard, Ref, Understood
from assistant.reply import Question, Reply
from assistant.scene import Context, Scene
from assistant.timers import ringing_order, timer_ref
from assistant.wording import plain
from domain.menu import Dish
from scheduling.queries import left_to_do

_OTHER = re.compile(r"\bother(?: (?P<noun>[a-z]+))?")
_NO_NOUN = frozenset({"one", "ones", "thing", "not", "please"})
_NOT = re.compile(r"\bnot(?:\s+(?:the|a|my|those|these))?\s*$", re.I)
_CHOICES = 3


def corrected(ask: Understood, context: Context, scene: Scene) -> Understood | Reply:
    """The request meant, or what is said where that is not clear."""
    if _OTHER.search(plain(ask.text)):
        return _other_thing(ask, context, scene)
    amounts, refs = _meant_amounts(ask), _meant_refs(ask)
    last = _reached(context, amounts, refs)
    if last is None:
        named = refs[0].text if refs else amounts[0].text if amounts else ""
        return Reply(f"What about {named}?" if named else "Sorry. Tell me again what you meant.")
    old = last.amounts or amounts
    new = tuple(
        replace(like(bare, was), text=was.text, start=was.start, end=was.end)
        for bare, was in zip(amounts, old, strict=False)
    )
    return replace(last, amounts=new or last.amounts, refs=refs or last.refs)


def _reached(
    context: Context, amounts: tuple[AmountHeard, ...], refs: tuple[Ref, ...]
) -> Understood | None:
    """The latest request that has what is corrected; of those, one that changed something."""
    if not amounts and not refs:
        return None
    having = [one for one in context.requests if one.amounts] if amounts else context.requests
    if amounts and not having:
        return context.acted
    if refs and not amounts:
        having = [one for one in context.requests if one.refs or one.amounts] or having
    return next(iter(having), None)


def _meant_amounts(ask: Understood) -> tuple[AmountHeard, ...]:
    """The amounts that hold: not those that are denied ("fifteen, not fifty")."""
    held = tuple(one for one in ask.amounts if not _NOT.search(ask.text[: one.start]))
    return held or ask.amounts


def _meant_refs(ask: Understood) -> tuple[Ref, ...]:
    """The things that hold: not those that are denied ("not the rice, the beans")."""
    held = tuple(ref for ref in ask.refs if not _NOT.search(ask.text[: ref.start]))
    return held or ask.refs


def _other_thing(ask: Understood, context: Context, scene: Scene) -> Understood | Reply:
    """The last request again, of the other thing of the same kind."""
    last = next((one for one in context.requests if one.refs), None)
    last = last or next(iter(context.requests), None)
    if last is None:
        return Reply("Sorry. Tell me again what you meant.")
    match = _OTHER.search(plain(ask.text))
    noun = match["noun"] if match and match["noun"] not in _NO_NOUN else None
    found = list(_others(last, noun, scene))
    meant = [replace(last, refs=(ref,), confidence=1.0, text=ask.text) for ref in found]
    if len(meant) == 1:
        return meant[0]
    if not meant:
        return Reply(f"I know of no other {noun or 'one'}. Which do you mean?")
    choices = tuple((ref.text, one) for ref, one in zip(found, meant, strict=True))[:_CHOICES]
    words = " or ".join(label for label, _ in choices)
    return Reply(f"Which one: {words}?", question=Question(choices))


def _others(last: Understood, noun: str | None, scene: Scene) -> Iterator[Ref]:
    """Things of the kind of the last one, or named by the noun, that are not it."""
    named = {ref.name for ref in last.refs}
    if any(ref.kind == "timer" for ref in last.refs) or noun == "timer":
        for timer in ringing_order(scene):
            if timer.name not in named:
                yield timer_ref(timer)
        return
    dishes = named | {ref.name.split("/")[0] for ref in last.refs if ref.kind == "step"}
    titles = {dish.name: dish for dish in scene.menu.dishes}
    told = set[str]()
    for step in left_to_do(scene.live):
        running = scene.live.state.steps[step.key].status == "running"
        fits = any(use.what.split()[-1] == noun for use in step.uses) if noun else running
        if fits and step.dish in titles and step.dish not in dishes | told:
            told.add(step.dish)
            yield Ref(_called(titles[step.dish]), "dish", step.dish, 1.0, 0, 0)


def _called(dish: Dish) -> str:
    return next((name for name in dish.also if name.startswith("the ")), dish.title)

"""Reminders: of what, and at which time of the clock or at which moment of the cook."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rapidfuzz import fuzz

from assistant.answer_time import duration_s, moment
from assistant.meaning import Ref, Understood
from assistant.measures import clock, span
from assistant.reply import Question, Reply
from assistant.scene import Scene
from assistant.subject import steps_meant
from assistant.timers import MOST_TIMERS, numbered, ringing_order, told_here
from assistant.wording import plain
from domain.menu import Step
from scheduling.events import Event, Reminder
from scheduling.queries import reminder_at, starts_at
from scheduling.reminders import reminder_of

_WHEN = r"when(?:ever)?|once|as soon as|after|before|until"
_ASKS = (
    r"(?:remind|tell|nudge|warn|poke|shout at|let|give|don't let|do not let|make sure|remember)\b"
    r"(?:\s+(?:me|us|a|an|i|know|reminder|nudge|shout|warning|don't|do not|forget|to tell))*"
)
# What to be reminded of, and when, in the orders that cooks tell them.
_ORDERS = (
    re.compile(rf"{_ASKS}\s+(?P<cue>{_WHEN})\s+(?P<moment>.+?)\s+(?:to|that|about)\s+(?P<of>.+)"),
    re.compile(
        rf"\b(?P<cue>{_WHEN})\s+(?P<moment>.+?)[, ]+{_ASKS}\s+(?:(?:to|that|about)\s+)?(?P<of>.+)"
    ),
    re.compile(rf"{_ASKS}\s+(?P<cue>{_WHEN})\s+(?P<moment>.+)"),
    re.compile(
        rf"{_ASKS}\s+(?:(?:to|that|about)\s+)?(?P<of>.+?)\s+(?P<cue>{_WHEN})\s+(?P<moment>.+)"
    ),
)
_OF = re.compile(rf"{_ASKS}\s+(?:.*?\s)??(?:to|that|about)\s+(?P<of>.+)")
_AN_AMOUNT = re.compile(r"\s*\b(?:in|at|for|by|every|until|every)?\s*\|\s*(?:from now|time)?")
_BOIL = re.compile(r"\bto (?:the|a) (?:boil|simmer)\b")
_SERVICE = re.compile(r"\b(?:we eat|service|serving|dinner|supper|we serve)\b")
_STARTS = re.compile(r"\b(?:go|goes|going|on|in|start|starts|begin|begins|begun|started|put)\b")
_COMES_OFF = re.compile(r"\b(?:out|off)\b")
_SHORTLY_S = 60.0  # "before" and "nearly" without a time are so long before; our own choice
_ALIKE = 88.0  # rapidfuzz ratio of what is told to a gate's own wording; our own choice


@dataclass(frozen=True)
class _Told:
    """cue: "when", "before", ...; when: the moment's words, "" where a time is told; of: what."""

    cue: str
    when: str
    of: str


def remind_me(ask: Understood, scene: Scene) -> Reply:
    """A reminder, called with the words to remember: by the clock, or as a step begins or ends."""
    told = _told(ask)
    if told.when:
        return _at_a_moment(told, ask, scene)
    end = moment(ask, scene)
    if end is None:
        return Reply("When shall I remind you?", question=Question((), amount_for=ask))
    if len(ringing_order(scene)) >= MOST_TIMERS:
        return Reply("Too many timers are running. Cancel one first.")
    name = next(numbered(told.of or "reminder", scene))
    event = Event(scene.now, "timer_set", name, end, note=told.of or "time is up")
    of = f": {told.of}" if told.of else ""
    more = f"That is in {span(end - scene.now)}."
    return Reply(f"I will remind you at {clock(end)}{of}.", more=more, events=(event,))


def _told(ask: Understood) -> _Told:
    text = ask.text
    for amount in sorted(ask.amounts, key=lambda amount: -amount.start):
        if amount.kind in ("duration", "clock") and told_here(amount, ask):
            text = f"{text[: amount.start]}|{text[amount.end :]}"
    text = _BOIL.sub("boiling", _AN_AMOUNT.sub(" ", text.lower().replace("’", "'")))
    text = " ".join(text.rstrip(" .!?").split())
    for order in _ORDERS:
        if match := order.search(text):
            return _Told(match["cue"], match["moment"], _tidy(match.groupdict().get("of") or ""))
    match = _OF.search(text)
    return _Told("", "", _tidy(match["of"]) if match else "")


def _tidy(words: str) -> str:
    """The words as they are said back: "turn it down", without what is only polite."""
    words = re.sub(r"\b(?:please|thanks|thank you)\b", "", words).strip()
    words = re.sub(r"^(?:me|i need|that)\s+(?:to\s+)?", "", words)
    return " ".join(re.sub(r"\bmy\b", "your", words).split()).strip(" ,.")


def _at_a_moment(told: _Told, ask: Understood, scene: Scene) -> Reply:
    nearly = any(word in told.when for word in ("nearly", "almost"))
    before_s = duration_s(ask) or (_SHORTLY_S if nearly or told.cue == "before" else 0.0)
    when = "service" if _SERVICE.search(told.when) else _moment_of(told, ask, scene)
    if when is None:
        return Reply(
            "When shall I remind you? Name a step, or a time.",
            question=Question((), amount_for=ask),
        )
    of = told.of or _tidy(told.when) + (", soon" if before_s and not nearly else "")
    event = Event(scene.now, "reminder_set", of, before_s, note=when)
    reminder = reminder_of(event)
    at = reminder_at(scene.live, reminder)
    return Reply(
        f"I will remind you {_when_told(reminder, scene)}: {of}.",
        more=f"By the plan that is at {clock(at)}." if at else "",
        events=(event,),
    )


def _when_told(reminder: Reminder, scene: Scene) -> str:
    before = f"{span(reminder.before_s)} before " if reminder.before_s else ""
    if not reminder.step:
        return f"{before or 'at '}service"
    name = scene.live.steps[reminder.step].name
    if before:
        return f"{before}the {reminder.moment} of “{name}”"
    return f"when “{name}” {'begins' if reminder.moment == 'start' else 'is done'}"


def _moment_of(told: _Told, ask: Understood, scene: Scene) -> str | None:
    """The start or end of a step that is meant, as an event notes it."""
    steps = list(_steps_to_come(told, ask, scene))
    gated = [step for step in steps if step.gate and _like_gate(told.when, step)]
    if gated:
        return f"end {gated[0].key}" if _ends(gated[0]) else f"start {gated[0].key}"
    if not steps:
        return None
    begins = told.cue != "after" and _STARTS.search(told.when) and not _COMES_OFF.search(told.when)
    if told.cue == "before" and not re.search(r"\b(?:done|ready|finished|out|off)\b", told.when):
        begins = True
    if begins:
        waiting = [s for s in steps if scene.live.state.steps[s.key].status == "waiting"]
        hot = [step for step in waiting if step.on_heat]
        chosen = next(iter(hot or waiting), None)
        return f"start {chosen.key}" if chosen else None
    hot = [step for step in steps if step.on_heat]
    last = (hot if _COMES_OFF.search(told.when) and hot else steps)[-1]
    return f"end {last.key}"


def _ends(step: Step) -> bool:
    return step.gate is not None and step.gate.moment == "end"


def _steps_to_come(told: _Told, ask: Understood, scene: Scene) -> Iterator[Step]:
    """The steps of the things named in the moment's words that are not over, in plan order."""
    named = [ref for ref in ask.refs if ref.text.lower() in told.when]
    exact = [ref for ref in named if ref.kind == "step"]
    found: dict[str, Step] = {}
    for ref in exact if _alone(exact) else named:
        found |= {step.key: step for step in steps_meant(ref, scene)}
    states = scene.live.state.steps
    to_come = [step for step in found.values() if not states[step.key].over]
    yield from sorted(to_come, key=lambda step: starts_at(scene.live, step.key))


def _alone(exact: list[Ref]) -> bool:
    return len({ref.name for ref in exact}) == 1


def _like_gate(when: str, step: Step) -> bool:
    assert step.gate is not None
    wordings = (step.gate.shown, *step.gate.says)
    return any(fuzz.ratio(plain(when), plain(words)) >= _ALIKE for words in wordings)

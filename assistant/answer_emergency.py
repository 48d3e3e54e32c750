"""The answer to an emergency: one sourced instruction, the number to call, and silence after it."""

from dataclasses import replace

from assistant.emergencies import Emergency, emergencies, told
from assistant.meaning import Understood
from assistant.reply import Question, Reply
from assistant.scene import Scene
from scheduling.events import Event


def emergency(ask: Understood, scene: Scene) -> Reply:
    """What to do first; the plan waits and every call is silenced until the cook carries on."""
    row = _row(ask)
    number = f"Call {scene.settings.emergency_number}."
    waits = () if scene.live.state.paused_at is not None else (Event(scene.now, "paused"),)
    return Reply(
        f"{row.say} {number}",
        shown=f"{row.say} {number}\nSource: {row.source} ({row.status}).",
        more=f"{row.more} Say carry on when all is well.",
        events=waits if scene.live.state.started_at is not None else (),
        stops=True,
        hush_s=float("inf"),
    )


def in_case(ask: Understood, scene: Scene) -> Reply:
    """The same instruction where it is not sure that there is an emergency: nothing waits for it.

    The cook who says yes, calls for help or tells it again has the whole answer.
    """
    row = _row(ask)
    say = f"{row.when}: {row.say[0].lower()}{row.say[1:]}"
    return Reply(
        f"{say} Is it so? Say yes, and everything waits.",
        shown=f"{say} Is it so?\nSource: {row.source} ({row.status}).",
        more=row.more,
        question=Question((("help me quick", replace(ask, confidence=1.0)),)),
    )


def _row(ask: Understood) -> Emergency:
    """The row that the words tell of; for a guess at an intent its last row, the general one."""
    found = told(ask.text)
    if found is not None and found.intent == ask.intent:
        return found
    return [row for row in emergencies() if row.intent == ask.intent][-1]

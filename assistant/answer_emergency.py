"""The answer to an emergency: one sourced instruction, the number to call, and silence after it."""

from assistant.emergencies import emergencies
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.scene import Scene
from scheduling.events import Event


def emergency(ask: Understood, scene: Scene) -> Reply:
    """What to do first; the plan waits and every call is silenced until the cook carries on."""
    row = next(row for row in emergencies() if row.intent == ask.intent)
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

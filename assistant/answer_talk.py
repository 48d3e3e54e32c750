"""Answers about the talk itself."""

from assistant.answer_time import duration_s
from assistant.meaning import Understood
from assistant.measures import span
from assistant.reply import Reply
from assistant.scene import Scene
from scheduling.events import Event

_HUSH_S = 600.0


def stop(_: Understood, scene: Scene) -> Reply:
    """Silent at once; the plan is untouched, a ringing timer is acknowledged."""
    events = tuple(
        Event(scene.now, "timer_acknowledged", timer.name)
        for timer in scene.live.state.timers.values()
        if timer.ends_at <= scene.now and not timer.acknowledged
    )
    return Reply("", events=events, stops=True)


def hush(ask: Understood, _: Scene) -> Reply:
    """No calls for a while, but for what is on the heat and the timers that the cook has set."""
    length = duration_s(ask) or _HUSH_S
    still = "I still call out timers and what is on the heat."
    return Reply(f"Quiet for {span(length)}. {still}", hush_s=length)


def speak_up(_: Understood, __: Scene) -> Reply:
    """Calls may be heard again."""
    return Reply("I will call out again.", hush_s=0.0)


def thanks(_: Understood, __: Scene) -> Reply:
    """A word back."""
    return Reply("You are welcome.")


def greet(_: Understood, __: Scene) -> Reply:
    """A greeting back, and how to begin."""
    return Reply("Hello. Ask me what is next.")


def help_(_: Understood, __: Scene) -> Reply:
    """What can be asked, in one breath; the rest on "more"."""
    return Reply(
        "Ask what now, what next, how long left, how much, or when we eat.",
        more="Tell me done, started, it boils, three minutes more, skip that, undo, pause. "
        "Ask me to convert, to set a timer, what to swap, how long something keeps. "
        "Ask what if the rice takes longer, and what our chances are. "
        "Say stop and I am silent.",
    )

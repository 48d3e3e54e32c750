"""Answers about the talk itself."""

import re

from assistant.answer_time import duration_s
from assistant.meaning import Understood
from assistant.measures import span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.wording import plain
from scheduling.events import Event

_HUSH_S = 600.0
_UNTIL_ASKED_S = 24 * 3600.0  # longer than any cook
_UNTIL = re.compile(r"\b(?:until|till|unless|before) (?:i|we|you are|spoken)\b")
_NOTHING_AT_ALL = re.compile(
    r"\b(?:not (?:even|a (?:word|sound|peep))|nothing at all|no (?:timers?|heat)|"
    r"whatever happens)\b"
)


def stop(_: Understood, scene: Scene) -> Reply:
    """Silent at once; the plan is untouched, a ringing timer is acknowledged."""
    events = tuple(
        Event(scene.now, "timer_acknowledged", timer.name)
        for timer in scene.live.state.timers.values()
        if timer.ends_at <= scene.now and not timer.acknowledged
    )
    return Reply("", events=events, stops=True)


def hush(ask: Understood, _: Scene) -> Reply:
    """No calls for a while, or until asked, but for what is on the heat and the timers that the
    cook has set; those too where that is said."""
    length, said = duration_s(ask), plain(ask.text)
    if _NOTHING_AT_ALL.search(said):
        words = "Quiet, even about timers and the heat, until you say: talk again."
        return Reply(f"{words} Mind the heat yourself.", hush_s=float("inf"))
    still = "I still call out timers and what is on the heat."
    if length is None and _UNTIL.search(said):
        return Reply(f"Quiet until you say: talk again. {still}", hush_s=_UNTIL_ASKED_S)
    length = length or _HUSH_S
    sooner = "Say “talk again” to end that sooner."
    return Reply(f"Quiet for {span(length)}. {still}", more=sooner, hush_s=length)


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

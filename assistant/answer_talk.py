"""Answers about the talk itself and the cook's settings."""

from assistant.answer_amounts import convert_amount
from assistant.answer_time import duration_s
from assistant.meaning import Understood
from assistant.measures import span
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.wording import plain
from scheduling.events import Event

# Steps of one request, and their limits: our own choice.
_SPEED_STEP, _SLOWEST, _FASTEST = 0.15, 0.5, 2.0
_VOLUME_STEP, _SOFTEST = 0.2, 0.2
_UNIT_WORDS = {
    "metric": "metric", "grams": "metric", "gram": "metric", "celsius": "metric",
    "american": "us", "us": "us", "cups": "us", "ounces": "us", "fahrenheit": "us",
    "imperial": "uk", "british": "uk", "uk": "uk", "australian": "au",
}  # fmt: skip


_TO_A_UNIT = frozenset({"to", "in", "into", "as", "and", "or"})
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
    """No calls for a while, but for what is on the heat."""
    length = duration_s(ask) or _HUSH_S
    return Reply(f"Quiet for {span(length)}. I still call out what is on the heat.", hush_s=length)


def speak_up(_: Understood, __: Scene) -> Reply:
    """Calls may be heard again."""
    return Reply("I will call out again.", hush_s=0.0)


def slower(_: Understood, scene: Scene) -> Reply:
    """Speak more slowly from now on."""
    return _speed(scene, -_SPEED_STEP, "Slower from now on.", "This is as slow as I go.")


def faster(_: Understood, scene: Scene) -> Reply:
    """Speak faster from now on."""
    return _speed(scene, _SPEED_STEP, "Faster from now on.", "This is as fast as I go.")


def louder(_: Understood, scene: Scene) -> Reply:
    """Speak louder from now on."""
    return _volume(scene, _VOLUME_STEP, "Louder from now on.", "This is as loud as I go.")


def softer(_: Understood, scene: Scene) -> Reply:
    """Speak more softly from now on."""
    return _volume(scene, -_VOLUME_STEP, "Softer from now on.", "This is as soft as I go.")


def shorter(_: Understood, __: Scene) -> Reply:
    """Brief answers from now on."""
    return Reply("Short answers from now on.", settings=(("answers", "brief"),))


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


def set_units(ask: Understood, scene: Scene) -> Reply:
    """Other units, remembered; a unit alone ("to ounces") is for the amount in the air."""
    units = {word for amount in ask.amounts for word in plain(amount.text).split()}
    if units and not set(plain(ask.text).split()) - units - _TO_A_UNIT:
        return convert_amount(ask, scene)
    for word in plain(ask.text).split():
        if word in _UNIT_WORDS:
            system = _UNIT_WORDS[word]
            names = {"metric": "metric", "us": "American", "uk": "British", "au": "Australian"}
            return Reply(
                f"{names[system].capitalize()} measures from now on.", settings=(("units", system),)
            )
    return Reply("Metric, American, British or Australian?")


def _speed(scene: Scene, step: float, words: str, limit: str) -> Reply:
    new = round(scene.settings.speed + step, 2)
    if not _SLOWEST <= new <= _FASTEST:
        return Reply(limit)
    return Reply(words, settings=(("speed", new),))


def _volume(scene: Scene, step: float, words: str, limit: str) -> Reply:
    new = round(scene.settings.volume + step, 2)
    if not _SOFTEST <= new <= 1.0:
        return Reply(limit)
    return Reply(words, settings=(("volume", new),))

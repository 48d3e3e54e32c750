"""Answers about how the assistant sounds and listens: speed, volume, voice, sounds; to whom."""

from assistant.figures import joined
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.speak import DEFAULT, VOICES, voices_here
from assistant.wording import plain
from domain.phrasing import number_spoken

# Steps of one request, and their limits: our own choice. One step of volume is about two
# decibels, of speed one that is just heard.
_SPEED_STEP, _SLOWEST, _FASTEST = 0.15, 0.5, 2.0
_VOLUME_STEP, _SOFTEST, _LOUDEST = 0.15, 0.2, 1.0
_USUAL = frozenset({"usual", "normal", "default", "best", "first", "old"})
_WOMANS = frozenset({"woman", "womans", "female", "lady", "ladys", "girl"})
_SAYING = frozenset({"say", "read", "repeat", "tell"})
_PLACES = ("first", "second", "third", "fourth", "fifth")


def slower(ask: Understood, scene: Scene) -> Reply:
    """Speak more slowly from now on."""
    return _speed(ask, scene, -_SPEED_STEP, "Slower from now on.", "This is as slow as I go.")


def faster(ask: Understood, scene: Scene) -> Reply:
    """Speak faster from now on."""
    return _speed(ask, scene, _SPEED_STEP, "Faster from now on.", "This is as fast as I go.")


def louder(ask: Understood, scene: Scene) -> Reply:
    """Speak louder from now on."""
    return _volume(ask, scene, _VOLUME_STEP, "Louder from now on.", "This is as loud as I go.")


def softer(ask: Understood, scene: Scene) -> Reply:
    """Speak more softly from now on."""
    return _volume(ask, scene, -_VOLUME_STEP, "Softer from now on.", "This is as soft as I go.")


def other_voice(ask: Understood, scene: Scene) -> Reply:
    """Speak with the voice that was named, or with the next one there is."""
    here, now = voices_here(), _speaking(scene)
    if len(here) < 2:
        return Reply("I have only this voice.")
    chosen = _named(ask, here) or here[(here.index(now) + 1) % len(here) if now in here else 0]
    settings = (("voice", chosen),)
    return Reply(f"This is {VOICES[chosen].said}.", settings=settings)


def which_voices(_: Understood, scene: Scene) -> Reply:
    """The voices that this machine has, and which one speaks."""
    here, now = voices_here(), _speaking(scene)
    if not here:
        return Reply("I have no voice here; I only print.")
    count = number_spoken(len(here)).capitalize()
    voices = "voice" if len(here) == 1 else "voices"
    others = [VOICES[name].said for name in here if name != now]
    also = f" The others are {joined(others)}." if others else ""
    return Reply(f"{count} {voices}. This is {VOICES[now].said}.{also}")


def sounds_off(_: Understood, scene: Scene) -> Reply:
    """No sounds besides speech from now on."""
    return Reply("No more sounds; I only speak.", settings=(("sounds", False),))


def sounds_on(_: Understood, scene: Scene) -> Reply:
    """Sounds again from now on."""
    return Reply("Sounds are on.", settings=(("sounds", True),))


def listen_openly(_: Understood, __: Scene) -> Reply:
    """All speech is taken as meant for us from now on."""
    return Reply("I listen to everything.", settings=(("listening", "open"),))


def listen_by_name(_: Understood, scene: Scene) -> Reply:
    """Only what is said with our name, from now on; danger always."""
    name = scene.settings.called.title()
    return Reply(f"I listen when you say {name}.", settings=(("listening", "name"),))


def listen_by_key(_: Understood, __: Scene) -> Reply:
    """Only what is said after a key or pedal, from now on; danger always."""
    words = "I listen after you press Enter, or a pedal that sends it."
    return Reply(words, settings=(("listening", "key"),))


def _speaking(scene: Scene) -> str:
    """The name of the voice that the settings have, the best one for the default."""
    wanted = scene.settings.voice
    return (voices_here() or [wanted])[0] if wanted == DEFAULT else wanted


def _named(ask: Understood, here: list[str]) -> str | None:
    """The voice that the words pick, if any."""
    words = set(plain(ask.text).split())
    for name in here:
        if VOICES[name].asked in words or name.lower() in plain(ask.text):
            return name
    if words & _WOMANS:
        return next((name for name in here if VOICES[name].asked == "woman"), None)
    place = next((at for at, word in enumerate(_PLACES) if word in words), None)
    if place is not None and place < len(here):
        return here[place]
    return here[0] if words & _USUAL else None


def _speed(ask: Understood, scene: Scene, step: float, words: str, limit: str) -> Reply:
    old = scene.settings.speed
    new = min(max(round(old + step, 2), _SLOWEST), _FASTEST)
    return Reply(limit) if new == old else _changed("speed", new, words, ask, scene)


def _volume(ask: Understood, scene: Scene, step: float, words: str, limit: str) -> Reply:
    old = scene.settings.volume
    new = min(max(round(old + step, 2), _SOFTEST), _LOUDEST)
    return Reply(limit) if new == old else _changed("volume", new, words, ask, scene)


def _changed(name: str, new: float, words: str, ask: Understood, scene: Scene) -> Reply:
    """The setting, and the last answer again where that is what was asked ("say that slower")."""
    last = scene.context.reply
    if last is None or not _SAYING & set(plain(ask.text).split()):
        return Reply(words, settings=((name, new),))
    spoken, shown = f"{words} {last.spoken}", f"{words} {last.shown}"
    return Reply(spoken, shown, settings=((name, new),))

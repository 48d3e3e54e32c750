"""A sentence to sound: the `Speaker` protocol, and which voice speaks."""

import re
import wave
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

from domain.errors import KitchenError


class Speaker(Protocol):
    """A voice. pcm: mono 16-bit at rate_hz. speed: times its usual; volume: 0 silent to 1 full."""

    rate_hz: int
    speed: float
    volume: float

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, clause by clause."""
        ...


def _piper() -> Speaker:
    from assistant.speak_piper import PiperSpeaker

    return PiperSpeaker()


def _espeak() -> Speaker:
    from assistant.speak_espeak import EspeakSpeaker

    return EspeakSpeaker()


# In the order in which they are tried; the engines load only when chosen.
SPEAKERS: dict[str, Callable[[], Speaker]] = {"Piper": _piper, "eSpeak NG": _espeak}


def choose_speaker(wanted: str = "default") -> tuple[Speaker | None, str]:
    """Return the wanted voice, else the next that works, else None: words are only printed.

    wanted: a name in `SPEAKERS`, or "default" for the best that works. The second value says,
    for the cook, why it is not the wanted one; "" when it is. Raises KitchenError for a name
    that is not known.
    """
    if wanted not in ("default", *SPEAKERS):
        raise KitchenError(f"there is no voice “{wanted}”; choose from {', '.join(SPEAKERS)}")
    troubles = []
    for name in sorted(SPEAKERS, key=lambda name: name != wanted):
        try:
            speaker = SPEAKERS[name]()
        except (KitchenError, OSError, ImportError) as trouble:
            troubles.append(f"{name} cannot speak: {trouble}")
            continue
        return speaker, "; ".join([*troubles, f"{name} speaks instead"]) if troubles else ""
    return None, "; ".join([*troubles, "I print only"])


_BETWEEN_CLAUSES = re.compile(r"(?<=[.,;:!?])\s+")
_LEAST_WORDS = 3


def clauses(sentence: str) -> list[str]:
    """Cut at punctuation, so that sound starts before the whole sentence is made.

    A piece of fewer than three words stays with the next one, unless a sentence ends there:
    alone it would sound clipped.
    """
    pieces: list[str] = []
    for piece in _BETWEEN_CLAUSES.split(sentence.strip()):
        short = pieces and len(pieces[-1].split()) < _LEAST_WORDS
        if short and pieces[-1][-1] not in ".!?":
            pieces[-1] += " " + piece
        elif piece:
            pieces.append(piece)
    return pieces


def say_to_wav(speaker: Speaker, sentence: str, path: Path) -> None:
    """Write the sentence, spoken, to a WAV file (mono, 16-bit, `speaker.rate_hz`)."""
    with wave.open(str(path), "wb") as sound:
        sound.setnchannels(1)
        sound.setsampwidth(2)
        sound.setframerate(speaker.rate_hz)
        for pcm in speaker.say(sentence):
            sound.writeframes(pcm)

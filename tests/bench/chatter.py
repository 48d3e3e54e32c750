"""Speech that is not meant for us, and the noises of a kitchen, for `tests.bench.listening`.

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

from assistant.audio import RATE_HZ, from_pcm, resample
from assistant.speak import Speaker
from assistant.speak_espeak import EspeakSpeaker
from assistant.speak_flite import FliteSpeaker
from assistant.speak_piper import PiperSpeaker

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


def talk(seed: int = 1) -> Iterator[str]:
    """Sentences and, as often, pieces of them, as talk is broken up; without end."""
    found = sorted({m[0] for text in topics.values() for m in _PROSE.finditer(text)})
    chance = random.Random(seed)
    while True:
        for sentence in chance.sample(found, len(found)):
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
    """An extractor's hum, a sizzle that comes and goes, a tap, clatter; about -36 dB of full."""
    chance = np.random.default_rng(seed)
    size = int(seconds * RATE_HZ)
    at = np.arange(size) / RATE_HZ
    hum = sum(np.sin(2 * np.pi * 50 * k * at + k) / k for k in (1, 2, 3, 4, 6)) * 0.3
    white = chance.normal(size=size)
    hiss = np.diff(white, prepend=0.0) * (1 + np.sin(2 * np.pi * at / 11)) * 0.5
    tap = _smooth(white) * (np.sin(2 * np.pi * at / 17) > 0.6) * 3
    noise = hum + hiss + tap + _clatter(size, chance)
    return np.asarray(noise * 0.016 / np.sqrt(np.mean(noise**2)), np.float32)


def _smooth(white: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.convolve(white, np.ones(6) / 6, "same")


def _clatter(size: int, chance: np.random.Generator) -> NDArray[np.float64]:
    """A dozen blows a minute on pans that ring."""
    noise = np.zeros(size)
    for _ in range(max(1, size * 12 // (60 * RATE_HZ))):
        ring = np.arange(RATE_HZ // 4) / RATE_HZ
        pitches = chance.uniform(700, 5000, 4)
        blow = sum(np.sin(2 * np.pi * hz * ring) for hz in pitches) * np.exp(-ring * 25) * 4
        start = int(chance.integers(0, max(1, size - len(blow))))
        noise[start : start + len(blow)] += blow[: size - start]
    return noise

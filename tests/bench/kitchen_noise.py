"""Noise of a kitchen, made from numbers, always the same: 16 kHz samples of mean square 1.

Rough likenesses, each by what makes it hard for a recogniser: a hum with a fan (extractor), the
crackle of hot fat (sizzle), running water (tap), pans and plates (clatter: sparse and loud).
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from assistant.audio import RATE_HZ

Samples = NDArray[np.float32]


def extractor(seconds: float, seed: int = 0) -> Samples:
    """Mains hum at 100 Hz and its multiples over a fan's falling hiss, slowly swelling."""
    rng, time = np.random.default_rng(seed), _time(seconds)
    hum = sum(
        np.sin(2 * np.pi * 100 * n * time + rng.uniform(0, 2 * np.pi)) / n for n in range(1, 9)
    )
    swell = 1 + 0.2 * np.sin(2 * np.pi * 0.4 * time)
    return _unit(hum / np.std(hum) + 2 * _shaped(rng, len(time), -1.0, 80, 5000) * swell)


def sizzle(seconds: float, seed: int = 0) -> Samples:
    """A hiss of 1.5 kHz and more, of which the loudness crackles some forty times a second."""
    rng, time = np.random.default_rng(seed), _time(seconds)
    pops = rng.random(len(time)) < 40 / RATE_HZ
    crackle = np.convolve(pops * rng.exponential(1, len(time)), _fall(0.008), "same")
    return _unit(_shaped(rng, len(time), 0.0, 1500, 8000) * (0.5 + crackle))


def tap(seconds: float, seed: int = 0) -> Samples:
    """Water on metal: a broad hiss with a hump near 2 kHz, gurgling."""
    rng, time = np.random.default_rng(seed), _time(seconds)
    gurgle = 1 + 0.5 * _shaped(rng, len(time), 0.0, 2, 12)
    splash = _shaped(rng, len(time), -0.5, 200, 7000) + _shaped(rng, len(time), 0.0, 1500, 2600)
    return _unit(splash * np.maximum(gurgle, 0.1))


def clatter(seconds: float, seed: int = 0) -> Samples:
    """Three blows a second on things that ring at five pitches between 0.7 and 7 kHz each."""
    rng, time = np.random.default_rng(seed), _time(seconds)
    sound = 0.02 * _shaped(rng, len(time), -1.0, 80, 5000)
    for at in np.flatnonzero(rng.random(len(time)) < 3 / RATE_HZ):
        ring = _time(0.25)
        pitches, falls = rng.uniform(700, 7000, 5), rng.uniform(10, 60, 5)
        blow = sum(
            np.sin(2 * np.pi * hz * ring) * np.exp(-fall * ring)
            for hz, fall in zip(pitches, falls, strict=True)
        )
        blow = blow[: len(sound) - at] * rng.exponential(1)
        sound[at : at + len(blow)] += blow
    return _unit(sound)


NOISES: dict[str, Callable[[float, int], Samples]] = {
    "extractor": extractor,
    "sizzle": sizzle,
    "tap": tap,
    "clatter": clatter,
}


def _time(seconds: float) -> NDArray[np.float64]:
    return np.arange(int(seconds * RATE_HZ)) / RATE_HZ


def _fall(seconds: float) -> NDArray[np.float64]:
    return np.exp(-np.arange(int(5 * seconds * RATE_HZ)) / (seconds * RATE_HZ))


def _shaped(
    rng: np.random.Generator, size: int, slope: float, low_hz: float, high_hz: float
) -> NDArray[np.float64]:
    """Noise between two pitches whose amplitude goes with frequency to the power of slope."""
    spectrum = np.fft.rfft(rng.normal(size=size))
    hertz = np.fft.rfftfreq(size, 1 / RATE_HZ)
    inside = (hertz >= low_hz) & (hertz <= high_hz)
    spectrum *= inside * np.maximum(hertz, low_hz) ** slope
    noise = np.fft.irfft(spectrum, size)
    return noise / np.std(noise)


def _unit(samples: NDArray[np.float64]) -> Samples:
    unit: Samples = (samples / np.sqrt(np.mean(samples**2))).astype(np.float32)
    return unit

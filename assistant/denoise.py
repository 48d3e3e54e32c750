"""Noise suppression and speech detection on 16 kHz PCM, by RNNoise.

RNNoise (Valin 2018, "A hybrid DSP/deep learning approach to real-time full-band speech
enhancement") works on 10 ms frames at 48 kHz and tells for each how likely it holds speech.
"""

import ctypes
import importlib.util
from collections import deque
from dataclasses import dataclass
from importlib.metadata import distribution
from math import inf, log10
from statistics import median
from types import ModuleType

import numpy as np
import soxr
from numpy.typing import NDArray

from assistant.audio import RATE_HZ, from_pcm, to_pcm

FRAME_MS = 10


def _binding() -> ModuleType:
    """The wheel's binding alone: its package would bring a media decoder (0.3 s, 32 MB) along."""
    file = distribution("pyrnnoise").locate_file("pyrnnoise/rnnoise.py")
    spec = importlib.util.spec_from_file_location("rnnoise_binding", str(file))
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


_rnnoise = _binding()


@dataclass(frozen=True)
class Frame:
    """10 ms of sound as it came in: its mean square (full scale 1), its chance of speech."""

    power: float
    chance: float


class Denoiser:
    """A stream of sound, made quieter around the speech; about 20 ms later than it came in."""

    def __init__(self) -> None:
        self._state = _rnnoise.create()
        self._up = soxr.ResampleStream(RATE_HZ, _rnnoise.SAMPLE_RATE, 1, dtype="float32")
        self._down = soxr.ResampleStream(_rnnoise.SAMPLE_RATE, RATE_HZ, 1, dtype="float32")
        self._pending = np.zeros(0, np.float32)

    def __del__(self) -> None:
        _rnnoise.destroy(self._state)

    def process(self, pcm: bytes, last: bool = False) -> tuple[bytes, list[Frame]]:
        """The cleaned sound that is ready, and what each new frame was before."""
        wide = self._up.resample_chunk(from_pcm(pcm), last=last)
        samples = np.concatenate([self._pending, wide])
        whole = len(samples) - len(samples) % _rnnoise.FRAME_SIZE
        frames = samples[:whole].reshape(-1, _rnnoise.FRAME_SIZE) * np.float32(32768)
        self._pending = samples[whole:]
        powers = np.mean(frames**2, axis=1) / 32768**2
        told = [
            Frame(float(power), self._clean(frame))
            for power, frame in zip(powers, frames, strict=True)
        ]
        clean = self._down.resample_chunk(frames.ravel() / np.float32(32768), last=last)
        return to_pcm(clean), told

    def _clean(self, frame: NDArray[np.float32]) -> float:
        """Clean a frame in place; the chance that it holds speech."""
        pointer = frame.ctypes.data_as(ctypes.POINTER(ctypes.c_float))
        return float(_rnnoise.lib.rnnoise_process_frame(self._state, pointer, pointer))


class NoiseMeter:
    """How far speech stands above the noise of the room, which is what is left between words."""

    # Frames of this chance of speech and less are noise, of this and more are speech.
    NOISE, SPEECH = 0.2, 0.6

    def __init__(self) -> None:
        self._noise: deque[float] = deque(maxlen=3000 // FRAME_MS)
        self._speech: list[float] = []

    def push(self, frame: Frame) -> None:
        """Take the next frame."""
        if frame.chance <= self.NOISE:
            self._noise.append(frame.power)
        elif frame.chance >= self.SPEECH:
            self._speech.append(frame.power)

    def forget_speech(self) -> None:
        """Begin an utterance; the room stays known."""
        self._speech.clear()

    @property
    def snr_db(self) -> float:
        """Mean speech power over median noise power; 0 with no speech, inf with no noise."""
        if not self._speech:
            return 0.0
        noise = median(self._noise) if self._noise else 0.0
        return 10 * log10(sum(self._speech) / len(self._speech) / noise) if noise else inf

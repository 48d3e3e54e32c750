"""Noise suppression and speech detection on 16 kHz PCM, by RNNoise.

RNNoise (Valin 2018, "A hybrid DSP/deep learning approach to real-time full-band speech
enhancement") works on 10 ms frames at 48 kHz and tells for each how likely it holds speech.
"""

import ctypes
import importlib.util
from importlib.metadata import distribution
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


class Denoiser:
    """A stream of sound, made quieter around the speech; about 20 ms later than it came in."""

    def __init__(self) -> None:
        self._state = _rnnoise.create()
        self._up = soxr.ResampleStream(RATE_HZ, _rnnoise.SAMPLE_RATE, 1, dtype="float32")
        self._down = soxr.ResampleStream(_rnnoise.SAMPLE_RATE, RATE_HZ, 1, dtype="float32")
        self._pending = np.zeros(0, np.float32)

    def __del__(self) -> None:
        _rnnoise.destroy(self._state)

    def process(self, pcm: bytes, last: bool = False) -> tuple[bytes, list[float]]:
        """The cleaned sound that is ready, and the chance of speech in each new 10 ms frame."""
        wide = self._up.resample_chunk(from_pcm(pcm), last=last)
        samples = np.concatenate([self._pending, wide])
        whole = len(samples) - len(samples) % _rnnoise.FRAME_SIZE
        frames = samples[:whole].reshape(-1, _rnnoise.FRAME_SIZE) * np.float32(32768)
        self._pending = samples[whole:]
        chances = [self._frame(frame) for frame in frames]
        clean = self._down.resample_chunk(frames.ravel() / np.float32(32768), last=last)
        return to_pcm(clean), chances

    def _frame(self, frame: NDArray[np.float32]) -> float:
        """Clean a frame in place; the chance that it holds speech."""
        pointer = frame.ctypes.data_as(ctypes.POINTER(ctypes.c_float))
        return float(_rnnoise.lib.rnnoise_process_frame(self._state, pointer, pointer))

"""Sound files for the tests of hearing: spoken by eSpeak NG, silent, and noisy."""

from pathlib import Path

import numpy as np
import soundfile

from assistant.audio import RATE_HZ, resample
from assistant.speak_espeak import EspeakSpeaker


def spoken(sentence: str, voice: str = "en-us", around_s: float = 0.3) -> bytes:
    """The sentence by one of eSpeak NG's voices as 16 kHz PCM, with silence around it."""
    speaker = EspeakSpeaker(voice)
    silence = bytes(int(RATE_HZ * around_s) * 2)
    return silence + resample(b"".join(speaker.say(sentence)), speaker.rate_hz) + silence


def noise(seconds: float, level: float = 0.05) -> np.ndarray:
    """White noise, always the same; level is its root mean square, full scale being 1."""
    samples = np.random.default_rng(0).normal(0, level, int(RATE_HZ * seconds))
    return samples.astype(np.float32)


def written(path: Path, pcm: bytes) -> Path:
    """The PCM as a WAV file."""
    soundfile.write(path, np.frombuffer(pcm, "<i2"), RATE_HZ, subtype="PCM_16")
    return path

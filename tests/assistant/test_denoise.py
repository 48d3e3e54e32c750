"""RNNoise takes noise away, keeps speech, and tells them apart, chunk by chunk."""

from math import inf

import numpy as np
import pytest
from sounds import noise, spoken

from assistant.audio import CHUNK_BYTES, from_pcm, to_pcm
from assistant.denoise import Denoiser, Frame, NoiseMeter


def through(pcm):
    denoiser = Denoiser()
    parts = [denoiser.process(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    parts.append(denoiser.process(b"", last=True))
    return b"".join(clean for clean, _ in parts), [frame for _, told in parts for frame in told]


def test_noise_goes():
    clean, frames = through(to_pcm(noise(3)))
    # RNNoise needs about a second to learn the noise.
    assert np.std(from_pcm(clean)[16_000:]) < 0.05 * np.std(noise(3))
    assert max(frame.chance for frame in frames[100:]) < 0.5


def test_speech_stays_and_is_told():
    pcm = spoken("convert four hundred grams to ounces")
    clean, frames = through(pcm)
    assert abs(len(clean) - len(pcm)) < CHUNK_BYTES
    assert np.std(from_pcm(clean)) > 0.5 * np.std(from_pcm(pcm))
    assert np.mean([frame.chance > 0.6 for frame in frames]) > 0.4


def test_silence_is_silence():
    clean, frames = through(bytes(32_000))
    assert not np.any(from_pcm(clean))
    assert {frame.power for frame in frames} == {0.0}


def test_the_ratio_of_speech_to_noise():
    meter = NoiseMeter()
    for frame in [Frame(1e-6, 0.0)] * 50 + [Frame(1e-3, 0.9)] * 50:
        meter.push(frame)
    assert meter.snr_db == pytest.approx(30)
    meter.forget_speech()
    assert meter.snr_db == 0
    digital = NoiseMeter()
    digital.push(Frame(1e-3, 0.9))
    assert digital.snr_db == inf

"""Sound files of all kinds come out as 16 kHz mono; bad ones as one clear error."""

import errno
import os
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile

from assistant.audio import (
    CHUNK_BYTES,
    RATE_HZ,
    BadAudio,
    from_pcm,
    read_chunks,
    resample,
    to_pcm,
)


def tone(rate_hz, seconds=0.5, hertz=440.0):
    return 0.5 * np.sin(2 * np.pi * hertz * np.arange(int(rate_hz * seconds)) / rate_hz)


def loudest_hertz(samples, rate_hz=RATE_HZ):
    return np.argmax(np.abs(np.fft.rfft(samples))) * rate_hz / len(samples)


@pytest.mark.parametrize("rate_hz", [8_000, 16_000, 22_050, 44_100, 48_000])
@pytest.mark.parametrize(
    ("suffix", "subtype"),
    [
        ("wav", "PCM_U8"),
        ("wav", "PCM_16"),
        ("wav", "PCM_24"),
        ("wav", "PCM_32"),
        ("wav", "FLOAT"),
        ("flac", "PCM_16"),
        ("flac", "PCM_24"),
    ],
)
def test_any_rate_and_depth(tmp_path, rate_hz, suffix, subtype):
    file = tmp_path / f"tone.{suffix}"
    soundfile.write(file, tone(rate_hz), rate_hz, subtype=subtype)
    samples = from_pcm(b"".join(read_chunks(file)))
    assert len(samples) == pytest.approx(RATE_HZ // 2, abs=2)
    assert loudest_hertz(samples) == pytest.approx(440, abs=3)
    # Away from the ends, where the resampler settles, it is as loud as it was.
    assert np.std(samples[800:-800]) == pytest.approx(0.5 / 2**0.5, rel=0.02)


def test_channels_are_averaged(tmp_path):
    file = tmp_path / "two.wav"
    left = tone(RATE_HZ)
    soundfile.write(file, np.stack([left, np.zeros_like(left)], axis=1), RATE_HZ)
    assert np.std(from_pcm(b"".join(read_chunks(file)))) == pytest.approx(np.std(left) / 2, 0.01)


def test_chunks_are_even_but_for_the_last(tmp_path):
    file = tmp_path / "tone.wav"
    soundfile.write(file, tone(RATE_HZ, 1.01), RATE_HZ)
    *chunks, last = read_chunks(file)
    assert {len(chunk) for chunk in chunks} == {CHUNK_BYTES}
    assert 0 < len(last) <= CHUNK_BYTES


def test_an_hour_is_read_in_little_memory(tmp_path):
    file = tmp_path / "hour.flac"
    with soundfile.SoundFile(file, "w", 8_000, 1) as sound:
        for _ in range(3600):
            sound.write(np.zeros(8_000))
    tracemalloc.start()
    size = sum(map(len, read_chunks(file)))
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert size == pytest.approx(3600 * RATE_HZ * 2, abs=8)
    assert most < 5_000_000


def damaged(tmp_path, kind):
    file = tmp_path / f"{kind}.flac"
    if kind == "no samples":
        soundfile.write(file.with_suffix(".wav"), np.zeros(0), RATE_HZ)
        return file.with_suffix(".wav")
    if kind == "a folder":
        return tmp_path
    if kind == "cut short":
        rng = np.random.default_rng(1)
        soundfile.write(file, rng.normal(0, 0.2, RATE_HZ * 4), RATE_HZ)
        file.write_bytes(file.read_bytes()[:30_000])
    elif kind == "text":
        file.write_text("not sound at all, but words")
    elif kind == "empty":
        file.touch()
    elif kind == "scrambled":
        file.write_bytes(b"fLaC" + bytes(range(256)) * 40)
    return file


@pytest.mark.parametrize(
    "kind", ["missing", "a folder", "empty", "text", "scrambled", "no samples", "cut short"]
)
def test_what_cannot_be_read_says_so(tmp_path, kind):
    file = damaged(tmp_path, kind)
    with pytest.raises(BadAudio, match="give a WAV or FLAC recording") as problem:
        list(read_chunks(file))
    assert str(file) in str(problem.value)


def test_what_may_not_be_opened_and_what_is_no_file_say_so(tmp_path, monkeypatch):
    with pytest.raises(BadAudio, match=r"cannot be opened .File name too long"):
        list(read_chunks(tmp_path / ("a" * 300)))
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)  # to open it would wait for ever
    with pytest.raises(BadAudio, match="it is no file"):
        list(read_chunks(pipe))
    file = tmp_path / "shut.wav"
    soundfile.write(file, tone(RATE_HZ), RATE_HZ)

    def refused(*_):  # the tests may run as one who may read everything
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(file))

    monkeypatch.setattr(Path, "open", refused)
    with pytest.raises(BadAudio, match=r"cannot be opened .Permission denied"):
        list(read_chunks(file))


def test_what_comes_before_the_damage_is_read_first(tmp_path):
    file = tmp_path / "long.flac"
    soundfile.write(file, np.random.default_rng(1).normal(0, 0.2, RATE_HZ * 9), RATE_HZ)
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    chunks = read_chunks(file)
    for _ in range(100):  # three seconds of 30 ms
        assert len(next(chunks)) == CHUNK_BYTES
    with pytest.raises(BadAudio, match=r"it is damaged after [345] s"):
        list(chunks)


def test_wild_samples_are_tamed():
    pcm = to_pcm(np.array([2.0, -2.0, np.nan, np.inf, -np.inf, 0.0], np.float32))
    assert np.frombuffer(pcm, "<i2").tolist() == [32767, -32767, 0, 32767, -32767, 0]


def test_resample_keeps_the_length_in_seconds():
    pcm = to_pcm(tone(22_050).astype(np.float32))
    assert len(resample(pcm, 22_050)) == pytest.approx(RATE_HZ, abs=4)
    assert resample(pcm, RATE_HZ) is pcm

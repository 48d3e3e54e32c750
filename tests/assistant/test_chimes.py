"""The sounds: each told from the others by its pitch and by its rhythm alone."""

import itertools

import numpy as np
import pytest

from assistant.chimes import Chime, sound_of

_RATE_HZ = 22_050
_STEP = _RATE_HZ // 100  # samples in 10 ms
_WINDOW = 4 * _STEP


def heard(chime: Chime) -> np.ndarray:
    return np.frombuffer(sound_of(chime, _RATE_HZ, 0.5), "<i2") / 32767


def pitches(chime: Chime) -> list[float]:
    """The strongest frequency of each 40 ms, every 10 ms; 0 where it is silent."""
    sound, found = heard(chime), []
    for start in range(0, len(sound) - _WINDOW, _STEP):
        part = sound[start : start + _WINDOW] * np.hanning(_WINDOW)
        spectrum = np.abs(np.fft.rfft(part, 8 * _WINDOW))
        silent = np.sqrt(np.mean(part**2)) < 0.02
        found.append(0.0 if silent else np.argmax(spectrum) * _RATE_HZ / (8 * _WINDOW))
    return found


def strokes(chime: Chime) -> int:
    """How many times it sounds with silence between."""
    sounding = [pitch > 0 for pitch in pitches(chime)]
    return sum(now and not before for before, now in itertools.pairwise([False, *sounding]))


def test_heard_rises_and_not_understood_falls_and_lasts_longer() -> None:
    up, down = ([p for p in pitches(c) if p] for c in (Chime.HEARD, Chime.NOT_UNDERSTOOD))
    assert up[-1] > 1.4 * up[0]
    assert down[-1] < 0.75 * down[0]
    assert len(down) > 2 * len(up)


def test_time_is_up_keeps_its_pitch_and_the_heat_leaps() -> None:
    even = [p for p in pitches(Chime.TIME_UP) if p]
    assert max(even) < 1.05 * min(even)
    leaping = [p for p in pitches(Chime.ON_THE_HEAT) if p]
    assert max(leaping) > 2 * min(leaping)
    assert (strokes(Chime.TIME_UP), strokes(Chime.ON_THE_HEAT)) == (3, 4)


@pytest.mark.parametrize("chime", Chime)
def test_a_sound_is_short_gentle_and_within_the_hearing_of_the_old(chime: Chime) -> None:
    sound = heard(chime)
    assert 0.1 < len(sound) / _RATE_HZ < 0.75
    assert 0.3 < np.abs(sound).max() <= 0.5
    assert np.abs(sound[:20]).max() < 0.02  # no click at either end
    assert np.abs(sound[-20:]).max() < 0.02
    power = np.abs(np.fft.rfft(sound)) ** 2
    hz = np.fft.rfftfreq(len(sound), 1 / _RATE_HZ)
    assert power[(hz > 380) & (hz < 2000)].sum() > 0.95 * power.sum()


def test_no_two_sounds_have_the_same_rhythm() -> None:
    rhythms = {(strokes(c), round(len(heard(c)) / _RATE_HZ, 1)) for c in Chime}
    assert len(rhythms) == len(Chime)

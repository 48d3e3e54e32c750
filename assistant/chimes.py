"""Short sounds without words, of our own: a few notes each, made from numbers.

They differ in their rhythm and in which way the pitch goes, so that one who hears neither high
notes nor fine intervals can tell them apart. All notes lie between 400 and 1000 Hz, where age
takes the least (ISO 7029) and a voice has its strength.
"""

from enum import Enum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from assistant.loudness import at_volume

_Note = tuple[float, float]  # Hz (0: silence), seconds
# A tone has some of its octave and twelfth, so that a small loudspeaker carries it.
_OVERTONES = ((1, 1.0), (2, 0.3), (3, 0.1))
_PEAK = 0.5  # of full scale; speech peaks at about as much
_RISE_S, _FALL_S = 0.012, 0.06


class Chime(Enum):
    """What a sound tells, and its notes: our own choice throughout."""

    HEARD = ((494.0, 0.06), (740.0, 0.09))  # two quick notes, up
    NOT_UNDERSTOOD = ((587.0, 0.16), (415.0, 0.26))  # two slow notes, down
    TIME_UP = ((659.0, 0.14), (0.0, 0.09)) * 3  # one note, three times, evenly
    # A low note that leaps, again and again, as hurried as a boiling lid.
    ON_THE_HEAT = ((440.0, 0.05), (932.0, 0.07), (0.0, 0.05)) * 4


@cache
def _samples(chime: Chime, rate_hz: int) -> NDArray[np.float32]:
    return np.concatenate([_tone(hz, seconds, rate_hz) for hz, seconds in chime.value])


def _tone(hz: float, seconds: float, rate_hz: int) -> NDArray[np.float32]:
    """One note, which begins and ends without a click."""
    at = np.arange(int(seconds * rate_hz)) / rate_hz
    if not hz:
        return np.zeros(len(at), np.float32)
    wave = sum(share * np.sin(2 * np.pi * hz * over * at) for over, share in _OVERTONES)
    rise = np.clip(at / _RISE_S, 0, 1)
    fall = np.clip((seconds - at) / min(_FALL_S, seconds / 2), 0, 1)
    loud = _PEAK / sum(share for _, share in _OVERTONES)
    return np.asarray(loud * wave * np.sin(np.pi / 2 * rise * fall) ** 2, np.float32)


def sound_of(chime: Chime, rate_hz: int, volume: float) -> bytes:
    """The sound, mono 16-bit PCM; volume as of speech (`loudness`)."""
    return at_volume(_samples(chime, rate_hz), volume)

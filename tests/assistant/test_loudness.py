"""Volume: what is made quieter is scaled, what is made louder never clips."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from assistant.loudness import AS_MADE, at_volume

_SOUND = arrays(np.float32, 20, elements=st.floats(-1, 1, width=32))


def _heard(samples: np.ndarray, volume: float) -> np.ndarray:
    return np.frombuffer(at_volume(samples, volume), "<i2") / 32767


@given(_SOUND)
def test_as_made_is_as_made_and_half_of_it_is_half(samples: np.ndarray) -> None:
    np.testing.assert_allclose(_heard(samples, AS_MADE), samples, atol=1e-4)
    np.testing.assert_allclose(_heard(samples, AS_MADE / 2), samples / 2, atol=1e-4)


@given(_SOUND)
def test_louder_keeps_the_order_of_the_samples_and_never_lessens_one(samples: np.ndarray) -> None:
    loud = _heard(samples, 1.0)
    assert np.all(np.diff(loud[np.argsort(samples, kind="stable")]) >= 0)
    assert np.all(np.abs(loud) >= np.abs(samples) * 0.93 - 1e-4)
    assert np.abs(loud).max() <= 1


def test_quiet_speech_becomes_twice_as_strong_at_the_loudest() -> None:
    quiet = np.array([0.1, -0.2, 0.25], np.float32)
    np.testing.assert_allclose(_heard(quiet, 1.0), 2 * quiet, atol=1e-4)
    assert not _heard(quiet, 0.0).any()

"""What the sound check tells of rooms that the test makes, and of a card that is silent."""

from math import inf

import numpy as np
import pytest
from sounds import spoken
from virtual_card import Card, needs_card

from assistant.audio import RATE_HZ, from_pcm, to_pcm
from assistant.soundcheck import Room, advice, listened


def chunks(samples):
    pcm = to_pcm(np.asarray(samples, np.float32))
    return [pcm[start : start + 960] for start in range(0, len(pcm), 960)]


def hiss(level_dbfs, seconds=4.0):
    noise = np.random.default_rng(1).normal(size=int(seconds * RATE_HZ))
    return noise * 10 ** (level_dbfs / 20)


@pytest.fixture(scope="module")
def voice():
    """A sentence of mean square -20 dB while it lasts, with a second of silence before."""
    sound = from_pcm(spoken("how much salt do I need for the beans"))
    loud = sound[np.abs(sound) > 0.01]
    return np.concatenate([np.zeros(RATE_HZ), sound * 0.1 / np.sqrt(np.mean(loud**2))])


def test_the_level_of_noise_is_measured():
    room = listened(chunks(hiss(-40, seconds=10.0)))
    assert room.noise_dbfs == pytest.approx(-40, abs=1)
    assert room.speech_dbfs is None
    assert list(advice(room)) == ["I heard nobody speak: say something next time, or come nearer."]


def test_a_voice_in_a_quiet_room_is_heard_well(voice):
    room = listened(chunks(voice + hiss(-65, len(voice) / RATE_HZ)))
    assert room.speech_dbfs == pytest.approx(-20, abs=4)
    assert room.noise_dbfs == pytest.approx(-65, abs=3)
    assert list(advice(room)) == ["You are heard well."]


def test_sound_that_is_cut_off_is_told(voice):
    room = listened(chunks(voice * 20))
    assert room.clipped > 0.001
    assert "cut off" in next(advice(room))


def test_a_faint_voice_is_told(voice):
    room = listened(chunks(voice * 0.01))
    assert "You are faint" in " ".join(advice(room))


@pytest.mark.parametrize(
    ("speech_dbfs", "told"),
    [(-36.0, "as loud as you"), (-32.0, "some words will be missed"), (-27.0, "heard well")],
)
def test_noise_is_told_by_how_far_speech_stands_above_it(speech_dbfs, told):
    (line,) = advice(Room(-40.0, speech_dbfs, clipped=0.0, dead=False))
    assert told in line


def test_nothing_but_zeros_is_a_dead_microphone():
    room = listened([bytes(960)] * 30)
    assert room == Room(-inf, None, 0.0, dead=True)
    assert list(advice(room)) == [
        "The microphone gives only silence: switch it on, or choose another."
    ]


@needs_card
def test_the_command_on_a_silent_card(tmp_path):
    with Card(tmp_path) as card:
        told = card.run("from assistant.cli import main; main(['soundcheck', '--seconds', '1'])")
    assert told.splitlines()[0].startswith("Microphones: ")
    assert told.splitlines()[-1].startswith("The microphone gives only silence")

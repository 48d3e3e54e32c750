"""Our own voice in the microphone: taken out of the sound, and told by its words."""

import sys

import numpy as np
import pytest
from sounds import noise, spoken

from assistant.audio import CHUNK_BYTES, RATE_HZ, from_pcm, to_pcm
from assistant.echo import Echo, EchoCanceller, echo_canceller
from assistant.hear import Heard

REPLY = "Set the oven to two hundred degrees, then rinse the rice until the water runs clear."
DELAY = RATE_HZ // 20  # of card and room: 50 ms
# A room of our own: the way straight from loudspeaker to microphone, and a fading tail.
ROOM = np.concatenate(
    [np.zeros(DELAY), [0.7], 0.02 * noise(0.2, 1.0) * np.geomspace(1, 1e-3, 3200)]
)


def power_db(sound):
    return 10 * np.log10(np.mean(np.square(sound)) + 1e-12)


def cleaned(canceller, ours, heard):
    """What is left of `heard` while `ours` is played, chunk by chunk as a card would."""
    waiting = iter([ours[at : at + CHUNK_BYTES] for at in range(0, len(ours), CHUNK_BYTES)])
    left = []

    def card(pcm, _rate_hz):
        for nth, _ in enumerate(pcm):
            left.extend(canceller.clean(heard[nth * CHUNK_BYTES : (nth + 1) * CHUNK_BYTES]))

    canceller.through(card)(waiting, RATE_HZ)
    return from_pcm(b"".join(left))


@pytest.fixture
def said():
    """A reply said four times, and its echo in the room."""
    ours = spoken(REPLY) * 4
    echo = np.convolve(from_pcm(ours), ROOM)[: len(ours) // 2].astype(np.float32)
    return ours, echo


def test_our_echo_is_taken_out_once_the_room_is_known(said):
    ours, echo = said
    left = cleaned(EchoCanceller(), ours, to_pcm(echo))
    last = slice(len(left) * 3 // 4, None)
    assert power_db(echo[last]) - power_db(left[last]) > 15


def test_what_is_said_over_us_stays(said):
    ours, echo = said
    cook = from_pcm(spoken("stop", "en-gb"))
    over = echo.copy()
    at = len(over) * 4 // 5
    over[at : at + len(cook)] += cook
    left = cleaned(EchoCanceller(), ours, to_pcm(over))
    there = slice(at, at + len(cook))
    assert abs(power_db(left[there]) - power_db(cook)) < 3


def test_while_we_are_silent_nothing_is_touched():
    heard = to_pcm(noise(0.3))
    canceller = EchoCanceller()
    chunks = [heard[at : at + CHUNK_BYTES] for at in range(0, len(heard), CHUNK_BYTES)]
    assert [canceller.clean(chunk) for chunk in chunks] == [[chunk] for chunk in chunks]


def test_sound_goes_to_the_card_as_it_is():
    heard = []
    pieces = [bytes(range(200)), b"\1\2\3\4"]
    EchoCanceller().through(lambda pcm, rate: heard.append((list(pcm), rate)))(pieces, 22050)
    assert heard == [(pieces, 22050)]


def test_without_its_library_there_is_no_canceller(monkeypatch):
    monkeypatch.setitem(sys.modules, "pyaec", None)
    assert echo_canceller() is None


def test_an_echo_ends_with_our_speech():
    echo = Echo()
    echo.pass_time(True, None)
    echo.pass_time(False, Heard("what now", 0.9, final=True))
    assert echo.ended()
    for _ in range(50):
        echo.pass_time(False, None)
    echo.pass_time(False, Heard("done", 0.0, final=False))
    echo.pass_time(False, Heard("done", 0.9, final=True))
    assert not echo.ended()

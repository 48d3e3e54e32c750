""" "Stop" over our own speech: real voices over a real echo, through the canceller."""

from concurrent.futures import Executor, Future

import numpy as np
import pytest
from sounds import noise, spoken
from test_echo import ROOM

from assistant import hear_pair, wiring
from assistant.audio import CHUNK_BYTES, RATE_HZ, from_pcm, to_pcm
from assistant.echo import EchoCanceller
from assistant.hear import Heard
from assistant.hear_stop import StopByNetwork, StopBySphinx
from domain.errors import MissingModel

# Our own "stop" is among the words, at the beginning of a sentence and at its end.
REPLY = "Stop stirring when it boils. Say yes, or no, or say stop. Then put the lid on the rice."
CHUNK = bytes(CHUNK_BYTES)


class AtOnce(Executor):
    """Has everything done before it returns."""

    def submit(self, fn, /, *args, **named):
        done = Future()
        done.set_result(fn(*args, **named))
        return done


@pytest.fixture(scope="module")
def network():
    return hear_pair.shared_network()


@pytest.fixture(scope="module")
def ours():
    """The reply said three times, by which the room is learned; and its echo."""
    played = spoken(REPLY, "en-us+f2") * 3
    echo = np.convolve(from_pcm(played), ROOM)[: len(played) // 2].astype(np.float32)
    return played, echo + noise(len(echo) / RATE_HZ + 1, 3e-4)[: len(echo)]


def over_the_last(echo, words, voice, db=0):
    """The echo, and over its last third these words, so much louder than the echo."""
    said, heard = from_pcm(spoken(words, voice, around_s=0)), echo.copy()
    at = len(heard) * 3 // 4
    level = np.sqrt(np.mean(echo**2) / np.mean(said**2)) * 10 ** (db / 20)
    heard[at : at + len(said)] += said * level
    return heard


def heeded(ear, played, heard):
    """How surely "stop" was heard, each time, in what the canceller leaves of `heard`."""
    canceller, pcm, sure, since = EchoCanceller(), to_pcm(heard), [], 1000

    def card(pieces, _rate_hz):
        nonlocal since
        for nth, _ in enumerate(pieces):
            for clean in canceller.clean(pcm[nth * CHUNK_BYTES : (nth + 1) * CHUNK_BYTES]):
                since = 0 if canceller.others else since + 30
                if canceller.clear:
                    sure.append(ear.take(clean, since < 800))

    pieces = (played[at : at + CHUNK_BYTES] for at in range(0, len(played), CHUNK_BYTES))
    canceller.through(card)(pieces, RATE_HZ)
    assert sure
    return [one for one in sure if one is not None]


@pytest.mark.parametrize("voice", ["en-gb-scotland", "en-us+f3", "en-gb-x-rp+m4", "en-us+f5"])
def test_stop_is_heard_over_our_own_voice(network, ours, voice):
    played, echo = ours
    sure = heeded(StopByNetwork(network, AtOnce()), played, over_the_last(echo, "stop", voice))
    assert sure
    assert max(sure) > 0.3


def test_our_own_stop_is_not_heeded_nor_what_is_said_to_others(network, ours):
    played, echo = ours
    ear = StopByNetwork(network, AtOnce())
    assert not heeded(ear, played, echo)
    ear.finish()
    said = over_the_last(echo, "the bus stops at the corner shop", "en-gb")
    assert not heeded(ear, played, said)


def test_nothing_is_asked_while_nobody_else_speaks(network):
    asked = []

    class Counting(AtOnce):
        def submit(self, fn, /, *args, **named):
            asked.append(fn)
            return super().submit(fn, *args, **named)

    ear = StopByNetwork(network, Counting())
    for _ in range(20):
        ear.take(CHUNK, False)
    assert not asked
    for _ in range(20):  # 600 ms
        ear.take(CHUNK, True)
    assert len(asked) == 4  # every 150 ms


class Slow(Executor):
    """Answers when the test says so."""

    def __init__(self):
        self.asked = []

    def submit(self, fn, /, *args, **named):
        self.asked.append(Future())
        return self.asked[-1]


def test_the_network_is_not_waited_for_and_asked_one_thing_at_a_time(network):
    slow = Slow()
    ear = StopByNetwork(network, slow)
    assert [ear.take(CHUNK, True) for _ in range(20)] == [None] * 20
    (asked,) = slow.asked
    asked.set_result(-0.5)
    assert ear.take(CHUNK, True) == pytest.approx(np.exp(-0.5))
    assert len(slow.asked) == 2
    ear.finish()
    slow.asked[-1].set_result(-0.5)  # of a reply that is over
    assert ear.take(CHUNK, False) is None


def test_what_goes_wrong_aside_is_told(network):
    slow = Slow()
    ear = StopByNetwork(network, slow)
    ear.take(CHUNK, True)
    slow.asked[0].set_exception(RuntimeError("out of memory"))
    with pytest.raises(RuntimeError, match="memory"):
        ear.take(CHUNK, True)


class Told:
    """A recogniser that tells what the test has put there."""

    def __init__(self, *heard):
        self._heard, self.finished = list(heard), 0

    def feed(self, pcm):
        return self._heard.pop(0)

    def finish(self):
        self.finished += 1


def test_sphinx_is_heeded_before_the_word_is_over_and_only_when_another_speaks():
    told = [None, *(Heard(text, 0.0, final=False) for text in ("salt", "roast stop", "stop now"))]
    recogniser = Told(*told, Heard("stop", 0.4, final=True))
    ear = StopBySphinx(recogniser)
    heard = [ear.take(CHUNK, True) for _ in range(4)]
    assert heard == [None, None, 0.0, None]
    assert ear.take(CHUNK, False) is None
    ear.finish()
    assert recogniser.finished == 1


def test_without_the_network_sphinx_listens_for_stop(monkeypatch):
    def missing():
        raise MissingModel("the network", "get it")

    monkeypatch.setattr(hear_pair, "shared_network", missing)
    assert isinstance(wiring.stop_ear("hobside"), StopBySphinx)

"""What of the sound is for us: with ears and a mouth that the test holds, and no thread."""

import pytest
from fronts import running_cook, told

from assistant.addressed import Addressed
from assistant.audio import CHUNK_BYTES
from assistant.echo import Echo
from assistant.hear import Heard
from assistant.listening import Listening

CHUNK = bytes(CHUNK_BYTES)


class Mouth:
    """Says nothing, and notes what it is told."""

    speaking = False
    stopped = 0

    def stop(self):
        self.stopped += 1

    def cook_speaks(self, speaking):
        pass


class StopEar:
    """Is as sure of "stop" as the test has put there, one thing a chunk."""

    def __init__(self):
        self.sure, self.others, self.finished = [], [], 0

    def take(self, pcm, others):
        self.others.append(others)
        return self.sure.pop(0) if self.sure else None

    def finish(self):
        self.finished += 1


class Ear:
    """Hears what the test has put there, one thing a chunk."""

    def __init__(self):
        self.heard, self.fed, self.finished = [], 0, 0

    def feed(self, pcm):
        self.fed += 1
        return self.heard.pop(0) if self.heard else None

    def finish(self):
        self.finished += 1
        return self.heard.pop(0) if self.heard else None


@pytest.fixture
def parts():
    mouth, ear, over = Mouth(), Ear(), StopEar()
    with running_cook() as running:
        yield running, mouth, ear, over, Listening(running, mouth, Echo(), Addressed(), ear, over)


def test_the_second_ear_listens_only_while_we_speak(parts):
    _, mouth, ear, over, listening = parts
    listening.take(CHUNK)
    mouth.speaking = True
    listening.take(CHUNK)
    mouth.speaking = False
    listening.take(CHUNK)
    listening.take(CHUNK)
    assert (ear.fed, len(over.others), over.finished) == (4, 1, 1)


def test_stop_over_our_speech_is_heeded_once_whatever_the_first_ear_hears(parts):
    running, mouth, ear, over, listening = parts
    messages = told(running)
    mouth.speaking = True
    over.sure = [None, 0.4, 0.9]
    ear.heard = [None, Heard("salt", 0.0, final=False), Heard("stop", 0.9, final=True)]
    for _ in range(3):
        listening.take(CHUNK)
    assert mouth.stopped == 1
    assert [m.shown for m in messages if m.kind == "heard"] == ["stop"]


def test_our_own_words_are_no_danger(parts):
    running, mouth, ear, _, listening = parts
    listening._ours.said("Is the pan on fire?")
    messages = told(running)
    mouth.speaking = True
    ear.heard = [Heard("the pan on fire", 0.9, final=True)]
    listening.take(CHUNK)
    assert not [m for m in messages if m.kind == "reply"]
    ear.heard = [Heard("i have burnt my hand", 0.03, final=True)]
    listening.take(CHUNK)
    assert [m.urgency for m in messages if m.kind == "reply"] == ["emergency"]


def test_an_ear_that_is_replaced_tells_what_it_still_has_to_tell(parts):
    running, _, ear, _, listening = parts
    messages, other = told(running), Ear()
    ear.heard = [Heard("stop", 0.9, final=True)]
    listening.hear_with(other)
    assert [m.shown for m in messages if m.kind == "heard"] == ["stop"]
    listening.take(CHUNK)
    assert (ear.fed, other.fed) == (0, 1)


def test_another_voice_counts_for_a_moment_after_it_was_told(parts):
    _, mouth, _, over, listening = parts
    mouth.speaking = True
    listening.take(CHUNK, others=True)
    for _ in range(30):  # 900 ms; it counts for 800
        listening.take(CHUNK, others=False)
    assert over.others == [True] * 27 + [False] * 4
    listening.take(CHUNK, clear=False, others=True)
    assert len(over.others) == 31

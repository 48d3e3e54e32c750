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
    mouth, ear, over = Mouth(), Ear(), Ear()
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
    assert (ear.fed, over.fed, over.finished) == (4, 1, 1)


def test_stop_over_our_speech_is_heeded_once_whatever_the_first_ear_hears(parts):
    running, mouth, ear, over, listening = parts
    messages = told(running)
    mouth.speaking = True
    over.heard = [
        Heard("salt", 0.0, final=False),
        Heard("roast stop", 0.0, final=False),
        Heard("stop", 0.4, final=True),
    ]
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
    ear.heard = [Heard("i have burnt my hand", 0.0, final=True)]
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

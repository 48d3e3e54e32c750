"""Decoding beside the stream: what is given up, what fails, and what comes out."""

import threading
from concurrent.futures import wait
from math import inf

import pytest
from sounds import noise, spoken

from assistant import endpoint, hear_sphinx
from assistant.audio import CHUNK_BYTES, from_pcm, to_pcm
from assistant.hear import Heard
from assistant.hear_sphinx import SphinxRecogniser, confidence
from assistant.language_model import compile_model
from assistant.phrasebook import read_phrase_book
from assistant.sphinx_library import Decoded

BOOK = """
nlu:
- intent: order
  examples: |
    - how long left on the [rice](thing)
    - what comes next
- lookup: thing
  examples: |
    - rice
    - bulgur
"""
WAIT_S = 60


@pytest.fixture(scope="module")
def model(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sphinx")
    (folder / "book.yml").write_text(BOOK)
    return compile_model(read_phrase_book(folder / "book.yml"), None, folder)


def chunks(pcm):
    return [pcm[at : at + CHUNK_BYTES] for at in range(0, len(pcm), CHUNK_BYTES)]


def with_a_pause(ms=300):
    """Two parts of one utterance: longer apart than a pause, and less than an end."""
    parts = [to_pcm(_trimmed(spoken(words))) for words in ("how long left", "on the rice")]
    around = to_pcm(noise(1.0, 1e-4))
    return around + parts[0] + to_pcm(noise(ms / 1000, 1e-4)) + parts[1] + around


def _trimmed(pcm):
    sound = from_pcm(pcm)
    loud = [at for at, one in enumerate(abs(sound)) if one > 0.01]
    return sound[loud[0] : loud[-1]]


def finals_of(ear, pcm):
    told = [ear.feed(chunk) for chunk in chunks(pcm)]
    return [heard for heard in [*told, ear.finish()] if heard is not None and heard.final]


class Opinion:
    """Answers the first utterance only when nobody waits for it any more."""

    def __init__(self, failing=False):
        self.failing, self.utterances = failing, []

    def __call__(self, said):
        self.utterances.append(said)
        if len(self.utterances) > 1:
            return Heard("all of it", 1.0, final=True)
        assert said.stale.wait(WAIT_S), "feed waited for what it does not need"
        if self.failing:
            raise MemoryError("no room")
        return Heard("its beginning", 1.0, final=True)


def test_what_was_begun_at_a_pause_is_given_up_when_speech_goes_on(model):
    opinion = Opinion()
    assert [
        heard.text for heard in finals_of(SphinxRecogniser(model, opinion), with_a_pause())
    ] == ["all of it"]
    first, second = opinion.utterances
    assert not first.wanted()
    assert len(first.sound) < len(second.sound)


def test_a_failure_in_what_was_given_up_is_raised_too(model):
    ear = SphinxRecogniser(model, Opinion(failing=True))
    with pytest.raises(MemoryError, match="no room"):
        finals_of(ear, with_a_pause())
    assert not ear._dropped


def test_a_failure_is_raised_once_where_the_words_were_due_and_hearing_goes_on(model):
    failures = iter([True])

    def fails_once(said):
        if next(failures, False):
            raise RuntimeError("the network fell over")
        return Heard(said.told.result().text, 1.0, final=True)

    ear, pcm = SphinxRecogniser(model, fails_once), spoken("what comes next", around_s=0.7)
    with pytest.raises(RuntimeError, match="fell over"):
        finals_of(ear, pcm)
    assert ear.finish() is None
    assert [heard.text for heard in finals_of(ear, pcm)] == ["what comes next"]


def test_a_failure_at_the_end_of_the_sound_is_raised_by_finish(model):
    def fails(said):
        raise RuntimeError("the network fell over")

    ear = SphinxRecogniser(model, fails)
    for chunk in chunks(spoken("what comes next", around_s=0.1)):
        ear.feed(chunk)
    with pytest.raises(RuntimeError, match="fell over"):
        ear.finish()
    assert ear.finish() is None


def test_the_words_do_not_depend_on_when_the_decoding_is_done(model):
    pcm = with_a_pause() + spoken("what comes next", around_s=0.7)
    at_once = finals_of(SphinxRecogniser(model), pcm)
    assert at_once[-1].text == "what comes next"
    ear = SphinxRecogniser(model)
    waited = []
    for chunk in chunks(pcm):
        waited.append(ear.feed(chunk))
        if ear._ahead is not None:
            ear._ahead[1].result()
    waited.append(ear.finish())
    assert [heard for heard in waited if heard is not None and heard.final] == at_once


def test_two_recognisers_do_not_wait_for_each_other(model):
    free = threading.Event()

    def held_up(said):
        assert free.wait(WAIT_S)
        return Heard("late", 1.0, final=True)

    one, other = SphinxRecogniser(model, held_up), SphinxRecogniser(model)
    pcm = spoken("what comes next", around_s=0.3)
    for chunk in chunks(pcm):
        one.feed(chunk)  # its decoding is under way, and held up
    assert [heard.text for heard in finals_of(other, pcm)] == ["what comes next"]
    free.set()
    assert one.finish().text == "late"


def test_noise_alone_needs_no_second_opinion(model):
    seen = []

    def second(said):
        told = said.told.result()
        seen.append((told.text, said.wanted()))
        return Heard(told.text, confidence(told), final=True)

    ear = SphinxRecogniser(model, second)
    ear._whole.decode = lambda pcm: Decoded("", (), "40")
    assert not finals_of(ear, spoken("what comes next"))
    assert seen == [("", False)]


class Slow:
    """Agrees with PocketSphinx, the first time only when it may."""

    def __init__(self):
        self.free, self.utterances = threading.Event(), []

    def __call__(self, said):
        self.utterances.append(said)
        assert self.free.wait(WAIT_S), "feed waited for a long utterance's words"
        sure = 0.6 if said is self.utterances[0] else 0.9
        return Heard(said.told.result().text, sure, final=True)


NEXT, LEFT = "what comes next", "how long left on the rice"


@pytest.fixture
def slow(model, monkeypatch):
    """An ear to which every utterance is long, and what holds up its words."""
    monkeypatch.setattr(hear_sphinx, "LONG_MS", 0)
    opinion = Slow()
    return SphinxRecogniser(model, opinion), opinion


def fed(ear, words):
    """The finals that come while this is said."""
    told = [ear.feed(chunk) for chunk in chunks(spoken(words, around_s=0.7))]
    return [heard.text for heard in told if heard is not None and heard.final]


def test_the_words_of_a_long_utterance_come_later(slow):
    ear, opinion = slow
    assert fed(ear, NEXT) == []
    opinion.free.set()
    ear._due[0][1].result()
    assert ear.feed(bytes(CHUNK_BYTES)).text == NEXT
    assert ear.finish() is None


def test_nor_is_what_follows_it_waited_for_and_all_come_in_turn(slow, monkeypatch):
    ear, opinion = slow
    assert fed(ear, NEXT) == []
    monkeypatch.setattr(hear_sphinx, "LONG_MS", inf)
    assert fed(ear, LEFT) == []
    opinion.free.set()
    ear._due[1][1].result()
    assert [ear.feed(bytes(CHUNK_BYTES)).text for _ in range(2)] == [NEXT, LEFT]
    assert fed(ear, LEFT) == [LEFT]


def test_all_that_is_due_at_the_end_of_the_sound_is_told_as_surely_as_the_least(slow):
    ear, opinion = slow
    assert fed(ear, NEXT) == []
    for chunk in chunks(spoken(LEFT, around_s=0.2)):
        assert not (heard := ear.feed(chunk)) or not heard.final
    opinion.free.set()
    assert ear.finish() == Heard(f"{NEXT} {LEFT}", 0.6, final=True)
    assert ear.finish() is None


def test_no_more_than_a_few_are_under_way(slow, monkeypatch):
    ear, opinion = slow

    def waited(futures):
        opinion.free.set()
        return wait(futures)

    monkeypatch.setattr(hear_sphinx, "wait", waited)
    for _ in range(hear_sphinx.MOST_DUE):
        assert fed(ear, NEXT) == []
    assert not opinion.free.is_set()
    assert fed(ear, LEFT)[0] == NEXT
    assert opinion.free.is_set()


def test_what_goes_wrong_in_a_long_utterance_is_raised_later_and_once(model, monkeypatch):
    monkeypatch.setattr(hear_sphinx, "LONG_MS", 0)

    def fails(said):
        raise RuntimeError("the network fell over")

    ear = SphinxRecogniser(model, fails)
    with pytest.raises(RuntimeError, match="fell over"):
        finals_of(ear, spoken(NEXT, around_s=0.7))
    assert ear.finish() is None


def test_speech_that_never_pauses_is_cut_and_goes_on_to_be_heard(model, monkeypatch):
    monkeypatch.setattr(hear_sphinx, "LONG_MS", 1500)
    monkeypatch.setattr(endpoint, "LONGEST_MS", 1500)
    once = to_pcm(_trimmed(spoken(LEFT)))
    pcm = to_pcm(noise(0.5, 1e-4)) + 3 * once + to_pcm(noise(1.0, 1e-4))
    opinion = Slow()
    ear = SphinxRecogniser(model, opinion)
    shown = [ear.feed(chunk) for chunk in chunks(pcm[: len(once) * 2])]
    assert len(opinion.utterances) == 1
    assert not [heard for heard in shown if heard and heard.final]
    opinion.free.set()
    rest = pcm[len(once) * 2 :]
    late = [heard.text for heard in finals_of(ear, rest)]
    at_once = [heard.text for heard in finals_of(SphinxRecogniser(model), pcm)]
    assert " ".join(late) == " ".join(at_once)
    assert late[0]

"""Ear and mouth with a microphone, a recogniser and a loudspeaker that the test holds."""

import sys
import threading
import time
from dataclasses import replace

import pytest
from fronts import SIX, running_cook, told

import assistant.voice as voice_module
from assistant.audio import CHUNK_BYTES
from assistant.chimes import Chime
from assistant.cook import Message
from assistant.hear import Heard
from assistant.sound_card import NoMicrophone, NoSpeaker
from assistant.voice import Voice
from domain.cookbook import load_dish
from domain.errors import KitchenError
from scheduling.menu_now import added

PATIENCE_S = 10.0  # how long anything is waited for; all takes far less


class Mouth:
    """A speaker of ten seconds of sound a sentence, and the card that plays it in real time."""

    rate_hz = 1000
    speed = volume = 1.0

    def __init__(self):
        self.sentences = []
        self.began = threading.Event()
        self.ended_at = None

    def say(self, sentence):
        self.sentences.append(sentence)
        for _ in range(10):
            yield bytes(2 * self.rate_hz)

    def prepare(self, sentence):
        pass

    def play(self, pcm, rate_hz):
        for piece in pcm:
            self.began.set()
            time.sleep(len(piece) / 2 / rate_hz)
        self.ended_at = time.monotonic()
        self.began.clear()


class Ear:
    """Hears what the test says, one thing a chunk."""

    def __init__(self):
        self._heard = []
        self._news = threading.Condition()

    def hears(self, *heard):
        """Returns once all of it was fed to the assistant and answered."""
        with self._news:
            self._heard += [*heard, None]
            self._news.notify_all()
            assert self._news.wait_for(lambda: not self._heard, PATIENCE_S)

    def chunks(self):
        while True:
            yield bytes(CHUNK_BYTES)

    def feed(self, pcm):
        with self._news:
            self._news.notify_all()
            self._news.wait_for(lambda: self._heard, 0.02)
            return self._heard.pop(0) if self._heard else None

    def finish(self):
        return None


def final(text, confidence=0.9):
    return Heard(text, confidence, final=True)


@pytest.fixture
def parts(monkeypatch):
    mouth, ear = Mouth(), Ear()
    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (mouth, ""))
    with (
        running_cook() as running,
        Voice(running, ear.chunks, mouth.play, lambda menu: ear) as voice,
    ):
        yield running, voice, mouth, ear


def heard_as_words(messages):
    return [message.shown for message in messages if message.kind == "heard"]


def test_no_microphone_is_said_once_and_typing_goes_on(monkeypatch):
    def no_microphone():
        raise NoMicrophone("this machine has no microphone")
        yield

    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (None, "I print only"))
    with running_cook() as running:
        messages = told(running)
        with Voice(running, no_microphone, lambda pcm, rate: None, lambda menu: Ear()):
            until = time.monotonic() + PATIENCE_S
            while not any("cannot listen" in message.shown for message in list(messages)):
                assert time.monotonic() < until
                time.sleep(0.01)
            assert running.say("what now").spoken
    notices = [message.shown for message in messages if message.kind == "notice"]
    assert sorted(notices) == [
        "I cannot listen: this machine has no microphone; typing works as ever.",
        "I print only.",
    ]


def test_no_recogniser_is_said_and_typing_goes_on(monkeypatch):
    def broken(menu):
        raise KitchenError("the recogniser cannot be had")

    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (None, ""))
    with running_cook() as running:
        messages = told(running)
        with Voice(running, iter, lambda pcm, rate: None, broken) as voice:
            voice._threads[1].join(PATIENCE_S)
            assert running.say("what now").spoken
    assert "the recogniser cannot be had." in [message.shown for message in messages]


def test_what_is_not_heard_for_want_of_echo_cancelling_is_said_once(monkeypatch):
    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (None, ""))
    monkeypatch.setitem(sys.modules, "pyaec", None)
    ear = Ear()
    with running_cook() as running:
        messages = told(running)
        with Voice(running, ear.chunks, lambda pcm, rate: None, lambda menu: ear):
            assert running.say("what now").spoken
    (notice,) = [message.shown for message in messages if message.kind == "notice"]
    assert notice.startswith("While I speak I hear only stop and danger")


def test_no_loudspeaker_is_said_once(monkeypatch):
    failed = threading.Event()

    def no_card(pcm, rate_hz):
        failed.set()
        raise NoSpeaker("this machine has no loudspeaker")

    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (Mouth(), ""))
    ear = Ear()
    with running_cook() as running:
        messages = told(running)
        with Voice(running, ear.chunks, no_card, lambda menu: ear):
            for _ in range(3):
                running.say("what now")
                assert failed.wait(PATIENCE_S)
                failed.clear()
    assert [m.shown for m in messages if m.kind == "notice"] == [
        "I cannot speak: this machine has no loudspeaker; I print instead."
    ]


def test_what_is_heard_is_answered_and_a_doubtful_hearing_is_not(parts):
    running, _, mouth, ear = parts
    messages = told(running)
    ear.hears(final("what now", confidence=0.01), final("what's next"))
    assert heard_as_words(messages) == ["what's next"]
    assert mouth.began.wait(PATIENCE_S)
    assert mouth.sentences[0].startswith("At ")


def test_our_own_speech_is_no_command(parts):
    running, _, mouth, ear = parts
    running.say("what now")
    assert mouth.began.wait(PATIENCE_S)
    messages = told(running)
    ear.hears(Heard("i am done", 0.0, final=False), final("i am done"), final("undo"))
    assert heard_as_words(messages) == []
    assert mouth.began.is_set()


@pytest.mark.parametrize("word", ["stop", "Stop."])
def test_stop_while_speaking_silences_within_a_tenth_of_a_second(parts, word):
    running, _, mouth, _ = parts
    running.say("what now")
    assert mouth.began.wait(PATIENCE_S)
    asked_at = time.monotonic()
    running.say(word)
    while mouth.began.is_set() and time.monotonic() < asked_at + PATIENCE_S:
        time.sleep(0.001)
    assert mouth.ended_at - asked_at < 0.1


def test_stop_is_heard_over_our_own_speech_before_its_end(parts):
    running, _, mouth, ear = parts
    running.say("what now")
    assert mouth.began.wait(PATIENCE_S)
    ear.hears(Heard("stop", 0.0, final=False))
    while mouth.began.is_set():
        time.sleep(0.001)
    messages = told(running)
    ear.hears(final("stop"))
    assert heard_as_words(messages) == ["stop"]


def test_danger_told_over_our_own_speech_is_answered_first(parts):
    running, _, mouth, ear = parts
    running.say("what now")
    assert mouth.began.wait(PATIENCE_S)
    running.say("when do we eat")  # waits its turn
    ear.hears(final("the pan is on fire"))
    deadline = time.monotonic() + PATIENCE_S
    said = []
    while not said and time.monotonic() < deadline:
        time.sleep(0.01)
        said = [words for words in mouth.sentences if words.startswith(("Do not", "We eat"))]
    assert said[0].startswith("Do not move the pan")


def test_speech_takes_the_settings_just_made(parts):
    running, _, mouth, _ = parts
    saved = []
    running.cook._save = saved.append
    running.say("slower")
    assert mouth.speed == saved[-1].speed < 1.0


def listening(running, mode):
    running.cook.settings = replace(running.cook.settings, listening=mode)


def until_quiet(running, mouth, ear):
    """What is being said is broken off, and its echo is over."""
    assert mouth.began.wait(PATIENCE_S)
    running.cook.silence()
    while mouth.began.is_set():
        time.sleep(0.001)
    ear.hears(*[None] * 60)


def partial(words):
    return Heard(words, 0.0, final=False)


def test_by_name_only_what_is_said_to_us_is_answered(parts):
    running, _, _, ear = parts
    listening(running, "name")
    messages = told(running)
    ear.hears(final("i am done"), final("hobside what now"))
    assert heard_as_words(messages) == ["hobside what now"]
    assert next(m.shown for m in messages if m.kind == "reply").startswith("Nothing for")


def test_after_the_name_alone_one_utterance_is_taken(parts):
    running, _, mouth, ear = parts
    listening(running, "name")
    messages = told(running)
    ear.hears(final("hobside"))
    until_quiet(running, mouth, ear)
    assert not mouth.sentences  # a sound tells that we listen
    ear.hears(partial("what"), final("what now"), partial("i am"), final("i am done"))
    assert heard_as_words(messages) == ["what now"]


@pytest.mark.parametrize("mode", ["name", "key"])
def test_after_a_key_one_utterance_is_taken(parts, mode):
    running, _, _, ear = parts
    listening(running, mode)
    messages = told(running)
    ear.hears(final("what now"))
    running.cook.listen()
    ear.hears(partial("when"), final("when do we eat"), partial("i am"), final("i am done"))
    assert heard_as_words(messages) == ["when do we eat"]


@pytest.mark.parametrize("mode", ["open", "name", "key"])
def test_danger_is_heeded_in_every_mode_however_badly_heard(parts, mode):
    running, _, _, ear = parts
    listening(running, mode)
    messages = told(running)
    ear.hears(final("the pan is on fire", confidence=0.0))
    assert messages[-1].kind == "reply"
    assert messages[-1].spoken.startswith("If something is on fire: do not move the pan")
    ear.hears(final("the pan is on fire", confidence=0.03))
    assert messages[-1].kind == "reply"
    assert messages[-1].urgency == "emergency"


@pytest.mark.parametrize("mode", ["open", "name", "key"])
def test_stop_needs_no_name_while_we_speak(parts, mode):
    running, _, mouth, ear = parts
    listening(running, mode)
    running.say("what now")
    assert mouth.began.wait(PATIENCE_S)
    ear.hears(partial("stop"), final("stop", confidence=0.0))
    while mouth.began.is_set():
        time.sleep(0.001)


def test_the_answer_to_our_question_needs_no_name(parts):
    running, _, mouth, ear = parts
    listening(running, "name")
    assert running.say("done", 0.2).question is not None
    until_quiet(running, mouth, ear)
    messages = told(running)
    ear.hears(partial("yes"), final("yes"), partial("what"), final("what now"))
    assert heard_as_words(messages) == ["yes"]


def test_what_is_hardly_heard_but_said_to_us_is_asked_for_again(parts):
    running, _, _, ear = parts
    messages = told(running)
    ear.hears(final("what now", confidence=0.01), final("hobside what now", confidence=0.01))
    assert [m.shown for m in messages if m.kind == "reply"] == ["Sorry, I did not hear that."]


def test_words_stream_as_they_form_but_not_what_is_said_to_others(parts):
    running, _, _, ear = parts
    messages = told(running)
    ear.hears(partial("what"), partial("what now"), final("what now"))
    listening(running, "name")
    ear.hears(partial("and then"), final("and then"))
    words = [m.shown for m in messages if m.kind == "hearing"]
    assert words == ["what", "what now", "", ""]


@pytest.fixture
def chimes(parts, monkeypatch):
    """The words that are queued, each with its chime, once the first calls were made."""
    running, voice, _, ear = parts
    running.cook.tick()
    running.cook.silence()
    while voice._queue.speaking:
        time.sleep(0.001)
    ear.hears(*[None] * 60)  # what is heard from here on is no echo
    queued = []

    def say(words, urgency, key="", chime=None, repeats=0):
        queued.append((words, chime, repeats))

    monkeypatch.setattr(voice._queue, "say", say)
    return queued


def test_what_is_heard_is_answered_with_a_sound_and_what_is_typed_is_not(parts, chimes):
    running, _, _, ear = parts
    ear.hears(final("when do we eat"), final("flibber the gromple"))  # the second to others
    ear.hears(final("hobside flibber the gromple"))
    running.say("when do we eat")
    assert [chime for _, chime, _ in chimes] == [Chime.HEARD, Chime.NOT_UNDERSTOOD, None]


def test_calls_sound_by_their_urgency_and_only_the_heat_insists(parts, chimes):
    voice = parts[1]
    for urgency, repeats in (("heat", 2), ("due", 2), ("news", 2)):
        voice._on_message(Message(1, SIX, "call", "Look.", "Look.", urgency, "k", repeats))
    assert chimes == [
        ("Look.", Chime.ON_THE_HEAT, 2), ("Look.", Chime.TIME_UP, 0), ("Look.", None, 0)
    ]  # fmt: skip


def test_sounds_that_were_turned_off_are_not_played(parts, chimes):
    running, _, _, ear = parts
    running.cook._save = lambda settings: None
    running.say("turn off the beeps")
    ear.hears(final("when do we eat"))
    assert [chime for _, chime, _ in chimes] == [None, None]


def test_an_added_dish_has_another_recogniser_made_which_takes_over(monkeypatch):
    ears = {}

    def ear_of(menu):
        ears[len(menu.dishes)] = Ear()
        return ears[len(menu.dishes)]

    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (None, ""))
    chunks = Ear().chunks
    with running_cook() as running:
        messages, count = told(running), len(running.menu.dishes)
        with Voice(running, chunks, lambda pcm, rate: None, ear_of):
            running.cook.live.apply(added(SIX, load_dish("warm-plums")))
            running.say("what now")  # whatever is told next, the menu is looked at
            deadline = time.monotonic() + PATIENCE_S
            while count + 1 not in ears and time.monotonic() < deadline:
                time.sleep(0.01)
            ears[count + 1].hears(final("what's next"))
    assert heard_as_words(messages) == ["what now", "what's next"]


def test_a_recogniser_that_cannot_be_made_anew_leaves_the_one_there_is(monkeypatch):
    first = Ear()

    def ear_of(menu):
        if any(dish.name == "warm-plums" for dish in menu.dishes):
            raise KitchenError("the recogniser cannot be had")
        return first

    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (None, ""))
    with running_cook() as running:
        messages = told(running)
        with Voice(running, first.chunks, lambda pcm, rate: None, ear_of) as voice:
            running.cook.live.apply(added(SIX, load_dish("warm-plums")))
            running.say("what now")
            voice._making.shutdown(wait=True)
            first.hears(final("what's next"))
    assert heard_as_words(messages) == ["what now", "what's next"]
    assert "the recogniser cannot be had." in [m.shown for m in messages if m.kind == "notice"]


def test_its_threads_end_when_it_is_left(monkeypatch):
    mouth, ear = Mouth(), Ear()
    monkeypatch.setattr(voice_module, "choose_speaker", lambda *_: (mouth, ""))
    before = set(threading.enumerate())
    with running_cook() as running:
        with Voice(running, ear.chunks, mouth.play, lambda menu: ear):
            running.say("what now")
            assert mouth.began.wait(PATIENCE_S)
            own = set(threading.enumerate()) - before
            assert {"mouth", "ear", "microphone"} <= {thread.name for thread in own}
        for thread in own:
            thread.join(PATIENCE_S)
        assert not [thread.name for thread in own if thread.is_alive()]

"""Real voices, on short sentences."""

import shutil
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant import speak
from assistant.speak import Speaker, Voice, choose_speaker, clauses
from assistant.speak_espeak import EspeakSpeaker
from assistant.speak_flite import FliteSpeaker
from assistant.speak_piper import PiperSpeaker
from domain.errors import KitchenError, MissingModel

_SENTENCE = "Take the rice off the heat."


@pytest.fixture(scope="module")
def piper() -> PiperSpeaker:
    return PiperSpeaker()


def _seconds(speaker: Speaker, sentence: str) -> float:
    return len(b"".join(speaker.say(sentence))) / 2 / speaker.rate_hz


def _loudness(speaker: Speaker) -> float:
    samples = np.frombuffer(b"".join(speaker.say(_SENTENCE)), np.int16).astype(float)
    return float(np.sqrt(np.mean(samples**2)))


def test_clauses_end_at_punctuation_but_not_within_numbers() -> None:
    assert clauses("Yes, the rice has 5 minutes left, then drain it. Ready at 7:10?") == [
        "Yes, the rice has 5 minutes left,",
        "then drain it.",
        "Ready at 7:10?",
    ]
    assert clauses("About 2.5 cups, or 1,000 g.") == ["About 2.5 cups,", "or 1,000 g."]


def test_long_clauses_are_cut_where_one_draws_breath_and_never_within_a_number() -> None:
    long = "Cut the fennel into thick wedges and spread them over the roasting tray with the oil"
    assert clauses(long) == [
        "Cut the fennel into thick wedges",
        "and spread them over the roasting tray with the oil",
    ]
    long = "Pour one cup and a half of the hot stock for two hundred and six seconds or so"
    assert clauses(long)[0] == "Pour one cup and a half of the hot stock"
    assert clauses(long)[1].startswith("for two hundred and six")


@given(st.text(alphabet="ab1 .,;:!?", max_size=60))
def test_clauses_keep_every_word_in_order(sentence: str) -> None:
    assert " ".join(clauses(sentence)).split() == sentence.split()


@pytest.mark.parametrize("voice", ["en-us", "en-gb", "en-gb-scotland", "en-us+f3", "ko"])
def test_espeak_speaks_in_every_voice_that_is_used(voice: str) -> None:
    assert 0.5 < _seconds(EspeakSpeaker(voice), _SENTENCE) < 4
    assert _loudness(EspeakSpeaker(voice)) > 500


def test_flite_speaks_or_says_how_to_get_it(monkeypatch: pytest.MonkeyPatch) -> None:
    if shutil.which("flite"):
        assert 0.5 < _seconds(FliteSpeaker("slt"), _SENTENCE) < 4
        assert _seconds(FliteSpeaker("slt", speed=2.0), _SENTENCE) < 0.7 * _seconds(
            FliteSpeaker("slt"), _SENTENCE
        )
    monkeypatch.setenv("PATH", "")
    with pytest.raises(KitchenError, match="apt-get install flite"):
        FliteSpeaker("slt")


def test_espeak_voices_differ_and_do_not_disturb_each_other() -> None:
    american, scottish = EspeakSpeaker("en-us"), EspeakSpeaker("en-gb-scotland")
    before = _seconds(american, _SENTENCE)
    assert abs(_seconds(scottish, _SENTENCE) - before) > 0.02
    assert abs(_seconds(american, _SENTENCE) - before) < 0.01


def test_espeak_refuses_voices_that_it_does_not_have() -> None:
    for voice in ("", "en-atlantis", "en-us+nobody"):
        with pytest.raises(KitchenError, match="no voice"):
            EspeakSpeaker(voice)


def test_speed_shortens_and_volume_softens_and_strengthens(piper: PiperSpeaker) -> None:
    speakers = [EspeakSpeaker(), piper, *([FliteSpeaker()] if shutil.which("flite") else [])]
    for speaker in speakers:
        usual, loudness = _seconds(speaker, _SENTENCE), _loudness(speaker)
        speaker.speed = 1.5
        assert _seconds(speaker, _SENTENCE) < 0.85 * usual
        speaker.speed, speaker.volume = 1.0, 0.25
        assert 0.3 * loudness < _loudness(speaker) < 0.7 * loudness
        speaker.volume = 1.0
        assert 1.3 * loudness < _loudness(speaker) < 2.1 * loudness  # twice, but for its peaks
        speaker.volume = 0.5


def test_piper_says_a_phrase_again_from_memory(piper: PiperSpeaker) -> None:
    once = b"".join(piper.say(_SENTENCE))
    # Piper draws its timing at random, so the same sound twice is the kept sound.
    assert b"".join(piper.say(_SENTENCE)) == once
    assert 0.8 < len(once) / 2 / piper.rate_hz < 4


def test_both_engines_speak_in_one_process(piper: PiperSpeaker) -> None:
    espeak = EspeakSpeaker()
    alone = _seconds(espeak, _SENTENCE)
    piper.prepare("Put the lid on, and turn the ring down.")
    assert abs(_seconds(espeak, _SENTENCE) - alone) < 0.01


def test_nothing_to_say_is_no_sound(piper: PiperSpeaker) -> None:
    assert list(piper.say("")) == list(EspeakSpeaker().say("  ")) == []


def test_a_voice_file_without_its_settings_is_told(tmp_path: Path) -> None:
    (tmp_path / "voice.onnx").write_bytes(b"")
    with pytest.raises(MissingModel, match=r"voice\.onnx\.json"):
        PiperSpeaker(tmp_path / "voice.onnx")


class Fake:
    """A voice that says each clause as its number of letters, or breaks after one piece."""

    rate_hz, speed, volume = 1000, 1.0, 0.5

    def __init__(self, breaks: bool = False) -> None:
        self.breaks, self.prepared = breaks, []

    def say(self, sentence):
        yield bytes([len(sentence), 0])
        if self.breaks:
            raise KitchenError("the model failed")
        yield bytes([len(sentence), 0])

    def prepare(self, sentence):
        self.prepared.append(sentence)


@pytest.fixture
def voices(monkeypatch: pytest.MonkeyPatch):
    """Three voices: the best, which tests break; another; and one this machine does not have."""

    def missing() -> Speaker:
        raise MissingModel("en_US-joe-medium", "type “make setup”")

    best, next_best = Fake(), Fake()
    known = {
        "gone": Voice("the one that is not there", "gone", missing, lambda: False),
        "best": Voice("the best", "best", lambda: best, lambda: True),
        "next": Voice("the next", "next", lambda: next_best, lambda: True),
    }
    monkeypatch.setattr(speak, "VOICES", known)
    return best, next_best


def test_the_voice_is_chosen_by_name(voices) -> None:
    best, next_best = voices
    speaker, why = choose_speaker("next")
    assert why == ""
    speaker.prepare("Yes.")
    assert (next_best.prepared, best.prepared) == (["Yes."], [])
    with pytest.raises(KitchenError, match="gone, best, next"):
        choose_speaker("Nobody")
    assert speak.voices_here() == ["best", "next"]


def test_a_voice_that_is_missing_gives_way_to_the_next_and_at_last_to_print(voices) -> None:
    speaker, why = choose_speaker()
    assert why.startswith("gone cannot speak: the model en_US-joe-medium is missing")
    assert why.endswith("best speaks instead")
    for fake in voices:
        fake.breaks = True
    for _ in range(2):
        with pytest.raises(KitchenError, match="next cannot speak: the model failed; I print only"):
            list(speaker.say("Yes."))


def test_with_no_voice_at_all_words_are_only_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing() -> Speaker:
        raise KitchenError("it is not installed")

    monkeypatch.setattr(speak, "VOICES", {"one": Voice("one", "one", missing, lambda: False)})
    assert choose_speaker() == (None, "one cannot speak: it is not installed; I print only")


def test_a_voice_that_breaks_is_told_once_and_the_next_begins_the_clause_anew(voices) -> None:
    best, _ = voices
    told: list[str] = []
    speaker, _ = choose_speaker("best", told.append)
    assert len(list(speaker.say("Yes. No."))) == 4
    best.breaks = True
    assert list(speaker.say("Yes. No.")) == [b"\x04\0"] * 3 + [b"\x03\0"] * 2
    list(speaker.say("Yes."))
    assert len(told) == 1
    assert told[0].startswith("best cannot speak: the model failed; ")
    assert told[0].endswith("; next speaks instead")


def test_another_voice_is_heard_at_once_and_one_asked_for_anew_is_tried_anew(voices) -> None:
    best, next_best = voices
    speaker, _ = choose_speaker("best", lambda words: None)
    best.breaks = True
    list(speaker.say("Yes."))
    best.breaks = False
    speaker.voice, speaker.speed, speaker.volume = "next", 1.5, 0.8
    list(speaker.say("Yes."))
    assert (next_best.speed, next_best.volume, best.speed) == (1.5, 0.8, 1.0)
    speaker.voice = "best"
    list(speaker.say("Yes."))
    assert best.speed == 1.5


def test_a_clause_of_pipers_begins_at_once(piper: PiperSpeaker) -> None:
    for words in ("Half past seven.", "About fourteen ounces.", "Yes."):
        samples = np.frombuffer(b"".join(piper.say(words)), np.int16) / 32767
        assert np.flatnonzero(np.abs(samples) > 0.01)[0] <= 0.011 * piper.rate_hz


def test_what_is_prepared_or_was_said_comes_whole_and_what_is_new_in_pieces(
    piper: PiperSpeaker,
) -> None:
    piper.forget()
    words = "Put the pears on the lower shelf."
    assert len(list(piper.say(words))) > 2
    assert len(list(piper.say(words))) == 1
    piper.forget()
    piper.prepare(words)
    assert len(list(piper.say(words))) == 1


def test_piper_that_breaks_while_cooking_gives_way_to_the_next_real_voice() -> None:
    class Broken:
        def run(self, *_):
            raise RuntimeError("out of memory")

    told: list[str] = []
    speaker, _ = choose_speaker("Piper", told.append)
    speaker._made["Piper"]._halves.front = Broken()
    for _ in range(2):
        assert 0.5 < _seconds(speaker, _SENTENCE) < 4
    assert told == [
        "Piper cannot speak: the voice’s model failed (out of memory); eSpeak NG speaks instead"
    ]

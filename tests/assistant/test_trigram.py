"""The trigram is a proper distribution, by PocketSphinx's own reading of the file."""

import pocketsphinx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.trigram import LEAST, arpa

WORDS = st.sampled_from(["stop", "done", "what", "next", "rice"])
SENTENCES = st.lists(st.lists(WORDS, min_size=1, max_size=5).map(" ".join), min_size=1)


def read(tmp_path_factory, sentences):
    file = tmp_path_factory.mktemp("model") / "model.arpa"
    file.write_text("".join(arpa(sentences)))
    model = pocketsphinx.NGramModel.readfile(str(file))
    logarithms = pocketsphinx.LogMath(1.0001)
    # PocketSphinx takes the word first, then its history backwards.
    return lambda word, *history: logarithms.exp(model.prob([word, *reversed(history)]))


@settings(max_examples=30, deadline=None)
@given(sentences=SENTENCES, history=st.lists(WORDS, min_size=1, max_size=2))
def test_what_follows_sums_to_one(tmp_path_factory, sentences, history):
    vocabulary = {word for sentence in sentences for word in sentence.split()}
    history = [word for word in history if word in vocabulary] or ["<s>"]
    chance = read(tmp_path_factory, sentences)
    total = sum(chance(word, *history) for word in [*vocabulary, "</s>"])
    assert total == pytest.approx(1, abs=0.01)


def test_by_hand(tmp_path_factory):
    # After "what" came "next" three times and "now" once: 2 different words in 4. Method C with
    # t = 4 * 2 keeps 8 / (4 + 8) for the unigrams, whose counts plus one are what 5, next 4,
    # now 2, </s> 5 of 16.
    chance = read(tmp_path_factory, ["what next"] * 3 + ["what now"])
    kept = 8 / 12
    assert chance("next", "what") == pytest.approx((1 - kept) * 3 / 4 + kept * 4 / 16, rel=0.01)
    assert chance("what", "what") == pytest.approx(kept * 5 / 16, rel=0.01)


def test_a_sure_history_keeps_something_for_the_unsaid(tmp_path_factory):
    chance = read(tmp_path_factory, ["stop now"] * 5000 + ["rice"])
    assert 1 - LEAST < chance("now", "stop") < 1
    assert chance("rice", "stop") > 0

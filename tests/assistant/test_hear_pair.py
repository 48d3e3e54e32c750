"""The network bound to a language model, and the two recognisers together, on real sound."""

import logging
from concurrent.futures import Future

import pytest
from sounds import noise, spoken

from assistant.audio import CHUNK_BYTES, from_pcm, to_pcm
from assistant.hear import Heard, open_recogniser
from assistant.hear_pair import Pair, confidence, differing, likeliest
from assistant.hear_sphinx import SphinxRecogniser, Told, Utterance
from assistant.language_model import compile_model
from assistant.moonshine import Sentence
from assistant.network_cache import ready
from assistant.phrasebook import read_phrase_book

BOOK = """
nlu:
- intent: order
  examples: |
    - i'd like [four hundred](amount) grams of [rice](thing)
    - i'd like [sixteen](amount) ounces of [bulgur](thing)
    - how long left on the [chicken](thing)
- lookup: thing
  examples: |
    - rice
    - bulgur
    - chicken
"""


@pytest.fixture(scope="module")
def model(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pair")
    (folder / "book.yml").write_text(BOOK)
    return compile_model(read_phrase_book(folder / "book.yml"), None, folder)


@pytest.fixture(scope="module")
def pair(model):
    return Pair(model)


def said(sound, told):
    """An utterance that PocketSphinx has done with."""
    done = Future()
    done.set_result(told)
    return Utterance(sound, done)


@pytest.mark.parametrize(
    "sentence", ["i'd like sixteen ounces of bulgur", "how long left on the rice"]
)
def test_what_is_said_is_found_though_sphinx_heard_otherwise(pair, sentence):
    heard = pair(said(from_pcm(spoken(sentence)), Told("how long left of chicken", 0.5, 2.0)))
    assert heard.text == sentence
    assert heard.final


def test_what_sphinx_heard_is_weighed_too(pair):
    sound = from_pcm(spoken("how long left on the rice"))
    # No beam would keep this; it is there because it was given, and far behind.
    odd = ("chicken", "of", "grams", "the")
    best, *others = pair._search.sentences(sound, lambda: odd)
    assert best.words == ("how", "long", "left", "on", "the", "rice")
    assert best.doubt < others[-1].doubt
    assert others[-1].words == odd


@pytest.mark.parametrize(
    "words", ["i'd like sixteen ounces of bulgur", "how long left on the chicken"]
)
def test_a_given_sentence_weighs_what_it_weighs_when_it_is_found(pair, words):
    search, sound = pair._search, from_pcm(spoken(words))
    best, *_ = search.sentences(sound)
    assert best.words == tuple(words.split())
    hidden = search._network.encode(sound)
    given = search._weighed(best.words, hidden, search._network.next([[1]], hidden, None))
    # Taken all at once the network's bytes are rounded otherwise: 0.6 nat at most was measured.
    assert given.score == pytest.approx(best.score, abs=1.0)
    assert given.doubt == pytest.approx(best.doubt, abs=1.0)


def test_only_words_of_the_model_are_heard(pair, model):
    known = {line.split()[0] for line in model.words.read_text().splitlines()}
    other = from_pcm(spoken("my sister moves to another town"))
    heard = pair(said(other, Told("the rice", 0.4, 1.0)))
    assert set(heard.text.split()) <= known


def test_where_sphinx_hears_nothing_there_is_nothing(pair):
    assert pair(said(noise(1), Told("", 0.0, 0.0))) == Heard("", 0.0, final=True)


def test_what_sounds_like_what_sphinx_heard_is_likelier():
    # Each differs in one word: "timer" by one letter of "time", "oven" by all four.
    alike = Sentence(("set", "a", "timer", "for", "rice"), doubt=0, score=-3.0)
    other = Sentence(("set", "a", "oven", "for", "rice"), doubt=0, score=-2.5)
    assert likeliest([other, alike], "set a time for rice") == alike
    # 5 nats are more than the four letters.
    sure = Sentence(other.words, doubt=0, score=2.5)
    assert likeliest([sure, alike], "set a time for rice") == sure


def test_differing_words_are_counted():
    assert differing(Sentence(("a", "b", "c"), 0, 0), ("a", "c")) == 1
    assert differing(Sentence(("a", "b"), 0, 0), ()) == 2


def test_agreement_without_doubt_is_believed_and_the_contrary_is_not():
    clear = Sentence(("how", "long"), doubt=1.0, score=0)
    forced = Sentence(("how", "long"), doubt=20.0, score=0)
    assert confidence(clear, Told("how long", 0.95, 3)) > 0.8
    assert confidence(forced, Told("chicken", 0.6, 1)) < 0.1


def test_the_pair_listens_to_a_stream(model, tmp_path):
    ear = open_recogniser("pair", model, tmp_path)
    assert isinstance(ear, SphinxRecogniser)
    pcm = spoken("i'd like four hundred grams of rice", around_s=0.8)
    told = [ear.feed(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    told = [heard for heard in [*told, ear.finish()] if heard]
    assert [heard.text for heard in told if heard.final] == ["i'd like four hundred grams of rice"]
    assert not any(heard.final for heard in told[:-1])
    assert not ear.feed(to_pcm(noise(2, 0.01)))
    assert ear.finish() is None


def test_nothing_found_is_nothing_heard(model):
    ear = SphinxRecogniser(model, lambda said: Heard("", 0.0, final=True))
    pcm = spoken("how long left on the rice")
    told = [ear.feed(pcm[at : at + CHUNK_BYTES]) for at in range(0, len(pcm), CHUNK_BYTES)]
    assert not [heard for heard in [*told, ear.finish()] if heard and heard.final]


def test_a_network_is_made_ready_once(tmp_path, monkeypatch):
    made = []

    def remade(network, scratch):
        made.append(network)
        (scratch / "made").write_bytes(b"quick")
        return scratch / "made"

    monkeypatch.setattr("assistant.network_cache._remade", remade)
    network = tmp_path / "slow.ort"
    network.write_bytes(b"slow")
    first = ready(network, tmp_path / "cache")
    assert (first.read_bytes(), ready(network, tmp_path / "cache")) == (b"quick", first)
    assert len(made) == 1
    network.write_bytes(b"another")
    assert ready(network, tmp_path / "cache") != first
    assert not logging.root.manager.disable

"""How what is said may be written: the tokens of the shipped network, and the tree of spellings."""

import pytest

from assistant.models import installed
from assistant.moonshine import MODEL
from assistant.ngrams import BEGIN, END, Ngrams
from assistant.spellings import Spellings, Tokens
from assistant.trigram import arpa

SAID = ["set sixteen ounces", "one hundred and twenty", "one twenty", "seven thirty", "what's that"]


@pytest.fixture(scope="module")
def tokens():
    return Tokens(installed(MODEL)[2])


@pytest.fixture(scope="module")
def spellings(tokens, tmp_path_factory):
    file = tmp_path_factory.mktemp("spelling") / "said.arpa"
    file.write_text("".join(arpa(SAID)))
    return Spellings(Ngrams(file), tokens)


def reached(spellings, tokens, written):
    """What was said when this is written."""
    node = spellings.root
    for token in tokens.encode(written):
        node = node.next[token]
    return node.said


def test_text_is_cut_as_the_network_was_taught(tokens):
    # From the network's own output for "16 ounces" and "single-shot".
    assert tokens.encode(" 16") == [tokens.number(part) for part in ("▁", "1", "6")]
    assert tokens.encode("-shot") == [tokens.number(part) for part in ("-", "shot")]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (" sixteen", ("sixteen",)),
        (" Sixteen", ("sixteen",)),
        ("-ounces", ("ounces",)),
        (" what's", ("what's",)),
        (" 16", ("sixteen",)),
        (" 120", ("one", "hundred", "and", "twenty")),
        (" 120", ("one", "twenty")),
        (" 7:30", ("seven", "thirty")),
    ],
)
def test_a_word_may_be_written_in_several_ways(spellings, tokens, written, said):
    assert said in reached(spellings, tokens, written)


def test_numbers_of_which_a_word_cannot_be_said_are_not_written(spellings, tokens):
    space = spellings.root.next[tokens.number("▁")]
    assert tokens.number("1") in space.next
    assert tokens.number("4") not in space.next  # neither four nor forty nor four hundred


def test_a_branch_is_as_likely_as_its_likeliest_word(spellings, tokens):
    ahead = spellings.ahead((BEGIN,))
    chances = [
        spellings.ngrams.chance((BEGIN,), word)
        for word in spellings.ngrams.words
        if word not in (BEGIN, END)
    ]
    assert ahead[spellings.root.number] == pytest.approx(max(chances))
    what = spellings.root.next[tokens.encode(" what's")[0]]
    assert ahead[what.number] == pytest.approx(spellings.ngrams.chance((BEGIN,), "what's"))


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("what's that", ["What's that"]),
        ("set sixteen ounces", ["Set sixteen ounces", "Set 16 ounces"]),
        ("set one hundred and twenty", ["Set one hundred and twenty", "Set 120"]),
        ("seven thirty that", ["Seven thirty that", "730 that", "7:30 that"]),
        # The longest number first: not "100 and 20", nor "1 20".
        ("one twenty sixteen", ["One twenty sixteen", "120 16", "1:20 16"]),
    ],
)
def test_a_sentence_is_written_in_words_and_in_figures(spellings, said, written):
    assert spellings.of(tuple(said.split())) == written

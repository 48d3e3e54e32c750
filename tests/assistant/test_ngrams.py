"""A trigram read back: the chances of its ARPA file, backed off where it has none."""

from math import log

import pytest

from assistant.ngrams import BEGIN, END, Ngrams

# The chances are written as base-10 logarithms; -1 is one in ten.
ARPA = r"""\data\
ngram 1=4
ngram 2=2
ngram 3=1

\1-grams:
-99 <s> -0.5
-1 </s>
-1 salt -0.25
-2 water

\2-grams:
-0.5 <s> salt -0.125
-0.75 salt water

\3-grams:
-0.0625 <s> salt water

\end\
"""


@pytest.fixture
def ngrams(tmp_path):
    file = tmp_path / "small.arpa"
    file.write_text(ARPA)
    return Ngrams(file)


@pytest.mark.parametrize(
    ("history", "word", "tenths"),
    [
        ((), "water", -2),
        ((BEGIN,), "salt", -0.5),
        ((BEGIN,), "water", -0.5 - 2),  # backed off from <s>
        ((BEGIN, "salt"), "water", -0.0625),
        ((BEGIN, "salt"), END, -0.125 - 0.25 - 1),  # backed off twice
        (("water", "salt"), "water", -0.75),  # no trigram begins so: nothing is taken for it
    ],
)
def test_chances_are_those_of_the_file(ngrams, history, word, tenths):
    assert ngrams.chance(history, word) == pytest.approx(tenths * log(10), rel=1e-5)


def test_a_word_s_number_is_its_place(ngrams):
    assert ngrams.words[ngrams.number["salt"]] == "salt"
    assert len(ngrams.after((BEGIN,))) == len(ngrams.words) == 4

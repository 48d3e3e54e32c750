"""The sentence model's own arithmetic against values published for the same weights."""

import json
import subprocess

import pytest

from assistant.training import HERE

# Sentence Transformers documentation, Quickstart: three sentences through all-MiniLM-L6-v2, and
# the cosines of each two of them, printed to four places.
SENTENCES = ["The weather is lovely today.", "It's so sunny outside!", "He drove to the stadium."]
COSINES = {(0, 1): 0.6660, (0, 2): 0.1046, (1, 2): 0.1411}
HALF_A_PLACE = 0.00005 + 1e-6

ASK = """
import json, sys
from sentence_model import SentenceModel
print(json.dumps(SentenceModel().vectors(json.load(sys.stdin)).tolist()))
"""


def vectors(texts: list[str]) -> list[list[float]]:
    """The model runs in Rasa's environment, so it is asked there."""
    asked = subprocess.run(
        [HERE.python, "-c", ASK],
        input=json.dumps(texts),
        env=HERE.surroundings(),
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )
    answer: list[list[float]] = json.loads(asked.stdout)
    return answer


def cosine(one: list[float], other: list[float]) -> float:
    return sum(a * b for a, b in zip(one, other, strict=True))


@pytest.fixture(scope="module")
def rows() -> list[list[float]]:
    """Of the published sentences, and of the second once more, by then among texts as long."""
    return vectors([*SENTENCES, SENTENCES[1], "Is the pan hot enough yet?"])


@pytest.mark.parametrize("pair", COSINES)
def test_cosines_are_the_published_ones(rows, pair):
    one, other = pair
    assert cosine(rows[one], rows[other]) == pytest.approx(COSINES[pair], abs=HALF_A_PLACE)


def test_vectors_are_of_length_one_and_do_not_depend_on_the_company(rows):
    assert [cosine(row, row) for row in rows] == pytest.approx([1.0] * len(rows), abs=1e-5)
    assert rows[3] == pytest.approx(rows[1], abs=1e-5)

"""Utterances as lines of JSON: what is none says why."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.meaning import Understood
from assistant.understood_line import understood_line
from domain.errors import KitchenError


def understands(text: str) -> Understood:
    return Understood(text, "thanks", 0.75)


@pytest.mark.parametrize(
    ("line", "why"),
    [("\n", "empty"), ("  \r\n", "empty"), ("a" * 401, "401 characters"), ("\udcff", "UTF-8")],
)
def test_what_is_no_utterance_says_why(line, why):
    assert why in understood_line(understands, line)["error"]


def test_trouble_with_understanding_is_that_lines_alone():
    def away(text):
        raise KitchenError("the intent server does not start")

    assert understood_line(away, "hello\n") == {
        "text": "hello",
        "error": "the intent server does not start",
    }


@given(st.text(st.characters(exclude_characters="\r\n", exclude_categories=("Cs",)), max_size=400))
def test_every_other_line_is_given_back_with_its_meaning(text):
    told = understood_line(understands, f"{text}\n")
    assert told["text"] == text
    assert ("error" in told) == (not text.strip())

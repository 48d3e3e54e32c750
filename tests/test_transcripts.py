"""Whole cooks, from planning to leftovers, are answered as their transcripts have it, word by word.

`python -m tests.transcripts` writes them anew; what has changed is to be read before it is kept.
"""

import difflib

import pytest

from assistant.intent_server import IntentServer
from tests.transcripts.transcript import FOLDER, names, read, replayed


@pytest.mark.parametrize("name", names())
def test_a_whole_cook_is_answered_as_its_transcript_has_it(
    name: str, intent_server: IntentServer
) -> None:
    written = (FOLDER / f"{name}.txt").read_text()
    now = replayed(read(written), intent_server)
    difference = difflib.unified_diff(
        written.splitlines(), now.splitlines(), "as written", "as answered now", lineterm=""
    )
    assert now == written, "\n".join(difference)


def test_what_the_cook_says_is_read_and_what_is_answered_is_passed_over() -> None:
    text = (
        "A supper.\nmenu:     harbour-supper\nbegins:   18:00\n\n"
        "# The oven is cold.\n18:00:00  cook   What now?\n          reply  Nothing.\n"
        "18:05  cook   Done.\n"
    )
    transcript = read(text)
    assert transcript.title == ("A supper.",)
    assert transcript.head == {"menu": "harbour-supper", "begins": "18:00"}
    assert [(said.at, said.text, said.notes) for said in transcript.spoken] == [
        (64800.0, "What now?", ("# The oven is cold.",)),
        (65100.0, "Done.", ()),
    ]

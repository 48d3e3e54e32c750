"""How a run sheet writes names and lengths."""

import pytest
from hypothesis import given
from sheets import ODD

from assistant.run_sheet_words import clean, length, letter


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(45, "45 s"), (60, "1 min"), (90, "90 s"), (150, "2½ min"), (490, "8 min"), (5400, "90 min")],
)
def test_lengths(seconds, told):
    assert length(seconds) == told


def test_letters_go_on_after_z():
    assert [letter(i) for i in (0, 25, 26, 27, 701, 702)] == ["A", "Z", "AA", "AB", "ZZ", "AAA"]


@given(ODD)
def test_cleaned_text_is_one_printable_line(text):
    kept = clean(text)
    kept.encode("utf-8")
    assert "\n" not in kept
    assert "\x1b" not in kept
    assert clean(kept) == kept

"""Guesses from spelling agree with what dictionaries print, and never fail."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.arpabet import arpabet
from assistant.spelling import Speller

SPELL = Speller()
PHONES = set(arpabet("ɑæʌɔaʊaɪbtʃdðɛɜːeɪfɡhɪidʒklmnŋoʊɔɪpɹsʃtθʊuvwjzʒ").split())


# Merriam-Webster: ˈtə-fē, ˈman-də-rən, mə-ˈri-nə; and what no dictionary has, as it is spelt.
@pytest.mark.parametrize(
    ("word", "phones"),
    [("toffee", "T AO F IY"), ("marina", "M ER IY N AH"), ("quillhaven", "K W IH L HH EY V AH N")],
)
def test_words(word, phones):
    assert SPELL(word) == phones


@given(st.text(max_size=30))
def test_anything_has_phones_or_none(text):
    assert set(SPELL(text).split()) <= PHONES

"""The International Phonetic Alphabet in the recogniser's phones."""

import pytest

from assistant.arpabet import arpabet


@pytest.mark.parametrize(
    ("ipa", "phones"),
    [
        ("tʃˈɪli", "CH IH L IY"),
        ("kˈɜːdəld", "K ER D AH L D"),
        ("ˈɔɪl", "OY L"),
        ("tˈɜɹməɹɪk", "T ER M ER IH K"),
        ("", ""),
        ("kwˈOtə", "K W OW T AH"),
    ],
)
def test_arpabet(ipa, phones):
    assert arpabet(ipa) == phones

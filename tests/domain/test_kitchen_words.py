"""Words of the trade, found by any of their forms."""

import pytest

from domain.kitchen_words import kitchen_words, word_in


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ("what does blanching mean", "blanch"),
        ("blanched", "blanch"),
        ("whipped", "whip"),
        ("do I bake it blind: baking blind", "bake blind"),
        ("a rolling boil", "boil"),
        ("broiled", "grill"),
        ("caramelized onions", "caramelise"),
        ("stiff peaks", "stiff peak"),
    ],
)
def test_by_its_forms_and_by_both_countries(said: str, word: str) -> None:
    found = word_in(said)
    assert found is not None
    assert found.word == word


def test_no_other_word_is_taken_for_one() -> None:
    assert word_in("what does photosynthesis mean") is None
    assert word_in("") is None


def test_each_says_one_short_sentence() -> None:
    for row in kitchen_words():
        assert len(row.says.split()) <= 15, row.says
        assert row.says.endswith(".")
        assert row.says.count(". ") == 0

"""Handfuls, knobs, bunches and drained tins."""

from domain.rough import canned, canned_index, rough, rough_measures
from domain.units import kind_of


def test_by_measure_and_food_in_either_country_s_words() -> None:
    parsley, cilantro = rough("bunch", "fresh parsley"), rough("bunch", "cilantro")
    assert parsley is not None
    assert parsley == cilantro
    assert rough("handful", "almonds") is not None
    assert rough("handful", "gravel") is None
    assert rough("litre", "milk") is None


def test_every_measure_is_counted_and_every_range_a_range() -> None:
    for row in rough_measures():
        assert kind_of(row.measure) == "count"
        assert 0 < row.grams[0] <= row.grams[1]


def test_what_is_left_of_a_tin() -> None:
    row = canned_index().within("a tin of garbanzo beans")[0].rows[0]
    assert row.drained_g == 254  # USDA SR28, NDB 16359, of 448 g, NDB 16058
    assert all(0.5 < row.share < 0.7 for row in canned())

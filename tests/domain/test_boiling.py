"""Boiling by altitude, within and beyond where kitchens stand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.boiling import HIGHEST_M, LOWEST_M, boils_at_celsius

HEIGHTS = st.floats(LOWEST_M, HIGHEST_M)


@given(HEIGHTS, HEIGHTS)
def test_higher_boils_cooler(one, other):
    low, high = sorted((one, other))
    assert boils_at_celsius(high) <= boils_at_celsius(low)


@pytest.mark.parametrize("metres", [-1000, 20000, float("nan")])
def test_where_no_kitchen_stands(metres):
    with pytest.raises(ValueError, match="no kitchen"):
        boils_at_celsius(metres)

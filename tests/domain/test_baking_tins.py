"""Tins: areas, volumes, and the change from one to another."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking_tins import Shape, Tin, change, loaf_tin, loaf_tins

SIDES = st.floats(5, 60)


def test_area_and_volume() -> None:
    assert Tin("round", (20.0,), 5.0).area == pytest.approx(100 * math.pi)
    assert Tin("square", (20.0,), 5.0).volume == pytest.approx(2000)
    assert Tin("rectangular", (20.0, 30.0), 4.0).volume == pytest.approx(2400)
    assert Tin("measured", holds=900.0).volume == 900
    assert Tin("measured", holds=900.0).area is None


def test_by_volume_where_both_are_known_else_by_area() -> None:
    deep, shallow = Tin("square", (20.0,), 8.0), Tin("square", (20.0,), 4.0)
    found = change(deep, shallow)
    assert found is not None
    assert (found.factor, found.by) == (0.5, "volume")
    found = change(deep, Tin("square", (10.0,)))
    assert found is not None
    assert (found.factor, found.by) == (0.25, "area")
    assert change(deep, Tin("measured", holds=1000.0)) is not None
    assert change(Tin("square", (20.0,)), Tin("measured", holds=1000.0)) is None
    assert change(Tin("round", (0.0,)), deep) is None


@given(SIDES, SIDES, SIDES, st.sampled_from(["round", "square"]))
def test_changes_chain_and_undo(a: float, b: float, c: float, shape: Shape) -> None:
    tins = [Tin(shape, (side,)) for side in (a, b, c)]
    steps = [change(x, y) for x, y in ((tins[0], tins[1]), (tins[1], tins[2]), (tins[0], tins[2]))]
    one, two, both = (found.factor for found in steps if found)
    assert one * two == pytest.approx(both)
    back = change(tins[1], tins[0])
    assert back is not None
    assert one * back.factor == pytest.approx(1)


@given(SIDES, st.floats(0.1, 20), st.sampled_from(["round", "square"]))
def test_a_wider_tin_takes_more(side: float, wider: float, shape: Shape) -> None:
    found = change(Tin(shape, (side,)), Tin(shape, (side + wider,)))
    assert found is not None
    assert found.factor > 1


def test_loaf_tins_by_their_pounds() -> None:
    two = loaf_tin(2)
    assert two is not None
    assert loaf_tin(900 / 453.59237) == two  # as Europe names it
    assert loaf_tin(7) is None
    holds = [tin.holds for tin in sorted(loaf_tins(), key=lambda tin: tin.pounds)]
    assert holds == sorted(holds)

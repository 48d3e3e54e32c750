"""Making ahead: order, errors where they belong, and an end for what nobody wants."""

import threading

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ahead import made_ahead

_PATIENCE_S = 5


@given(st.lists(st.integers()), st.integers(1, 4))
def test_all_that_is_made_is_taken_in_order(things: list[int], most: int) -> None:
    with made_ahead(lambda: iter(things), most) as made:
        assert list(made) == things


def test_the_next_is_made_before_it_is_asked_for() -> None:
    second_made = threading.Event()

    def make():
        yield 1
        second_made.set()
        yield 2

    with made_ahead(make, 4) as made:
        assert second_made.wait(_PATIENCE_S)
        assert list(made) == [1, 2]


def test_an_error_comes_after_what_was_made_before_it() -> None:
    def make():
        yield 1
        raise OSError("the voice broke")

    with made_ahead(make, 4) as made:
        assert next(made) == 1
        with pytest.raises(OSError, match="the voice broke"):
            next(made)


def test_what_nobody_wants_any_more_is_not_made() -> None:
    ended = threading.Event()

    def make():
        try:
            while True:
                yield 1
        finally:
            ended.set()

    with made_ahead(make, 2) as made:
        assert next(made) == 1
    assert ended.wait(_PATIENCE_S)

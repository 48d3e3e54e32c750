"""Which steps are over before which, by gaps between any two of their moments."""

import pytest

from domain.menu import Dish, Duration, Follow, Menu, Step
from domain.order import steps_before

LASTS = Duration(60, 60, 60)


def step(name: str, *follows: Follow) -> Step:
    return Step(name, "dish", "Do it.", LASTS, "unattended", follows=follows)


def before(*steps: Step) -> dict[str, set[str]]:
    menu = Menu("menu", "Menu", 4, (Dish("dish", "Dish", 4, 0, (), steps),))
    found = steps_before(menu)
    return {s.name: {key.removeprefix("dish/") for key in found[s.key]} for s in steps}


def gap(step: str, since: str = "end", until: str = "start") -> Follow:
    return Follow(f"dish/{step}", since=since, until=until)


def test_steps_one_after_the_other() -> None:
    assert before(step("a"), step("b", gap("a")), step("c", gap("b"))) == {
        "a": set(),
        "b": {"a"},
        "c": {"a", "b"},
    }


@pytest.mark.parametrize(
    ("since", "until", "of_c"),
    [
        ("end", "start", {"a", "b"}),
        ("end", "end", {"a", "b"}),  # b ends no sooner than a, and c is after b
        ("start", "start", {"b"}),  # a may still go on
        ("start", "end", {"b"}),
    ],
)
def test_only_what_must_have_ended_is_before(since: str, until: str, of_c: set[str]) -> None:
    found = before(step("a"), step("b", gap("a", since, until)), step("c", gap("b")))
    assert found["c"] == of_c
    assert found["b"] == ({"a"} if (since, until) == ("end", "start") else set())

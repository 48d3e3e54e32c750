"""Demands on a problem, asked for one set after the other: worked out by hand."""

from scheduling.problem import Problem
from scheduling.tasks import Lag, Mode, Resource, Task
from scheduling.trial import Demand, Trial

RING = (("ring", 1),)


def or_no_time(name: str, length_s: int) -> Task:
    return Task(name, (Mode(0, RING), Mode(length_s, RING)), deadline_s=60)


# Thirty, twenty and fifteen seconds on one ring, within sixty: any two of them, not all three.
# Of the two lags one asks for a minute between two of them, the other for nothing new.
PROBLEM = Problem(
    tuple(or_no_time(name, s) for name, s in (("a", 30), ("b", 20), ("c", 15))),
    (Resource("ring", 1),),
)
TRIAL = Trial(
    PROBLEM,
    {name: Demand(shut=((name, 1),)) for name in "abc"}
    | {"far": Demand(lags=(Lag("a", "b", 45),)), "after": Demand(lags=(Lag("a", "b"),))},
)


def asked(names: str | set[str], most: bool = False) -> tuple[bool, frozenset[str]]:
    answer = TRIAL.ask(frozenset(names), 10, most=most)
    assert answer is not None
    return answer.possible, answer.limits


def test_what_can_be_kept_together() -> None:
    for two in ("ab", "bc", "ac"):
        possible, kept = asked(two)
        assert possible
        assert kept >= set(two)
        assert not kept >= set("abc")


def test_what_collides_is_named_without_what_does_not_matter() -> None:
    assert asked({"a", "b", "c", "after"}) == (False, frozenset("abc"))
    assert asked({"a", "c", "far"}) == (False, frozenset({"a", "far"}))  # 30 + 45


def test_the_most_has_what_else_there_is_room_for() -> None:
    assert asked("b", most=True)[1] >= {"b", "after"}
    assert len(asked("b", most=True)[1] & set("abc")) == 2


def test_an_answer_leaves_nothing_behind_for_the_next() -> None:
    assert asked("abc")[0] is False
    assert asked("ab")[0] is True
    assert asked("")[0] is True

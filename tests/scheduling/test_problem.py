import pytest

from domain.errors import KitchenError
from scheduling.problem import Problem, earliest_starts, horizon_s
from scheduling.tasks import (
    ORIGIN,
    Apart,
    ContradictoryLags,
    Excess,
    Hammock,
    Lag,
    Level,
    Mode,
    ProblemError,
    Resource,
    Task,
)


def task(name: str, duration_s: int = 10, *demands: tuple[str, int], **limits: int) -> Task:
    return Task(name, (Mode(duration_s, demands),), **limits)  # type: ignore[arg-type]


def test_zero_length_is_a_milestone() -> None:
    Problem((task("served", 0),))


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"tasks": (task("boil"), task("boil"))}, "two tasks are called “boil”"),
        ({"tasks": (task(""),)}, "a task has no name"),
        ({"tasks": (Task("boil", ()),)}, "“boil” has no mode"),
        ({"tasks": (task("boil", -5),)}, "“boil” lasts -5 s"),
        ({"tasks": (task("boil", 10, ("ring", 1)),)}, "“boil” needs “ring”, which there is none"),
        (
            {"tasks": (task("boil", 10, ("ring", 3)),), "resources": (Resource("ring", 2),)},
            "“boil” needs 3 of “ring”, and there are 2",
        ),
        ({"tasks": (task("boil", 10, deadline_s=5),)}, "due 5 s after the origin"),
        (
            {"tasks": (Task("ready", (Mode(5),), latest_of=("boil",)), task("boil"))},
            "the milestone “ready” has a duration",
        ),
        (
            {"tasks": (Task("ready", (Mode(0),), latest_of=("fry",)),)},
            "unknown task “fry”",
        ),
        ({"tasks": (task("boil"),), "lags": (Lag("boil", "fry"),)}, "unknown task “fry”"),
        (
            {"tasks": (task("a"), task("b")), "aparts": (Apart("a", "b", "oven"),)},
            "unknown resource “oven”",
        ),
        (
            {"tasks": (task("a"),), "levels": (Level("late", (Excess("b"),)),)},
            "unknown task “b”",
        ),
        (
            {"tasks": (task("a"),), "levels": (Level("late", (Excess("a", -1),)),)},
            "negative weight",
        ),
        (
            {"tasks": (task("a"),), "levels": (Level("late", (Excess(ORIGIN),)),)},
            "unknown task “”",
        ),
        (
            {"tasks": (task("a"),), "hammocks": (Hammock("dirty", "a", "wash", ()),)},
            "the hammock “dirty” names the unknown task “wash”",
        ),
        (
            {"tasks": (task("a"),), "hammocks": (Hammock("dirty", "a", "a", (("pan", 1),)),)},
            "“dirty” needs “pan”, which there is none of",
        ),
    ],
)
def test_refused(parts: dict[str, object], said: str) -> None:
    with pytest.raises(ProblemError) as caught:
        Problem(**parts)  # type: ignore[arg-type]
    assert said in str(caught.value)
    assert isinstance(caught.value, KitchenError)


def test_a_most_below_its_least_is_named() -> None:
    with pytest.raises(ContradictoryLags) as caught:
        Problem((task("boil"), task("rest")), lags=(Lag("boil", "rest", 30, 20),))
    assert caught.value.names == ("boil", "rest")


def test_a_cycle_of_lags_is_named() -> None:
    # b starts 10 s after a's start at least, c 10 s after that; but c within 15 s of a.
    lags = (Lag("a", "b"), Lag("b", "c"), Lag("a", "c", None, 15, "start"))
    with pytest.raises(ContradictoryLags) as caught:
        Problem((task("a"), task("b"), task("c"), task("d")), lags=lags)
    assert set(caught.value.names) == {"a", "b", "c"}
    assert "“a”" in str(caught.value)


def test_a_pinned_start_against_a_lag_is_named() -> None:
    with pytest.raises(ContradictoryLags):
        Problem((task("a"), task("b", pinned_s=5)), lags=(Lag("a", "b"),))


def test_earliest_starts_are_longest_paths() -> None:
    # b: 10 (a) + 5; c: from the origin 40; d: after the later of both, 40 + 10.
    lags = (Lag("a", "b", 5), Lag(ORIGIN, "c", 40), Lag("b", "d"), Lag("c", "d"))
    problem = Problem((task("a"), task("b"), task("c"), task("d")), lags=lags)
    assert earliest_starts(problem) == {"a": 0, "b": 15, "c": 40, "d": 50}
    # With b no earlier than 45, d starts at 55.
    assert earliest_starts(problem, {"b": 45})["d"] == 55


def test_a_hammock_that_would_end_before_it_begins_is_named() -> None:
    # b must be over by the time a starts, and yet end what a's end begins.
    dirty = Hammock("dirty", "a", "b", (), "end")
    with pytest.raises(ContradictoryLags) as caught:
        Problem((task("a"), task("b")), lags=(Lag("b", "a"),), hammocks=(dirty,))
    assert set(caught.value.names) == {"a", "b"}


def test_horizon_reaches_a_time_that_it_pays_to_wait_for() -> None:
    # Ending before 500 costs; from there on, as much as the task itself needs.
    early = Level("early", (Excess(ORIGIN, since="a", beyond_s=-500),))
    assert horizon_s(Problem((task("a"),), levels=(early,))) == 510


def test_horizon_adds_what_each_task_may_need() -> None:
    # a: its lag of 10 + 25 to b; b: 10; c is released at 100: 100 + 35 + 10 + 10.
    problem = Problem((task("a"), task("b"), task("c", release_s=100)), lags=(Lag("a", "b", 25),))
    assert horizon_s(problem) == 155

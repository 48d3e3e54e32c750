"""The checker: one tiny plan per rule, right and then wrong."""

from dataclasses import replace

from scheduling.plan import Plan, Scheduled, cost, violations
from scheduling.problem import Problem
from scheduling.solve import solve
from scheduling.tasks import ORIGIN, Apart, Excess, Hammock, Lag, Level, Mode, Resource, Task


def plan(**starts: int | tuple[int, int, int]) -> Plan:
    """Starts of 10-second tasks, or (start, end, mode)."""
    tasks = {}
    for name, given in starts.items():
        start, end, mode = given if isinstance(given, tuple) else (given, given + 10, 0)
        tasks[name] = Scheduled(name, start, end, mode)
    return Plan(tasks)


def task(name: str, *demands: tuple[str, int]) -> Task:
    return Task(name, (Mode(10, demands),))


A, B = task("a"), task("b")


def test_every_task_is_there_and_as_long_as_its_mode() -> None:
    two_ways = Task("a", (Mode(10), Mode(20)))
    assert violations(Problem((A, B)), plan(a=0)) == ["“b” is not in the plan"]
    assert violations(Problem((two_ways,)), plan(a=(0, 20, 1))) == []
    assert violations(Problem((two_ways,)), plan(a=(0, 20, 0)))
    assert violations(Problem((two_ways,)), plan(a=(0, 10, 2)))


def test_a_mode_that_there_is_not_is_told_whatever_else_there_is() -> None:
    two_ways = Task("a", (Mode(10), Mode(10)))
    problem = Problem((two_ways, B), (Resource("ring", 1),), aparts=(Apart("a", "b", "ring"),))
    assert violations(problem, plan(a=(0, 10, 2), b=10)) == ["“a” has no mode 2"]


def test_release_deadline_and_pin() -> None:
    problem = Problem((Task("a", (Mode(10),), release_s=5, deadline_s=20),))
    assert violations(problem, plan(a=5)) == violations(problem, plan(a=10)) == []
    assert violations(problem, plan(a=4))
    assert violations(problem, plan(a=11))
    pinned = Problem((Task("a", (Mode(10),), pinned_s=3),))
    assert violations(pinned, plan(a=3)) == []
    assert violations(pinned, plan(a=4))


def test_a_milestone_is_at_the_latest_end() -> None:
    problem = Problem((A, B, Task("ready", (Mode(0),), latest_of=("a", "b"))))
    assert violations(problem, plan(a=0, b=5, ready=(15, 15, 0))) == []
    assert violations(problem, plan(a=0, b=5, ready=(16, 16, 0)))


def test_lags_between_any_moments() -> None:
    problem = Problem((A, B), lags=(Lag("a", "b", 5, 8),))  # b starts 15 to 18 after a's start
    assert [bool(violations(problem, plan(a=0, b=b))) for b in (14, 15, 18, 19)] == [
        True,
        False,
        False,
        True,
    ]
    together = Problem((A, B), lags=(Lag("a", "b", 0, 0, "end", "end", "both at once"),))
    assert violations(together, plan(a=7, b=7)) == []
    assert violations(together, plan(a=7, b=8)) == ["both at once: 1 s, at most 0 s"]
    marked = Problem((A,), lags=(Lag(ORIGIN, "a", 30, 30),))
    assert violations(marked, plan(a=30)) == []
    assert violations(marked, plan(a=31))


def test_resources_and_back_to_back_use() -> None:
    users = (task("a", ("ring", 1)), task("b", ("ring", 2)))
    problem = Problem(users, (Resource("ring", 2),))
    assert violations(problem, plan(a=0, b=10)) == []  # what ends leaves room at that moment
    assert violations(problem, plan(a=0, b=9)) == ["“ring” is over its capacity at 9 s"]


def test_aparts_with_gaps_by_order() -> None:
    users = (task("a", ("oven", 1)), task("b", ("oven", 1)))
    apart = Apart("a", "b", "oven", first_gap_s=5, second_gap_s=2)
    problem = Problem(users, (Resource("oven", 2),), aparts=(apart,))
    assert violations(problem, plan(a=0, b=15)) == violations(problem, plan(b=0, a=12)) == []
    assert violations(problem, plan(a=0, b=14))
    assert violations(problem, plan(b=0, a=11))
    one_way = Problem(users, (Resource("oven", 2),), aparts=(Apart("a", "b", "oven", 0, None),))
    assert violations(one_way, plan(a=0, b=10)) == []
    assert violations(one_way, plan(b=0, a=10))


def test_a_hammock_holds_from_its_first_until_its_last_ends() -> None:
    # The pan is dirty from the end of a (10) until b has washed it; c needs the one pan.
    dirty = Hammock("dirty", "a", "b", (("pan", 1),), "end")
    problem = Problem((A, B, task("c", ("pan", 1))), (Resource("pan", 1),), hammocks=(dirty,))
    assert violations(problem, plan(a=0, b=30, c=0)) == []
    assert violations(problem, plan(a=0, b=30, c=40)) == []
    assert violations(problem, plan(a=0, b=30, c=39)) == ["“pan” is over its capacity at 39 s"]
    assert violations(problem, plan(a=0, b=30, c=15)) == ["“pan” is over its capacity at 15 s"]
    assert violations(problem, plan(a=5, b=5, c=9)) == []  # it is never dirty: b ends as a does
    assert violations(problem, plan(a=5, b=4, c=20)) == ["“dirty”: -1 s, at least 0 s"]
    already = replace(problem, hammocks=(replace(dirty, first=ORIGIN),))
    assert violations(already, plan(a=0, b=0, c=10)) == []
    assert violations(already, plan(a=0, b=0, c=9))


def test_aparts_hold_only_on_their_resource() -> None:
    either = (Mode(10, (("one", 1),)), Mode(10, (("two", 1),)))
    problem = Problem(
        (Task("a", either), Task("b", either)),
        (Resource("one", 2), Resource("two", 2)),
        aparts=(Apart("a", "b", "one"),),
    )
    assert violations(problem, plan(a=(0, 10, 0), b=(5, 15, 1))) == []
    assert violations(problem, plan(a=(0, 10, 0), b=(5, 15, 0)))


def test_aparts_of_one_order_go_the_same_way() -> None:
    users = tuple(task(name, ("oven", 1)) for name in "abcd")
    aparts = (Apart("a", "b", "oven", order="hot"), Apart("c", "d", "oven", order="hot"))
    problem = Problem(users, (Resource("oven", 4),), aparts=aparts)
    assert violations(problem, plan(a=0, b=10, c=0, d=10)) == []
    assert violations(problem, plan(a=0, b=10, d=0, c=10))


def test_cost_is_weighted_excess() -> None:
    # a ends at 15: 5 beyond 10, twice. b starts 40 after a's end: 30 beyond 10.
    level = Level(
        "late",
        (Excess("a", 2, beyond_s=10), Excess("b", 1, "a", 10, "start", "end"), Excess("a", 9)),
    )
    assert cost(plan(a=5, b=55), level) == 2 * 5 + 30 + 9 * 15
    assert cost(plan(a=0, b=0), Level("late", (Excess("b", 1, "a", 10),))) == 0


def test_being_early_costs_too() -> None:
    # a ends at 15, 25 before 40, by weight 2; its start is at 5 already.
    terms = (
        Excess(ORIGIN, 2, "a", -40),
        Excess(ORIGIN, 1, "a", -5, since_moment="start"),
    )
    assert cost(plan(a=5), Level("early", terms)) == 50


def test_what_holds_in_one_mode_only_is_checked_in_that_mode() -> None:
    # In the second mode b comes right after a, and both keep the pan in between.
    modes = (Mode(2), Mode(3))
    problem = Problem(
        (Task("a", modes), Task("b", modes), Task("c", (Mode(1, (("pan", 1),)),))),
        (Resource("pan", 1),),
        lags=(Lag("a", "b"), Lag("a", "b", 0, 1, mode=1)),
        hammocks=(Hammock("a and b", "a", "b", (("pan", 1),), mode=1),),
        alike=(("a", "b"),),
    )

    def wrong(mode: int, other: int, start: int) -> list[str]:
        a, b = modes[mode].duration_s, modes[other].duration_s
        slots = Scheduled("a", 0, a, mode), Scheduled("b", start, start + b, other)
        return violations(problem, Plan({s.task: s for s in (*slots, Scheduled("c", 0, 1))}))

    assert wrong(0, 0, 5) == []
    assert wrong(0, 1, 3) == [
        "“pan” is over its capacity at 0 s",
        "“a” and “b” run in different modes",
    ]
    assert wrong(1, 1, 5) == [
        "from “a” to “b”: 2 s, at most 1 s",
        "“pan” is over its capacity at 0 s",
    ]
    done = solve(replace(problem, levels=(Level("end", (Excess("b"), Excess("c"))),)))
    assert isinstance(done, Plan)
    assert violations(problem, done) == []
    assert (done.tasks["b"].mode, done.tasks["b"].end_s, done.tasks["c"].end_s) == (0, 4, 1)

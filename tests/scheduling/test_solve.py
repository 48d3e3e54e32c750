"""The solver: a tiny instance per rule, brute force, and properties that every plan must have."""

import threading
from dataclasses import replace
from itertools import pairwise, product

from hypothesis import given, settings
from hypothesis import strategies as some

from scheduling.arrange import moved_earlier, moved_later, serial_plan
from scheduling.plan import NoPlan, Plan, Scheduled, costs, violations
from scheduling.problem import Problem, horizon_s
from scheduling.solve import Stop, least_cost, solve
from scheduling.tasks import (
    ORIGIN,
    Apart,
    ContradictoryLags,
    Excess,
    Hammock,
    Lag,
    Level,
    Mode,
    Resource,
    Task,
)

END = Task("end", (Mode(0),))
MAKESPAN = Level("makespan", (Excess("end"),))


def task(name: str, duration_s: int, *demands: tuple[str, int], **limits: int) -> Task:
    return Task(name, (Mode(duration_s, demands),), **limits)  # type: ignore[arg-type]


def ended(tasks: list[Task], **parts: tuple[object, ...]) -> Problem:
    """The tasks, with the last end as makespan to be minimised."""
    after = [Lag(t.name, "end") for t in tasks]
    lags = (*parts.pop("lags", ()), *after)
    return Problem((*tasks, END), lags=lags, levels=(MAKESPAN,), **parts)  # type: ignore[arg-type]


def solved(problem: Problem) -> Plan:
    plan = solve(problem, workers=1, seed=0)
    assert isinstance(plan, Plan)
    assert violations(problem, plan) == []
    assert plan.proven
    return plan


def makespan(problem: Problem) -> int:
    return solved(problem).levels[0].cost


def test_lags_make_a_chain() -> None:
    # 10, a gap of at least 5, then 20.
    assert makespan(ended([task("a", 10), task("b", 20)], lags=(Lag("a", "b", 5),))) == 35


def test_a_capacity_of_one_runs_them_in_turn() -> None:
    ring = (Resource("ring", 1),)
    both = [task("a", 10, ("ring", 1)), task("b", 20, ("ring", 1))]
    assert makespan(ended(both, resources=ring)) == 30


def test_a_capacity_of_three_is_shared_by_demand() -> None:
    # 2 + 2 is more than 3, 2 + 1 is not: the two of 2 in turn, the one of 1 beside them.
    three = [task("a", 10, ("ring", 2)), task("b", 10, ("ring", 2)), task("c", 20, ("ring", 1))]
    assert makespan(ended(three, resources=(Resource("ring", 3),))) == 20


def test_the_shorter_mode_where_there_is_room() -> None:
    # Each has a fast mode on the one ring (10) and a slow one without it (25): 10 + 10 in turn.
    fast_or_slow = (Mode(10, (("ring", 1),)), Mode(25))
    ring = (Resource("ring", 1),)
    two = [Task("a", fast_or_slow), Task("b", fast_or_slow)]
    assert makespan(ended(two, resources=ring)) == 20
    # Three: 30 in turn on the ring, or two there and one of 25 beside them.
    assert makespan(ended([*two, Task("c", fast_or_slow)], resources=ring)) == 25


def test_aparts_choose_the_cheaper_order() -> None:
    # a then b: 10 + 30 + 10; b then a: 10 + 5 + 10.
    oven = (Resource("oven", 2),)
    both = [task("a", 10, ("oven", 1)), task("b", 10, ("oven", 1))]
    apart = Apart("a", "b", "oven", first_gap_s=30, second_gap_s=5)
    assert makespan(ended(both, resources=oven, aparts=(apart,))) == 25
    forbidden = replace(apart, second_gap_s=None)
    assert makespan(ended(both, resources=oven, aparts=(forbidden,))) == 50


def test_aparts_of_one_order_go_together() -> None:
    # Alone, a before b and d before c would both be free of gaps; one order makes one pay 30.
    oven = (Resource("oven", 4),)
    four = [task(name, 10, ("oven", 1)) for name in "abcd"]
    pairs = (Apart("a", "b", "oven", 0, 30), Apart("c", "d", "oven", 30, 0))
    assert makespan(ended(four, resources=oven, aparts=pairs)) == 20
    ordered = tuple(replace(apart, order="hot") for apart in pairs)
    assert makespan(ended(four, resources=oven, aparts=ordered)) == 50


def test_a_milestone_cannot_be_put_off() -> None:
    # Putting “ready” off would make waiting 0; it stays at 10, 90 before the served time.
    served = Task("served", (Mode(0),), pinned_s=100)
    ready = Task("ready", (Mode(0),), latest_of=("a", "b"))
    both = (task("a", 10, pinned_s=0), task("b", 5, pinned_s=0))
    waiting = Level("waiting", (Excess("served", 1, "ready"),))
    assert solved(Problem((*both, served, ready), levels=(waiting,))).levels[0].cost == 90


def test_release_pin_and_deadline() -> None:
    assert makespan(ended([task("a", 10, release_s=7)])) == 17
    assert makespan(ended([task("a", 10, pinned_s=30)])) == 40
    ring = (Resource("ring", 1),)
    tight = [task("a", 10, ("ring", 1), deadline_s=15), task("b", 10, ("ring", 1), deadline_s=15)]
    assert solve(ended(tight, resources=ring), workers=1) == NoPlan(proven=True)


def test_levels_are_in_order() -> None:
    # First a as early as can be, which makes b wait; b alone could end at 5.
    ring = (Resource("ring", 1),)
    both = (task("a", 10, ("ring", 1)), task("b", 5, ("ring", 1)))
    levels = (Level("a", (Excess("a"),)), Level("b", (Excess("b", 3),)))
    assert [level.cost for level in solved(Problem(both, ring, levels=levels)).levels] == [10, 45]
    turned = solved(Problem(both, ring, levels=levels[::-1]))
    assert [level.cost for level in turned.levels] == [15, 15]


def test_a_hammock_holds_until_its_last_has_ended() -> None:
    # Fry twice in the one pan, washed after each: 10 + 5 + 20 + 5. Without the washing, 30.
    pan, sink = Resource("pan", 1), Resource("sink", 1)
    two = [task("fry a", 10, ("pan", 1)), task("fry b", 20, ("pan", 1))]
    washing = [task("wash a", 5, ("sink", 1)), task("wash b", 5, ("sink", 1))]
    after = (Lag("fry a", "wash a"), Lag("fry b", "wash b"))
    dirty = tuple(
        Hammock(f"dirty {n}", f"fry {n}", f"wash {n}", (("pan", 1),), "end") for n in "ab"
    )
    clean = ended([*two, *washing], resources=(pan, sink), lags=after)
    assert makespan(clean) == 35  # the frying in turn, and one washing after it
    problem = replace(clean, hammocks=dirty)
    assert makespan(problem) == 40
    assert violations(problem, serial_plan(problem)) == []


def test_a_hammock_may_have_begun_already() -> None:
    # The pan is dirty to begin with: 5 to wash it, and only then 10 to fry.
    both = [task("fry", 10, ("pan", 1)), task("wash", 5)]
    dirty = Hammock("dirty", ORIGIN, "wash", (("pan", 1),))
    problem = ended(both, resources=(Resource("pan", 1),), hammocks=(dirty,))
    assert makespan(problem) == 15
    assert violations(problem, serial_plan(problem)) == []


def test_an_empty_hammock_holds_nothing() -> None:
    # b ends exactly as a does, in the midst of c: what is held for no time is not in the way.
    parts = (task("a", 10, pinned_s=0), task("b", 5, pinned_s=5), task("c", 20, ("pan", 1)))
    dirty = Hammock("dirty", "a", "b", (("pan", 1),), "end")
    assert makespan(ended([*parts], resources=(Resource("pan", 1),), hammocks=(dirty,))) == 20


def test_being_early_may_cost_more_than_being_late() -> None:
    # Three of 10 in turn, wanted from 100 on: a second of being earlier costs 3, later 1.
    # Starts at 100, 110, 120 cost 10 + 20; at 90, 100, 110 they would cost 30 + 10.
    three = tuple(task(name, 10, ("ring", 1)) for name in "abc")
    late = tuple(Excess(t.name, 1, ORIGIN, 100, "start") for t in three)
    early = tuple(Excess(ORIGIN, 3, t.name, -100, since_moment="start") for t in three)
    moved = Level("moved", (*late, *early))
    assert solved(Problem(three, (Resource("ring", 1),), levels=(moved,))).levels[0].cost == 30
    pinned = Problem((task("a", 10, pinned_s=60),), levels=(Level("early", early[:1]),))
    assert least_cost(pinned, pinned.levels[0]) == 120


def test_no_levels_is_any_valid_plan() -> None:
    ring = (Resource("ring", 1),)
    both = (task("a", 10, ("ring", 1)), task("b", 10, ("ring", 1)))
    problem = Problem(both, ring, lags=(Lag("b", "a", 0, 5),))
    solved(problem)


def test_a_hint_may_be_of_another_problem() -> None:
    problem = ended([task("a", 10), task("b", 20)])
    stray = Plan({"a": Scheduled("a", -50, 900, 4), "gone": Scheduled("gone", 0, 5)})
    plan = solve(problem, hint=stray, workers=1)
    assert isinstance(plan, Plan)
    assert plan.levels[0].cost == 20


def test_stopped_before_it_began_it_still_gives_the_rule_of_thumb() -> None:
    # Longest first on two rings: 3+2+2 against 3+2 is not the best of 12 / 2.
    rings = (Resource("ring", 2),)
    tasks = [task(str(n), d, ("ring", 1)) for n, d in enumerate((3, 3, 2, 2, 2))]
    stop = Stop()
    stop.now()
    plan = solve(ended(tasks, resources=rings), workers=1, stop=stop)
    assert isinstance(plan, Plan)
    assert violations(ended(tasks, resources=rings), plan) == []
    assert not plan.proven
    assert makespan(ended(tasks, resources=rings)) == 6


def test_stop_from_another_thread_ends_a_long_solve() -> None:
    # 40 equal-looking tasks on 7 rings: the proof takes far longer than this test.
    rings = (Resource("ring", 7),)
    tasks = [task(str(n), 50 + n * 7 % 37, ("ring", 1 + n % 3)) for n in range(40)]
    stop = Stop()
    threading.Timer(0.2, stop.now).start()
    plan = solve(ended(tasks, resources=rings), limit_s=60, workers=1, stop=stop)
    assert isinstance(plan, Plan)
    assert not plan.proven


# --- brute force and properties -----------------------------------------------------------------

NAMES = "abcd"


@some.composite
def tiny_problems(draw: some.DrawFn) -> Problem | None:
    """Up to four short tasks with every kind of rule and two levels; None if contradictory."""
    names = NAMES[: draw(some.integers(2, 4))]
    resources = (Resource("ring", draw(some.integers(1, 2))), Resource("oven", 1))
    demands = some.sampled_from([(), (("ring", 1),), (("oven", 1),), (("ring", 1), ("oven", 1))])
    modes = some.builds(Mode, some.integers(0, 3), demands)
    tasks = [Task(name, tuple(draw(some.lists(modes, min_size=1, max_size=2)))) for name in names]
    lags = []
    for before, after in pairwise(names):
        if draw(some.booleans()):
            least = draw(some.integers(-1, 2))
            most = draw(some.none() | some.integers(least, 3))
            moments = draw(some.sampled_from([("end", "start"), ("start", "end")]))
            lags.append(Lag(before, after, least, most, *moments))
    aparts = ()
    if draw(some.booleans()):
        aparts = (Apart("a", "b", "ring", draw(some.none() | some.integers(0, 2)), 1),)
    hammocks = ()
    if draw(some.booleans()):
        first, last = draw(some.sampled_from([("a", "b"), ("b", "a"), (ORIGIN, "b"), ("a", "a")]))
        moment = draw(some.sampled_from(["start", "end"]))
        hammocks = (Hammock("held", first, last, (("ring", 1),), moment),)
    waits = Excess("b", draw(some.integers(1, 3)), "a", draw(some.integers(0, 2)))
    early = Excess(ORIGIN, 2, "b", -3, since_moment="start")
    levels = (MAKESPAN, Level("waits", (waits, Excess("a", 1, ORIGIN, 2), early)))
    ends = [Lag(name, "end") for name in names]
    try:
        return Problem((*tasks, END), resources, (*lags, *ends), aparts, levels, hammocks)
    except ContradictoryLags:
        return None


def brute_force(problem: Problem) -> tuple[int, ...] | None:
    """The best costs over every start and mode within the horizon; None when there is no plan."""
    starts = range(horizon_s(problem) + 1)
    tasks = [t for t in problem.tasks if t is not END]
    best: tuple[int, ...] | None = None
    for modes in product(*(range(len(t.modes)) for t in tasks)):
        for chosen in product(starts, repeat=len(tasks)):
            slots = {
                t.name: Scheduled(t.name, s, s + t.modes[m].duration_s, m)
                for t, s, m in zip(tasks, chosen, modes, strict=True)
            }
            end = max(slot.end_s for slot in slots.values())
            plan = Plan(slots | {"end": Scheduled("end", end, end)})
            if (best is None or costs(problem, plan) < best) and not violations(problem, plan):
                best = costs(problem, plan)
    return best


@given(tiny_problems())
@settings(max_examples=50, deadline=None)
def test_as_good_as_brute_force(problem: Problem | None) -> None:
    if problem is None or horizon_s(problem) ** (len(problem.tasks) - 1) > 8_000:
        return
    plan = solve(problem, workers=1, seed=0)
    best = brute_force(problem)
    if best is None:
        assert plan == NoPlan(proven=True)
    else:
        assert isinstance(plan, Plan)
        assert violations(problem, plan) == []
        assert costs(problem, plan) == best
        assert plan.proven


@some.composite
def shops(draw: some.DrawFn) -> Problem:
    """Six to twelve tasks on shared resources, with precedences forward only.

    Some use a pan, which is washed after each of them; until then it is of no use.
    """
    count = draw(some.integers(6, 12))
    resources = tuple(Resource(name, draw(some.integers(1, 3))) for name in ("ring", "hands"))
    pan = Resource("pan", draw(some.integers(1, 2)))
    tasks, lags, hammocks = [], [], []
    for index in range(count):
        demands = [(r.name, draw(some.integers(0, r.capacity))) for r in resources]
        if draw(some.integers(0, 4)) == 0:
            demands.append(("pan", 1))
            tasks.append(task(f"wash{index}", 60, ("hands", 1)))
            lags.append(Lag(f"t{index}", f"wash{index}"))
            hammocks.append(Hammock(f"h{index}", f"t{index}", f"wash{index}", (("pan", 1),), "end"))
        tasks.append(task(f"t{index}", 30 * draw(some.integers(1, 9)), *demands))
        for before in draw(some.sets(some.integers(0, max(0, index - 1)), max_size=2)):
            if before < index:
                lags.append(Lag(f"t{before}", f"t{index}", 30 * draw(some.integers(0, 3))))
    parts = {"lags": tuple(lags), "hammocks": tuple(hammocks)}
    return ended(tasks, resources=(*resources, pan), **parts)


@given(shops())
@settings(max_examples=25, deadline=None)
def test_every_plan_keeps_the_rules_and_starts_may_only_move_within_them(problem: Problem) -> None:
    plan = solve(problem, limit_s=2, workers=1, seed=0)  # proven or not
    assert isinstance(plan, Plan)
    assert violations(problem, plan) == []
    names = [t.name for t in problem.tasks if t is not END]
    for moved in (moved_later(problem, plan, names), moved_earlier(problem, plan, names)):
        assert violations(problem, moved) == []
        assert costs(problem, moved) == costs(problem, plan)


@given(shops())
@settings(max_examples=25, deadline=None)
def test_one_more_of_a_resource_never_makes_it_later(problem: Problem) -> None:
    # Some with a third pan are not proven in any time one would wait. The best lies between bound
    # and cost, which are the same once it is proven; so this holds for what is not proven, too.
    more = tuple(Resource(r.name, r.capacity + 1) for r in problem.resources)
    freer = replace(problem, resources=more)
    plan, other = (solve(p, limit_s=2, workers=1, seed=0) for p in (problem, freer))
    assert isinstance(plan, Plan)
    assert isinstance(other, Plan)
    assert violations(freer, plan) == violations(freer, other) == []
    assert other.levels[0].bound <= plan.levels[0].cost


@given(tiny_problems(), some.lists(some.integers(0, 40), min_size=8, max_size=8))
@settings(max_examples=40, deadline=None)
def test_a_hint_never_changes_the_optimum(problem: Problem | None, starts: list[int]) -> None:
    if problem is None:
        return
    named = zip(problem.tasks, starts, strict=False)
    hint = Plan({t.name: Scheduled(t.name, at, at + t.longest_s) for t, at in named})
    plan, hinted = solve(problem), solve(problem, hint=hint)
    if isinstance(plan, NoPlan):
        assert hinted == plan
    else:
        assert isinstance(hinted, Plan)
        assert plan.proven
        assert hinted.proven
        assert costs(problem, hinted) == costs(problem, plan)


@given(shops(), some.integers(1, 10_000))
@settings(max_examples=15, deadline=None)
def test_shifting_the_release_shifts_the_plan(problem: Problem, by_s: int) -> None:
    later = tuple(replace(t, release_s=by_s) for t in problem.tasks)
    assert makespan(replace(problem, tasks=later)) == makespan(problem) + by_s


@given(shops())
@settings(max_examples=25, deadline=None)
def test_the_rule_of_thumb_keeps_the_rules_and_is_never_better(problem: Problem) -> None:
    """Than the plan found, nor than the proven bound where proof of a best takes too long."""
    quick = serial_plan(problem)
    assert violations(problem, quick) == []
    plan = solve(problem, limit_s=2, workers=1, seed=0)
    assert isinstance(plan, Plan)
    assert violations(problem, plan) == []
    assert costs(problem, quick) >= costs(problem, plan)
    assert costs(problem, quick)[0] >= plan.levels[0].bound


def test_a_hint_may_hold_tasks_that_are_gone():
    problem = Problem(
        (Task("a", (Mode(3),)), Task("b", (Mode(2),))),
        lags=(Lag("a", "b"),),
        levels=(Level("end", (Excess("b"), Excess("b", since="a"))),),
    )
    hint = Plan(
        {name: Scheduled(name, 0, 3) for name in ("a", "gone")} | {"b": Scheduled("b", 3, 5)}
    )
    plan = solve(problem, hint=hint, workers=1)
    assert isinstance(plan, Plan)
    assert sorted(plan.tasks) == ["a", "b"]

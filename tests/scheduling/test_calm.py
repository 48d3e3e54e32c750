"""The cook stays with a dish where nothing else is lost by it."""

from hypothesis import given, settings
from hypothesis import strategies as some

from scheduling.arrange import serial_plan
from scheduling.calm import calmer, switches
from scheduling.plan import Plan, Scheduled, costs, violations
from scheduling.problem import Problem
from scheduling.tasks import Excess, Lag, Level, Mode, Resource, Task

HANDS = Resource("hands", 1)


def problem(lengths: dict[str, int], *lags: Lag, levels: tuple[Level, ...] = ()) -> Problem:
    tasks = tuple(Task(name, (Mode(s, (("hands", 1),)),)) for name, s in lengths.items())
    return Problem(tasks, (HANDS,), lags, levels=levels)


def in_turn(lengths: dict[str, int], order: list[str]) -> Plan:
    at, slots = 0, {}
    for name in order:
        slots[name] = Scheduled(name, at, at + lengths[name])
        at += lengths[name]
    return Plan(slots)


def calmed(of: Problem, plan: Plan, loose: list[str] | None = None) -> list[str]:
    names = sorted(plan.tasks)
    dishes = {name: name[0] for name in names}
    made = calmer(of, plan, dishes, names if loose is None else loose)
    assert violations(of, made) == []
    return sorted(names, key=lambda name: made.tasks[name].start_s)


LENGTHS = {"a1": 5, "b1": 3, "a2": 4, "b2": 6}
MIXED = in_turn(LENGTHS, ["a1", "b1", "a2", "b2"])


def test_what_is_of_one_dish_is_done_together() -> None:
    assert calmed(problem(LENGTHS), MIXED) == ["a1", "a2", "b1", "b2"]


def test_a_gap_that_would_be_broken_keeps_the_order() -> None:
    # b1 after a1 and before a2, b2 after a2: the only order there is.
    chain = (Lag("a1", "b1"), Lag("b1", "a2"), Lag("a2", "b2"))
    assert calmed(problem(LENGTHS, *chain), MIXED) == ["a1", "b1", "a2", "b2"]


def test_nothing_aimed_at_gets_worse() -> None:
    # a1 and then b1 come first: the a's cannot be done together, the b's still can.
    soon = Level("soon", (Excess("a1", 10), Excess("b1")))
    assert calmed(problem(LENGTHS, levels=(soon,)), MIXED) == ["a1", "b1", "b2", "a2"]


def test_only_what_is_loose_moves() -> None:
    assert calmed(problem(LENGTHS), MIXED, ["a1", "a2"]) == ["a1", "b1", "a2", "b2"]


@some.composite
def kitchens(draw: some.DrawFn) -> Problem:
    """Up to nine steps of three dishes, some bound to each other, and one aim."""
    names = [f"{draw(some.sampled_from('abc'))}{n}" for n in range(draw(some.integers(2, 9)))]
    lengths = {name: draw(some.integers(1, 9)) for name in names}
    lags = [
        Lag(one, after, draw(some.integers(0, 5)))
        for n, one in enumerate(names[:-1])
        for after in draw(some.sets(some.sampled_from(names[n + 1 :]), max_size=1))
    ]
    aim = Level("aim", tuple(Excess(name) for name in names[:2]))
    return problem(lengths, *lags, levels=(aim,))


@given(kitchens())
@settings(max_examples=50, deadline=None)
def test_a_calmer_plan_keeps_all_and_has_no_more_switches(of: Problem) -> None:
    plan = serial_plan(of)
    dishes = {task.name: task.name[0] for task in of.tasks}
    made = calmer(of, plan, dishes, list(dishes))
    assert violations(of, made) == []
    assert costs(of, made) <= costs(of, plan)
    assert switches(made, dishes) <= switches(plan, dishes)
    ends = [max(slot.end_s for slot in one.tasks.values()) for one in (plan, made)]
    assert ends[1] <= ends[0]

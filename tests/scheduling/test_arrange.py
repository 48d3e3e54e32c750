"""Plans without a solver keep what must soon follow, whatever stands in the way."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Menu, Step, Use
from scheduling.arrange import moved_later, serial_plan
from scheduling.case import Case
from scheduling.kitchen_problem import kitchen_problem
from scheduling.plan import Plan, Scheduled, violations
from scheduling.problem import Problem
from scheduling.tasks import Apart, Lag, Mode, Resource, Task
from scheduling.timetable import Progress
from tests.bench.made_menus import made_menu

HANDS, OVEN = ("hands", 1), ("oven", 1)


def at_once(*names):
    return tuple(Lag(one, two, 0, 0) for one, two in pairwise(names))


def test_what_must_be_followed_at_once_waits_for_free_hands():
    problem = Problem(
        (
            Task("bake", (Mode(4, (OVEN,)),)),
            Task("take out", (Mode(2, (HANDS,)),)),
            Task("stir", (Mode(5, (HANDS,)),), pinned_s=3),
        ),
        (Resource("hands", 1), Resource("oven", 1)),
        at_once("bake", "take out"),
    )
    plan = serial_plan(problem)
    assert not violations(problem, plan)
    assert plan.tasks["take out"].start_s == 8  # stirring is from 3 to 8
    assert plan.tasks["bake"].start_s == 4  # not 0: it ends as the hands are free


def test_what_is_pushed_pushes_what_waits_for_it():
    problem = Problem(
        (
            Task("boil", (Mode(3),)),
            Task("drain", (Mode(1, (HANDS,)),)),
            Task("mash", (Mode(2, (HANDS,)),)),
            Task("stir", (Mode(4, (HANDS,)),), pinned_s=3),
        ),
        (Resource("hands", 1),),
        (*at_once("boil", "drain", "mash"),),
    )
    plan = serial_plan(problem)
    assert not violations(problem, plan)
    # The hands are free from 7 on, for the drain and the mash at once after it.
    assert [plan.tasks[name].start_s for name in ("boil", "drain", "mash")] == [4, 7, 8]


def test_what_a_milestone_waits_for_may_be_pushed_before_it_is_reached():
    # The small menu's heating pushes a step of a dish that was about to be ready.
    def step(dish, name, minutes, *celsius, follows=()):
        uses = tuple(Use("oven", 1, c, 5) for c in celsius)
        lasts = Duration(60 * minutes, 60 * minutes, 60 * minutes)
        return Step(name, dish, "Do it.", lasts, "hands-on", uses, follows)

    warm = step("a", "warm", 1, 160.0)
    brown = step("a", "brown", 1, 200.0, follows=(Follow("a/warm"),))
    dishes = (
        Dish("a", "A", 4, 600, (), (warm, brown)),
        Dish("b", "B", 4, 600, (), (step("b", "chop", 2),)),
    )
    kitchen = Kitchen("hut", "The hut", 4, (Oven("oven", 2, 720, 60),), {}, ("cook",))
    plan = serial_plan(kitchen_problem(Case(Menu("two", "Two", 4, dishes), kitchen, 1_700_000_000)))
    assert plan.tasks["ready:a"].start_s == plan.tasks["a/brown"].end_s


def test_what_overlaps_moves_later_only_as_far_as_there_is_room_for_both():
    problem = Problem(
        (
            Task("ham", (Mode(10, (("eyes", 3),)),)),
            Task("glaze", (Mode(10, (("eyes", 1),)),)),
            Task("pan", (Mode(10, (("eyes", 1),)),), pinned_s=20),
        ),
        (Resource("eyes", 4),),
        (Lag("ham", "glaze", 0, 0, "start", "start"),),
    )
    slots = [Scheduled("ham", 0, 10), Scheduled("glaze", 0, 10), Scheduled("pan", 20, 30)]
    plan = moved_later(problem, Plan({slot.task: slot for slot in slots}), ["ham", "glaze"])
    assert not violations(problem, plan)
    # From 20 on each has room beside the pan, but not both.
    assert [plan.tasks[name].start_s for name in ("ham", "glaze")] == [10, 10]


def test_what_is_bound_together_moves_later_together():
    problem = Problem(
        (Task("boil", (Mode(3),)), Task("drain", (Mode(1, (HANDS,)),)), Task("serve", (Mode(0),))),
        (Resource("hands", 1),),
        (*at_once("boil", "drain"), Lag("drain", "serve")),
    )
    slots = (Scheduled("boil", 0, 3), Scheduled("drain", 3, 4), Scheduled("serve", 10, 10))
    moved = moved_later(problem, Plan({slot.task: slot for slot in slots}), ["boil", "drain"])
    assert [moved.tasks[name].start_s for name in ("boil", "drain")] == [6, 9]  # to end at 10


@given(
    chains=st.lists(
        st.lists(
            st.tuples(st.integers(1, 9), st.sampled_from([(), (HANDS,), (OVEN,), (HANDS, OVEN)])),
            min_size=1,
            max_size=4,
        ),
        min_size=1,
        max_size=6,
    ),
    change_s=st.integers(0, 9),
)
def test_chains_at_once_and_temperatures_of_an_oven_are_always_kept(chains, change_s):
    """Every chain has its own temperature; one after the other is always a plan."""
    tasks, lags, baked = [], [], []
    for index, chain in enumerate(chains):
        names = [f"{index}/{number}" for number in range(len(chain))]
        tasks += [
            Task(name, (Mode(length, demands),))
            for name, (length, demands) in zip(names, chain, strict=True)
        ]
        lags += at_once(*names)
        baked.append([n for n, (_, demands) in zip(names, chain, strict=True) if OVEN in demands])
    aparts = tuple(
        Apart(one, two, "oven", change_s, change_s, f"{first} or {second} first")
        for first in range(len(chains))
        for second in range(first + 1, len(chains))
        for one in baked[first]
        for two in baked[second]
    )
    resources = (Resource("hands", 1), Resource("oven", 1))
    problem = Problem(tuple(tasks), resources, tuple(lags), aparts)
    assert not violations(problem, serial_plan(problem))


@pytest.mark.parametrize("steps", [60, 150, 300])
def test_a_large_menu_has_a_plan_without_the_solver(steps):
    problem = kitchen_problem(Case(*made_menu(steps, 0), 1_700_000_000, None, Progress()))
    assert not violations(problem, serial_plan(problem))

"""Dishes served at different moments: tiny menus with numbers worked out beside them."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from test_compose import HOME, NOW, RICE, after, dish, menu, service, step, timetable

from domain.menu import Menu
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.compose import Progress, Timetable, plan_menu, repair
from scheduling.events import Event
from scheduling.forecast import forecast
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import courses, finished, serve_at, service_at
from scheduling.slack import slack

SOUP = dish("soup", step("soup", "ladle", 5))
PEARS = dish("pears", step("pears", "plate", 10))


def in_courses(*dishes, **minutes: float) -> Menu:
    """The dishes, each so many minutes after service."""
    return replace(menu(*dishes), courses={name: round(60 * at) for name, at in minutes.items()})


def test_a_later_course_is_finished_after_service() -> None:
    # The pears, 10 min, end when they are served: 20 min after the rice.
    made = timetable(in_courses(RICE, PEARS, pears=20), minutes=60)
    assert made.serve_at == {"rice": NOW + 60 * 60, "pears": NOW + 80 * 60}
    assert made.ready_at == made.serve_at
    assert made.late_s == 0


def test_an_earlier_course_is_finished_before_service() -> None:
    made = timetable(in_courses(RICE, SOUP, soup=-15), minutes=60)
    assert made.serve_at == {"rice": NOW + 60 * 60, "soup": NOW + 45 * 60}
    assert made.ready_at["soup"] == NOW + 45 * 60


def test_as_soon_as_possible_counts_a_course_from_its_own_moment() -> None:
    # One pair of hands: 2 min for the rice, 5 for the soup, and a quarter of an hour after it.
    assert service(in_courses(RICE, SOUP, soup=-15)) == 2 + 5 + 15
    # The rice takes 19; of the pears' 30 min, 20 may lie after service.
    baked = dish("pears", step("pears", "bake", 50, "unattended"))
    assert service(in_courses(RICE, baked, pears=20)) == 50 - 20


def test_a_hold_counts_to_the_dish_s_own_moment() -> None:
    # One cook is needed at 50-60 for the pie: the soup, served at 60 as well, waits 10 min, over
    # its hold of 4 by 6. Served ten minutes before, it does not wait.
    pie = dish("pie", step("pie", "glaze", 10), hold=0)
    soup = replace(SOUP, hold_s=240)
    together = timetable(menu(soup, pie), minutes=60)
    assert {level.name: level.cost for level in together.levels}["hold overrun"] == 300
    before = timetable(in_courses(soup, pie, soup=-10), minutes=60)
    assert {level.name: level.cost for level in before.levels}["hold overrun"] == 0


def test_a_step_that_a_later_course_waits_for_is_in_time_for_its_own() -> None:
    # The stock of the soup also goes into the sauce, which is served 30 min after it.
    sauce = dish("sauce", step("sauce", "stir", 3))
    stirred = replace(sauce.steps[0], follows=after("soup/ladle"))
    of = in_courses(SOUP, replace(sauce, steps=(stirred,)), soup=-30)
    assert timetable(of, minutes=60).slots["soup/ladle"].end_at == NOW + 30 * 60


def test_the_checker_sees_a_course_that_is_missed() -> None:
    of = in_courses(RICE, SOUP, soup=-15)
    made = timetable(of, minutes=60)
    late = replace(made.slots["soup/ladle"], start_at=NOW + 41 * 60, end_at=NOW + 46 * 60)
    assert timetable_violations(of, HOME, replace(made, slots=made.slots | {late.key: late})) == [
        "“soup/ladle” ends after its course"
    ]
    assert timetable_violations(of, HOME, replace(made, serve_at={})) == [
        "“soup” is not served -900 s after service"
    ]


def test_a_course_that_was_moved_counts_from_then_on() -> None:
    of = in_courses(RICE, PEARS, pears=20)
    made = timetable(of, minutes=60, progress=Progress(courses={"pears": 1800}))
    assert made.serve_at["pears"] == NOW + 90 * 60


def test_after_service_only_the_later_courses_move() -> None:
    # Eaten ten minutes ago. The pears, due in ten, are begun now and take twelve: 2 min late.
    of = in_courses(RICE, PEARS, pears=20)
    done = {step.key: (NOW - 1800, NOW - 600) for step in RICE.steps}
    so_far = Progress(done=done, started_at=NOW - 1800)
    made = plan_menu(of, HOME, now=NOW, wanted_at=NOW - 600, progress=so_far)
    assert isinstance(made, Timetable)
    assert (made.service_at, made.serve_at["pears"]) == (NOW - 600, NOW + 600)
    late = replace(so_far, running={"pears/plate": (NOW, NOW + 720)})
    for slow in (
        plan_menu(of, HOME, now=NOW, wanted_at=NOW - 600, progress=late),
        repair(of, HOME, made, now=NOW, wanted_at=NOW - 600, progress=late),
    ):
        assert isinstance(slow, Timetable)
        assert slow.serve_at["pears"] == NOW + 720
        assert slow.late_s == 120


def test_a_first_course_served_late_moves_service_too() -> None:
    of = in_courses(RICE, SOUP, soup=-15)
    so_far = Progress(done={"soup/ladle": (NOW - 300, NOW)}, started_at=NOW - 300)
    made = plan_menu(of, HOME, now=NOW + 300, wanted_at=NOW, progress=so_far)
    assert isinstance(made, Timetable)
    assert made.service_at == NOW + 300 + 19 * 60  # the rice decides
    cooked = {step.key: (NOW - 1800, NOW - 60) for step in RICE.steps}
    ready = replace(so_far, done=so_far.done | cooked)
    made = plan_menu(of, HOME, now=NOW + 300, wanted_at=NOW, progress=ready)
    assert isinstance(made, Timetable)
    assert made.service_at == NOW + 15 * 60


# --- live ---------------------------------------------------------------------------------------


def cooked(live: LiveSchedule, clock: SimulatedClock, until: float) -> None:
    """Every hands-on step is reported done when its time is up."""
    while clock.now() < until:
        clock.advance(30)
        live.tick()
        view = live.snapshot()
        for one in view.running():
            if one.attention == "hands-on" and view.planned_end_of(one.key) <= view.now:
                live.apply(Event(view.now, "finished", one.key))


def test_the_live_schedule_knows_when_each_dish_is_served() -> None:
    clock = SimulatedClock(NOW)
    live = LiveSchedule(in_courses(RICE, PEARS, pears=20), HOME, clock, MemoryStore())
    live.apply(Event(NOW, "cook_started", value=NOW + 3600))
    view = live.snapshot()
    assert service_at(view) == NOW + 3600
    assert (serve_at(view, "rice"), serve_at(view, "pears")) == (NOW + 3600, NOW + 4800)
    assert slack(view)["pears/plate"] == 0
    assert forecast(view, runs=3).expected_at == NOW + 3600
    cooked(live, clock, NOW + 3660)
    view = live.snapshot()
    assert [(course.dishes[0].name, course.ready) for course in courses(view)] == [
        ("rice", True),
        ("pears", False),
    ]
    assert not finished(view)
    cooked(live, clock, NOW + 4860)
    view = live.snapshot()
    assert finished(view)
    assert service_at(view) == pytest.approx(NOW + 3600, abs=60)
    assert serve_at(view, "pears") == pytest.approx(NOW + 4800, abs=60)


# --- by brute force -----------------------------------------------------------------------------

tiny_menus = some.lists(
    some.tuples(some.integers(1, 9), some.integers(-12, 12)), min_size=1, max_size=4
)


@given(tiny_menus)
@settings(max_examples=25, deadline=None)
def test_one_cook_s_earliest_service_is_that_of_the_best_order(
    lengths: list[tuple[int, int]],
) -> None:
    """One hands-on step for each dish: in some order, each one after the other without a gap."""
    names = [f"d{n}" for n in range(len(lengths))]
    dishes = [dish(name, step(name, "do", m)) for name, (m, _) in zip(names, lengths, strict=True)]
    of = in_courses(*dishes, **{name: at for name, (_, at) in zip(names, lengths, strict=True)})
    assert service(of) == min(map(_service_of, permutations(lengths)))


def _service_of(order: tuple[tuple[int, int], ...]) -> int:
    end, service_min = 0, 0
    for minutes, course in order:
        end += minutes
        service_min = max(service_min, end - course)
    return service_min


@given(tiny_menus, some.integers(0, 40))
@settings(max_examples=15, deadline=None)
def test_any_courses_give_a_plan_that_the_checker_passes(
    lengths: list[tuple[int, int]], wanted: int
) -> None:
    offsets: Mapping[str, float] = {f"d{n}": at for n, (_, at) in enumerate(lengths)}
    dishes = [dish(f"d{n}", step(f"d{n}", "do", m)) for n, (m, _) in enumerate(lengths)]
    of = in_courses(RICE, *dishes, **offsets)
    made = timetable(of, minutes=wanted)  # checked there
    quick = repair(of, HOME, made, now=NOW, wanted_at=NOW + 60 * wanted)
    assert isinstance(quick, Timetable)
    assert timetable_violations(of, HOME, quick) == []

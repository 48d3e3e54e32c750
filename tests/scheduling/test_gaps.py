"""Gaps between any two moments of steps, from the plan to the cook: numbers worked out beside."""

from dataclasses import replace

import pytest
from home_menus import HOME, NOW, dish, menu, step, timetable
from hypothesis import given, settings
from hypothesis import strategies as some

from domain.menu import Duration, Follow, Menu
from scheduling.case import Case
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.collision import collision
from scheduling.compose import NoTimetable, Progress, Timetable, plan_menu, repair
from scheduling.events import Event
from scheduling.forecast import view_of_plan
from scheduling.live import fold
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.margin import margin_s
from scheduling.menu_now import added, added_dish
from scheduling.reason_words import collision_told
from scheduling.refusals import refuse
from scheduling.replanning import SolvingPlanner
from scheduling.slack import can_start, slack

ROAST, SAUCE = "roast/roast", "sauce/sauce"


def gap(key: str, least: float, most: float | None, since: str, until: str) -> Follow:
    return Follow(key, round(60 * least), None if most is None else round(60 * most), since, until)


def supper(roast: float, sauce: float, *follows: Follow, attention: str = "unattended") -> Menu:
    """A roast, and a sauce that goes by it; minutes."""
    return menu(
        dish("roast", step("roast", "roast", roast, "unattended")),
        dish("sauce", step("sauce", "sauce", sauce, attention, follows=follows)),
    )


def spans(made: Timetable) -> dict[str, tuple[float, float]]:
    """Minutes from now, by the name of the step."""
    return {
        key.split("/")[1]: ((slot.start_at - NOW) / 60, (slot.end_at - NOW) / 60)
        for key, slot in made.slots.items()
    }


# --- the plan -----------------------------------------------------------------------------------

# The roast takes 30 min, the sauce 10. With nothing else in the way, as soon as possible:
PLANS = {
    ("start", "start", 25, 25): {"roast": (0, 30), "sauce": (25, 35)},
    ("start", "end", 35, None): {"roast": (0, 30), "sauce": (25, 35)},
    ("end", "end", 4, 4): {"roast": (0, 30), "sauce": (24, 34)},
    ("end", "start", 4, 4): {"roast": (0, 30), "sauce": (34, 44)},
}


@pytest.mark.parametrize("case", PLANS)
def test_the_plan_keeps_a_gap_between_any_two_moments(case) -> None:
    since, until, least, most = case
    made = timetable(supper(30, 10, gap(ROAST, least, most, since, until)))
    assert spans(made) == PLANS[case]


def test_what_ends_after_another_may_begin_before_it() -> None:
    """The sauce takes 30 min and is done 5 after the roast of 10: it begins 15 before the roast."""
    made = timetable(supper(10, 30, gap(ROAST, 5, 5, "end", "end")))
    assert spans(made) == {"sauce": (0, 30), "roast": (15, 25)}


def test_a_dish_is_ready_when_the_last_of_its_steps_is() -> None:
    """The glaze begins with the bake and takes less: the bake is still what the dish waits for."""
    glazed = dish(
        "ham",
        step("ham", "bake", 40, "unattended"),
        step("ham", "glaze", 5, follows=(gap("ham/bake", 0, 0, "start", "start"),)),
    )
    made = timetable(menu(glazed))
    assert made.ready_at["ham"] == made.service_at == NOW + 40 * 60


def test_two_gaps_to_one_step() -> None:
    """The sauce of 20 is done just as the roast of 30 is: it begins 10 after it, 5 at the least."""
    both = (gap(ROAST, 5, None, "start", "start"), gap(ROAST, 0, 0, "end", "end"))
    assert spans(timetable(supper(30, 20, *both))) == {"roast": (0, 30), "sauce": (10, 30)}


def test_gaps_that_cannot_both_hold_are_told_and_no_plan_is_made() -> None:
    both = (gap(ROAST, 0, 5, "start", "start"), gap(ROAST, 0, None, "end", "end"))
    made = plan_menu(supper(30, 10, *both), HOME, now=NOW, wanted_at=None)
    assert isinstance(made, NoTimetable)  # begun within 5, it is done by 15; the roast ends at 30
    assert made.reasons[0].startswith(
        "these collide: “roast” (30 min); “sauce” within 5 min of the start of “roast”;"
    )


def test_what_collides_names_the_moments() -> None:
    late = supper(30, 10, gap(ROAST, 45, None, "start", "end"))
    case = Case(late, HOME, NOW, NOW + 40 * 60)
    found = collision(case, by_s=40 * 60)
    assert found is not None
    named = "The 45 min between the start of “roast” and the end of “sauce” alone takes too long"
    assert collision_told(found).startswith(named)


# --- its checker --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("since", "until", "moved_min", "wrong"),
    [
        ("start", "start", -1, "is too soon after the start of “roast/roast”: 1140 s"),
        ("start", "start", 6, "is too long after the start of “roast/roast”: 1560 s"),
        ("start", "end", -1, "ends too soon after the start of “roast/roast”: 1140 s"),
        ("start", "end", 6, "ends too long after the start of “roast/roast”: 1560 s"),
        ("end", "end", -1, "ends too soon after “roast/roast”: 1140 s"),
        ("end", "end", 6, "ends too long after “roast/roast”: 1560 s"),
        ("end", "start", -1, "is too soon after “roast/roast”: 1140 s"),
        ("end", "start", 6, "is too long after “roast/roast”: 1560 s"),
    ],
)
def test_the_checker_finds_a_gap_of_20_to_25_min_broken(since, until, moved_min, wrong) -> None:
    of = supper(10, 10, gap(ROAST, 20, 25, since, until))
    made = timetable(of)
    slot = made.slots[SAUCE]
    at = {
        "start": made.slots[ROAST].at(since) + 1200,
        "end": made.slots[ROAST].at(since) + 600,
    }[until]
    slot = replace(slot, start_at=at + 60 * moved_min, end_at=at + 600 + 60 * moved_min)
    slots = {**made.slots, SAUCE: slot}
    moved = replace(made, slots=slots, service_at=slot.end_at, serve_at={})
    assert timetable_violations(of, HOME, moved) == [f"“{SAUCE}” {wrong}"]


KEYS = ["a/1", "a/2", "b/3", "b/4", "b/5"]


@some.composite
def menus(draw) -> Menu:
    """Two dishes whose steps are bound by gaps of all four kinds, the later to the earlier."""
    steps = []
    for n, key in enumerate(KEYS):
        follows = [
            gap(
                KEYS[before],
                least := draw(some.integers(0, 6)),
                draw(some.none() | some.integers(least, least + 12)),
                draw(some.sampled_from(["start", "end"])),
                draw(some.sampled_from(["start", "end"])),
            )
            for before in (draw(some.sets(some.integers(0, n - 1), max_size=2)) if n else set())
        ]
        attention = draw(some.sampled_from(["hands-on", "watched", "unattended"]))
        dish_name, name = key.split("/")
        minutes = draw(some.integers(1, 15))
        steps.append(step(dish_name, name, minutes, attention, follows=tuple(follows)))
    return menu(dish("a", *steps[:2]), dish("b", *steps[2:]))


@given(menus(), some.none() | some.integers(5, 120), some.floats(0, 1))
@settings(max_examples=60, deadline=None)
def test_whatever_the_gaps_a_plan_and_its_repair_keep_them_or_say_which_not(
    of, minutes, share
) -> None:
    wanted_at = None if minutes is None else NOW + 60 * minutes
    made = plan_menu(of, HOME, now=NOW, wanted_at=wanted_at)
    if isinstance(made, NoTimetable):
        assert made.reasons
        return
    assert timetable_violations(of, HOME, made) == []
    at = NOW + share * (made.service_at - NOW)
    slots = made.slots.items()
    progress = Progress(
        done={k: (s.start_at, s.end_at) for k, s in slots if s.end_at <= at},
        running={k: (s.start_at, s.end_at + 240) for k, s in slots if s.start_at < at < s.end_at},
        started_at=NOW,
    )
    quick = repair(of, HOME, made, now=at, wanted_at=wanted_at, progress=progress)
    better = plan_menu(of, HOME, now=at, wanted_at=wanted_at, progress=progress, hint=quick)
    for other in (quick, better):
        assert isinstance(other, Timetable)
        assert len(timetable_violations(of, HOME, other, progress)) == len(other.missed)


# --- while cooking ------------------------------------------------------------------------------


def cook(of: Menu) -> tuple[LiveSchedule, SimulatedClock]:
    clock = SimulatedClock(NOW)
    live = LiveSchedule(of, HOME, clock, MemoryStore(), SolvingPlanner())
    live.apply(Event(NOW, "cook_started"))
    return live, clock


def began_at(live: LiveSchedule, key: str) -> float | None:
    """Minutes after the cook's start."""
    at = live.snapshot().state.steps[key].began_at
    return None if at is None else (at - NOW) / 60


def tick_until(live: LiveSchedule, clock: SimulatedClock, minutes: float) -> None:
    while clock.now() < NOW + 60 * minutes:
        clock.advance(30)
        live.tick()


def test_a_start_to_start_gap_does_not_wait_for_the_end() -> None:
    of = supper(30, 10, gap(ROAST, 12, 14, "start", "start"))
    clock = SimulatedClock(NOW)
    live = LiveSchedule(of, HOME, clock, MemoryStore(), SolvingPlanner())
    assert can_start(live.snapshot(), SAUCE).why == "it waits for “roast” to begin"
    live.apply(Event(NOW, "cook_started"))
    assert began_at(live, ROAST) == 0
    clock.advance(5 * 60)
    assert can_start(live.snapshot(), SAUCE).why == (
        "it has to wait 7 minutes more after “roast” began"
    )
    tick_until(live, clock, 13)
    assert can_start(live.snapshot(), SAUCE).yes or began_at(live, SAUCE) is not None
    tick_until(live, clock, 15)
    assert 12 <= began_at(live, SAUCE) <= 14
    assert live.snapshot().state.steps[ROAST].status == "running"


def test_a_start_to_start_gap_goes_by_the_true_start() -> None:
    """The cook began the roast 6 min late: the sauce of 10 begins 12 to 14 min after that."""
    of = supper(30, 10, gap(ROAST, 12, 14, "start", "start"))
    hands_on = step("roast", "roast", 30)
    of = replace(of, dishes=(dish("roast", hands_on), of.dishes[1]))
    live, clock = cook(of)
    tick_until(live, clock, 6)
    live.apply(Event(clock.now(), "began", ROAST))
    tick_until(live, clock, 25)
    assert 18 <= began_at(live, SAUCE) <= 20


def test_beginning_a_step_bound_to_a_start_does_not_end_the_other() -> None:
    live, clock = cook(supper(30, 10, gap(ROAST, 12, None, "start", "start")))
    live.tick()
    clock.advance(13 * 60)
    live.apply(Event(clock.now(), "began", SAUCE))
    assert live.snapshot().state.steps[ROAST].status == "running"
    live.apply(Event(clock.now(), "finished", SAUCE))
    assert live.snapshot().state.steps[ROAST].status == "running"
    assert live.apply(Event(clock.now(), "longer", ROAST, 60.0)).refused is None


def test_the_clock_may_begin_what_waits_for_a_start_once_that_has_begun() -> None:
    of = supper(30, 10, gap(ROAST, 0, None, "start", "start"))
    steps = {step.key: step for step in of.steps}
    early = Event(NOW, "began", SAUCE, by="clock")
    assert refuse(steps, fold(of, []), early) == "“sauce” cannot begin yet."
    assert refuse(steps, fold(of, [Event(NOW, "began", ROAST, seq=1)]), early) is None


def test_an_end_to_end_gap_begins_a_step_for_its_likely_end() -> None:
    """The roast of 30 ends at 30, the sauce of 10 is done 3 to 5 after it: begins at 23 to 25."""
    live, clock = cook(supper(30, 10, gap(ROAST, 3, 5, "end", "end")))
    live.tick()
    clock.advance(20 * 60)
    live.tick()
    assert (
        can_start(live.snapshot(), SAUCE).why == "it would be done 3 minutes too soon after “roast”"
    )
    tick_until(live, clock, 26)
    assert 23 <= began_at(live, SAUCE) <= 25


def test_an_end_to_end_gap_goes_by_what_the_other_is_given_more() -> None:
    """The roast is told at 10 to take 7 min more: it ends at 37, the sauce is begun at 30 to 32."""
    live, clock = cook(supper(30, 10, gap(ROAST, 3, 5, "end", "end")))
    live.tick()
    tick_until(live, clock, 10)
    live.apply(Event(clock.now(), "longer", ROAST, 420.0))
    tick_until(live, clock, 33)
    assert 30 <= began_at(live, SAUCE) <= 32


def test_what_should_end_before_a_step_under_way_is_begun_in_time_for_that() -> None:
    """The sauce of 30 is under way since 0 and the roast of 10 ends 5 min before it: from 15 on."""
    of = supper(10, 30, gap(ROAST, 5, 5, "end", "end"))
    progress = Progress(running={SAUCE: (NOW, NOW + 1800)}, started_at=NOW)
    for at, begins in ((0, 15), (10, 15)):
        made = timetable(replace(of), minutes=None, progress=progress) if at == 0 else None
        made = made or plan_menu(of, HOME, now=NOW + 60 * at, wanted_at=None, progress=progress)
        assert isinstance(made, Timetable)
        assert spans(made)["roast"] == (begins, begins + 10)
        assert made.missed == ()
    late = plan_menu(of, HOME, now=NOW + 18 * 60, wanted_at=None, progress=progress)
    assert isinstance(late, Timetable)  # begun at 18, the roast ends at 28: 3 min too late
    assert spans(late)["roast"] == (18, 28)
    assert late.missed == (
        "“sauce the sauce” should end 5 min after “roast the roast”; it is 3 min too soon",
    )


def test_a_gap_from_a_start_that_is_already_too_long_is_told() -> None:
    of = supper(30, 10, gap(ROAST, 0, 5, "start", "start"))
    progress = Progress(running={ROAST: (NOW - 600, NOW + 1200)}, started_at=NOW - 600)
    made = plan_menu(of, HOME, now=NOW, wanted_at=None, progress=progress)
    assert isinstance(made, Timetable)
    assert made.slots[SAUCE].start_at == NOW
    assert made.missed == (
        "“sauce the sauce” should come within 5 min of the start of “roast the roast”; "
        "it is 5 min late",
    )


def test_slack_goes_by_the_moments() -> None:
    """The roast of 10 may end 20 later, at 30 as the sauce of 26 is; but the sauce begins with it,
    and is served at 30: both may be 4 later and no more."""
    of = supper(10, 26, gap(ROAST, 0, None, "start", "start"))
    made = plan_menu(of, HOME, now=NOW, wanted_at=None)
    assert isinstance(made, Timetable)
    slots = {
        key: replace(s, start_at=NOW, end_at=NOW + s.end_at - s.start_at)
        for key, s in made.slots.items()
    }
    view = view_of_plan(of, HOME, replace(made, slots=slots), NOW)
    view = replace(view, state=replace(view.state, wanted_at=NOW + 30 * 60))
    assert slack(view) == {ROAST: 240, SAUCE: 240}


def test_margin_counts_what_can_overrun_up_to_the_moment_of_the_gap() -> None:
    """The sauce may overrun by 4 min. From the roast's start its own is all; from the roast's end,
    which may overrun by 3, the root of 3² + 4² is 5."""
    lasts = Duration(1800, 1800, 1800 + 180)
    for since, margin in (("start", 240), ("end", 300)):
        of = supper(30, 10, gap(ROAST, 0, None, since, "end"))
        roast = replace(of.dishes[0].steps[0], duration=lasts)
        sauce = replace(of.dishes[1].steps[0], duration=Duration(600, 600, 600 + 240))
        of = replace(of, dishes=(dish("roast", roast), dish("sauce", sauce)))
        assert margin_s(Case(of, HOME, NOW, NOW + 7200), of.dishes[1]) == margin


def test_an_added_dish_keeps_its_gaps() -> None:
    sauce = supper(30, 10, gap(ROAST, 3, 5, "end", "end")).dishes[1]
    assert added_dish(added(NOW, sauce)) == sauce

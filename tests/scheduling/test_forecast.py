"""The chance of service in time, on small plans whose answers can be worked out."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_cook import KITCHEN, MENU, NOON, GreedyPlanner

from domain.menu import Dish, Duration, Follow, Menu, Step
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.forecast import forecast, triangular, view_of_plan
from scheduling.live import fold
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import service_at
from scheduling.timetable import Slot, Timetable
from scheduling.view import View


def step(name: str, low: int, likely: int, high: int, *after: str, attention="unattended") -> Step:
    follows = tuple(Follow(f"pot/{one}", 0, 0) for one in after)
    return Step(name, "pot", "Do.", Duration(likely, low, high), attention, follows=follows)


def planned(*steps: Step, wanted_s: float | None = None) -> View:
    """A plan of these steps at their likely times, each as early as what it follows allows."""
    slots: dict[str, Slot] = {}
    for one in steps:
        at = max([NOON, *(slots[follow.step].end_at for follow in one.follows)])
        slots[one.key] = Slot(one.key, at, at + one.duration.likely_s)
    menu = Menu("trial", "A trial", 2, (Dish("pot", "Pot", 2, 600, (), steps),))
    wanted_at = None if wanted_s is None else NOON + wanted_s
    end = max(slot.end_at for slot in slots.values())
    timetable = Timetable(slots, max(end, wanted_at or 0), wanted_at, {})
    return view_of_plan(menu, KITCHEN, timetable, NOON)


def under_way(view: View, at_s: float, *events: Event) -> View:
    """The same plan once these events have happened, at_s seconds on."""
    told = [replace(event, seq=n + 1) for n, event in enumerate(events)]
    state = fold(view.menu, told)
    return replace(view, state=replace(state, wanted_at=view.state.wanted_at), now=NOON + at_s)


START = Event(NOON, "cook_started")


def test_without_ranges_the_forecast_is_the_plan() -> None:
    live = LiveSchedule(MENU, KITCHEN, SimulatedClock(NOON), MemoryStore(), GreedyPlanner())
    view = live.snapshot()
    told = forecast(view)
    planned_at = service_at(view)
    assert (told.low_at, told.expected_at, told.high_at) == pytest.approx((planned_at,) * 3)
    assert told.chance is None
    assert told.decided_by == ()


def test_one_step_is_late_as_its_own_distribution_says() -> None:
    """Triangular on 400, 600, 1000: mean 2000/3; 0.1 and 0.9 quantiles worked out by hand."""
    told = forecast(planned(step("simmer", 400, 600, 1000)), runs=20_000)
    assert told.expected_at - NOON == pytest.approx(2000 / 3, abs=4)
    assert told.low_at - NOON == pytest.approx(400 + (0.1 * 600 * 200) ** 0.5, abs=6)
    assert told.high_at - NOON == pytest.approx(1000 - (0.1 * 600 * 400) ** 0.5, abs=6)
    by_likely = sum(at <= NOON + 600 for at in told.services) / len(told.services)
    assert by_likely == pytest.approx(1 / 3, abs=0.015)


def test_we_eat_at_the_wanted_time_or_late() -> None:
    """Two minutes late still counts: P(length <= 620 + 120) = 1 - 260² / (600 · 400)."""
    told = forecast(planned(step("simmer", 400, 600, 1000), wanted_s=620), runs=20_000)
    assert told.chance == pytest.approx(1 - 260**2 / 240_000, abs=0.015)
    assert told.low_at == NOON + 620
    assert told.expected_at > NOON + 620


@given(
    st.lists(st.integers(1, 5000), min_size=3, max_size=3).map(sorted),
    st.floats(0, 1, exclude_max=True),
)
def test_triangular_inverts_its_own_chances(ends, luck) -> None:
    low, likely, high = map(float, ends)
    value = float(triangular(low, likely, high, np.array([luck]))[0])
    assert low <= value <= high
    if low < value <= likely:
        assert (value - low) ** 2 / ((high - low) * (likely - low)) == pytest.approx(luck, abs=1e-6)
    elif likely < value < high:
        above = (high - value) ** 2 / ((high - low) * (high - likely))
        assert 1 - above == pytest.approx(luck, abs=1e-6)


def test_the_step_with_the_widest_range_on_the_longest_chain_decides() -> None:
    view = planned(
        step("warm", 300, 300, 300),
        step("simmer", 600, 900, 1800, "warm"),
        step("plate", 110, 120, 130, "simmer"),
        step("steep", 60, 90, 400),  # wide, but nothing waits for it
    )
    told = forecast(view)
    (first, share), *others = told.decided_by
    assert first == "pot/simmer"
    assert share > 0.95
    assert "pot/steep" not in dict(others)


def test_same_seed_same_forecast_and_another_one_is_near() -> None:
    view = planned(step("boil", 300, 400, 800), step("rest", 100, 200, 300, "boil"))
    assert forecast(view, seed=3) == forecast(view, seed=3)
    one, other = forecast(view, seed=3), forecast(view, seed=4)
    assert one != other
    assert one.expected_at == pytest.approx(other.expected_at, abs=20)


def test_what_is_under_way_takes_at_least_what_it_has_taken() -> None:
    view = planned(step("simmer", 400, 600, 1000))
    begun = Event(NOON, "began", "pot/simmer", by="clock")
    told = forecast(under_way(view, 700, START, begun), runs=20_000)
    assert min(told.services) >= NOON + 700
    # Given more than 700 s, the mean is 700 + a third of the 300 s left of the falling side.
    assert told.expected_at - NOON == pytest.approx(800, abs=4)
    assert told.high_at < NOON + 1000


def test_a_step_beyond_its_range_is_given_what_the_live_schedule_gives() -> None:
    view = planned(step("check", 60, 90, 120, attention="hands-on"))
    begun = Event(NOON, "began", "pot/check")
    late = under_way(view, 400, START, begun)
    told = forecast(late)
    assert told.expected_at == pytest.approx(late.end_of("pot/check") + 40)  # a tenth of 400 s
    assert told.low_at == told.high_at


def test_done_steps_stay_and_extra_time_counts() -> None:
    view = planned(step("boil", 300, 400, 900), step("rest", 200, 200, 200, "boil"))
    done = [
        Event(NOON, "began", "pot/boil"),
        Event(NOON + 350, "finished", "pot/boil"),
        Event(NOON + 350, "began", "pot/rest", by="clock"),
    ]
    told = forecast(under_way(view, 360, START, *done))
    assert (told.low_at, told.high_at) == pytest.approx((NOON + 550, NOON + 550))
    longer = Event(NOON + 360, "longer", "pot/rest", 100)
    told = forecast(under_way(view, 360, START, *done, longer))
    assert told.expected_at == pytest.approx(NOON + 650)


def test_hands_stand_still_while_paused_and_pots_do_not() -> None:
    paused = Event(NOON + 100, "paused")
    for attention, end_s in (("hands-on", 700 + 200), ("unattended", 700)):
        view = planned(step("work", 600, 600, 600), step("cut", 700, 700, 700, attention=attention))
        begun = [Event(NOON, "began", key) for key in ("pot/work", "pot/cut")]
        told = forecast(under_way(view, 300, START, *begun, paused))
        assert told.expected_at == pytest.approx(NOON + end_s)


def test_nothing_left_is_certain_and_what_cannot_go_on_has_no_end() -> None:
    view = planned(step("boil", 300, 400, 900), wanted_s=500)
    done = Event(NOON, "began", "pot/boil"), Event(NOON + 450, "finished", "pot/boil")
    over = under_way(view, 450, START, *done)
    assert forecast(over).chance == 1
    assert forecast(over).expected_at == NOON + 500
    no_cook = replace(planned(step("cut", 60, 60, 60, attention="hands-on"), wanted_s=90))
    told = forecast(replace(no_cook, kitchen=replace(KITCHEN, cooks=())))
    assert (told.chance, told.expected_at, told.decided_by) == (0, float("inf"), ())


def test_at_least_one_run() -> None:
    with pytest.raises(ValueError, match="at least one run"):
        forecast(planned(step("boil", 300, 400, 900)), runs=0)

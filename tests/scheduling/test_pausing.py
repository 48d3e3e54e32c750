"""Steps that a cook may break off: tiny menus with numbers worked out beside them."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from test_compose import HOME, NOW, RICE, after, dish, menu, service, step, timetable

from domain.menu import Dish, Mark, Menu, Use
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.compose import Progress, Timetable, plan_menu, repair
from scheduling.events import Event
from scheduling.forecast import forecast
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import finished, service_at

SALAD = dish("salad", step("salad", "chop", 20, pausable=True))


def fish(turn: float = 2, rest: float = 13, **more: object) -> Dish:
    return dish(
        "fish",
        step("fish", "poach", 10, "unattended"),
        step("fish", "turn", turn, follows=after("fish/poach", 0, 0), **more),
        step("fish", "rest", rest, "unattended", follows=after("fish/turn", 0, 0)),
    )


def breaks(made: Timetable, key: str = "salad/chop") -> list[tuple[float, float]]:
    """In minutes from now."""
    return [((a - NOW) / 60, (b - NOW) / 60) for a, b in made.slots[key].breaks]


def test_a_step_is_broken_off_for_what_cannot_wait() -> None:
    # The fish takes 25. The chopping, 20 min without a break, goes after the turn at 10: until 32.
    whole = dish("salad", step("salad", "chop", 20))
    assert service(menu(whole, fish())) == 32
    made = timetable(menu(SALAD, fish()))
    assert (made.service_at - NOW) / 60 == 25
    assert breaks(made) == [(10, 12)]
    slot = made.slots["salad/chop"]
    assert slot.end_at - slot.start_at - sum(b - a for a, b in slot.breaks) == 20 * 60


def test_no_break_is_too_long() -> None:
    # Over 15 min nothing is broken off: the fish's last 5 min come after 20 of chopping and 16.
    assert service(menu(SALAD, fish(turn=15, rest=5))) == 20 + 15
    assert service(menu(SALAD, fish(turn=16, rest=5))) == 20 + 16 + 5


def test_what_a_step_uses_stays_in_use_in_its_breaks() -> None:
    board, kitchen = (Use("board"),), replace(HOME, equipment={"board": 1})
    chop = dish("salad", step("salad", "chop", 20, pausable=True, uses=board))
    assert service(menu(chop, fish()), kitchen) == 25
    assert service(menu(chop, fish(uses=board)), kitchen) == 32


def test_two_cooks_break_nothing_off() -> None:
    made = timetable(menu(SALAD, fish()), replace(HOME, cooks=("one", "two")))
    assert (made.service_at - NOW) / 60 == 25
    assert breaks(made) == []


def test_nothing_is_broken_off_for_nothing() -> None:
    of = menu(SALAD, RICE, dish("pears", step("pears", "peel", 10, pausable=True)))
    for minutes in (None, 30, 60):
        made = timetable(of, minutes=minutes)
        assert (breaks(made), breaks(made, "pears/peel")) == ([], [])


def test_the_checker_sees_what_is_wrong_with_a_break() -> None:
    of = menu(SALAD)
    made = timetable(of, minutes=60)
    slot = made.slots["salad/chop"]

    def wrong(menu: Menu = of, **changed: object) -> list[str]:
        slots = {slot.key: replace(slot, **changed)}
        return timetable_violations(menu, HOME, replace(made, slots=slots))

    begins, ends = slot.start_at, slot.end_at
    pause = {"start_at": begins - 120, "breaks": ((begins, begins + 120),)}
    assert wrong(**pause) == []
    whole = menu(dish("salad", step("salad", "chop", 20)))
    assert wrong(whole, **pause) == ["“salad/chop” cannot be broken off"]
    assert wrong(breaks=((begins + 60, begins + 120),)) == ["“salad/chop” does not last its 1200 s"]
    assert wrong(start_at=begins - 960, breaks=((begins, begins + 960),)) == [
        "“salad/chop” lies still too long"
    ]
    assert wrong(start_at=begins - 60, breaks=((ends, ends + 60),)) != []


def test_the_checker_sees_hands_that_are_not_free() -> None:
    of = menu(SALAD, fish())
    made = timetable(of)
    slot = made.slots["salad/chop"]
    later = tuple((a + 60, b + 60) if a == NOW + 600 else (a, b) for a, b in slot.breaks)
    moved = replace(made, slots=made.slots | {slot.key: replace(slot, breaks=later)})
    assert "“fish/turn” makes 2 of “hands” at once, and there are 1" in timetable_violations(
        of, HOME, moved
    )


def test_what_is_left_of_a_step_may_be_broken_off_again() -> None:
    # 8 of the 20 min are done; the turn is in 2, when 10 are left.
    running = {
        "salad/chop": (NOW - 480, NOW + 720),
        "fish/poach": (NOW - 480, NOW + 120),
    }
    so_far = Progress(running=running, started_at=NOW - 480)
    made = timetable(menu(SALAD, fish()), progress=so_far)
    assert breaks(made) == [(2, 4)]
    assert (made.service_at - NOW) / 60 == 2 + 2 + 13
    assert made.slots["salad/chop"].end_at == NOW + (12 + 2) * 60


def test_a_plan_in_breaks_is_kept_by_the_next_and_by_a_repair() -> None:
    of = menu(SALAD, fish())
    made = timetable(of, minutes=25)
    assert breaks(made) == [(10, 12)]
    running = {"salad/chop": (NOW, NOW + 1200), "fish/poach": (NOW, NOW + 600)}
    so_far = Progress(running=running, started_at=NOW)
    later = {"now": NOW + 60, "wanted_at": NOW + 1500, "progress": so_far}
    for after_it in (plan_menu(of, HOME, hint=made, **later), repair(of, HOME, made, **later)):
        assert isinstance(after_it, Timetable)
        assert timetable_violations(of, HOME, after_it, so_far) == []
        assert after_it.late_s == 0
        assert breaks(after_it) == [(10, 12)]


# --- live ---------------------------------------------------------------------------------------


def test_the_live_cook_puts_it_down_and_takes_it_up_again() -> None:
    clock = SimulatedClock(NOW)
    live = LiveSchedule(menu(SALAD, fish()), HOME, clock, MemoryStore())
    live.apply(Event(NOW, "cook_started"))
    assert service_at(live.snapshot()) == NOW + 25 * 60
    assert forecast(live.snapshot(), runs=3).expected_at == NOW + 25 * 60
    put_down = set()
    while not finished(live.snapshot()) and clock.now() < NOW + 3600:
        clock.advance(15)
        live.tick()
        view = live.snapshot()
        for one in view.running():
            if view.state.steps[one.key].put_down_at is not None:
                put_down.add(one.key)
            elif one.attention == "hands-on" and view.planned_end_of(one.key) <= view.now:
                live.apply(Event(view.now, "finished", one.key))
    assert put_down == {"salad/chop"}
    assert service_at(live.snapshot()) == pytest.approx(NOW + 25 * 60, abs=60)


def test_what_the_cook_puts_down_is_planned_for_when_there_are_hands() -> None:
    # Put down at 6, with 14 min left; the turn is at 10, so it is planned from 6 or from 12, the
    # fish being done at 25. At 12 it is still aside, and at 20 the 14 min make it 34 at least.
    clock, store = SimulatedClock(NOW), MemoryStore()
    live = LiveSchedule(menu(SALAD, fish()), HOME, clock, store)
    live.apply(Event(NOW, "cook_started"))
    live.apply(Event(NOW, "began", "salad/chop"))
    clock.advance(6 * 60)
    assert live.apply(Event(clock.now(), "put_down", "salad/chop")).refused is None
    view = live.snapshot()
    slot = view.timetable.slots["salad/chop"]
    assert sum(end - max(at, view.now) for at, end in slot.stretches if end > view.now) == 14 * 60
    assert slot.breaks[0][0] == NOW + 6 * 60
    assert service_at(view) == slot.end_at == NOW + 26 * 60
    while clock.now() < NOW + 20 * 60:
        clock.advance(60)
        live.tick()
        view = live.snapshot()
        if view.state.steps["fish/turn"].status == "running" and clock.now() >= NOW + 12 * 60:
            live.apply(Event(clock.now(), "finished", "fish/turn"))
    assert service_at(live.snapshot()) == pytest.approx(NOW + 34 * 60, abs=60)
    again = LiveSchedule(menu(SALAD, fish()), HOME, clock, store).snapshot()
    assert again.state == live.snapshot().state
    assert forecast(again, runs=3).expected_at == pytest.approx(NOW + 34 * 60, abs=60)
    assert live.apply(Event(clock.now(), "taken_up", "salad/chop")).refused is None
    view = live.snapshot()
    assert view.state.steps["salad/chop"].moves
    assert view.planned_end_of("salad/chop") == NOW + 34 * 60


def test_the_forecast_counts_the_breaks() -> None:
    # 10 min of chopping, 2 of turning, 20 of chopping: the same before, in and after the break.
    clock = SimulatedClock(NOW)
    chop = dish("salad", step("salad", "chop", 30, pausable=True))
    live = LiveSchedule(menu(chop, fish(rest=20)), HOME, clock, MemoryStore())
    live.apply(Event(NOW, "cook_started"))
    for minutes in (5, 5, 1, 1, 5):
        assert forecast(live.snapshot(), runs=3).expected_at == NOW + 32 * 60
        clock.advance(60 * minutes)
        live.tick()
        if clock.now() == NOW + 12 * 60:
            live.apply(Event(clock.now(), "finished", "fish/turn"))
    assert live.snapshot().state.steps["salad/chop"].still_s == 120
    assert forecast(live.snapshot(), runs=3).expected_at == NOW + 32 * 60


# --- by brute force -----------------------------------------------------------------------------

gaps_and_lengths = some.lists(some.tuples(some.integers(0, 9), some.integers(1, 9)), max_size=3)


@given(gaps_and_lengths, some.integers(2, 15))
@settings(max_examples=25, deadline=None)
def test_the_earliest_end_is_that_of_the_best_breaks(
    drawn: list[tuple[int, int]], parts: int
) -> None:
    """What must be done at fixed times, and chopping around it, in so many parts of a minute."""
    at, busy = 0, []
    for gap, length in drawn:
        busy.append((at + gap, at + gap + length))
        at += gap + length
    fixed = [dish(f"d{n}", step(f"d{n}", "turn", b - a)) for n, (a, b) in enumerate(busy)]
    marks = tuple(Mark(f"d{n}/turn", 60 * a) for n, (a, _) in enumerate(busy))
    of = menu(dish("salad", step("salad", "chop", parts, pausable=True)), *fixed, marks=marks)
    assert service(of) == max(at, _earliest_end(busy, parts))


def _earliest_end(busy: list[tuple[int, int]], parts: int) -> int:
    """By every whole minute that each part could begin at."""

    def free(start: int) -> bool:
        return all(start + 1 <= a or b <= start for a, b in busy)

    ends = {start + 1 for start in range(120) if free(start)}
    for _ in range(parts - 1):
        ends = {s + 1 for e in ends for s in range(e, e + 16) if free(s)}
    return min(ends)

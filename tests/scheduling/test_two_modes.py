"""As late as is safe before a wanted service, and as soon as possible."""

from dataclasses import replace

from home_menus import HOME, NOW, after, dish, menu, step
from hypothesis import assume, given, settings
from hypothesis import strategies as some

from domain.menu import Menu, Step, Use
from scheduling.checker import timetable_violations
from scheduling.compose import Timetable, plan_menu


@some.composite
def suppers(draw: some.DrawFn) -> Menu:
    """Two or three dishes of one to three steps in a row; some on the rings, some in the oven."""
    dishes = []
    for name in "abc"[: draw(some.integers(2, 3))]:
        steps: list[Step] = []
        for index in range(draw(some.integers(1, 3))):
            attention = draw(some.sampled_from(["hands-on", "watched", "unattended"]))
            on = draw(some.sampled_from([None, "ring", 160.0, 200.0]))
            uses = (
                () if on is None else (Use("ring"),) if on == "ring" else (Use("oven", 1, on, 5),)
            )
            least = draw(some.integers(0, 4))
            most = draw(some.none() | some.integers(least, 9))
            gap = after(f"{name}/s{index - 1}", least, most) if index else ()
            minutes = draw(some.integers(1, 20))
            steps.append(step(name, f"s{index}", minutes, attention, uses=uses, follows=gap))
        spoils = draw(some.sampled_from([0.5, 1.0, 2.0]))
        dishes.append(dish(name, *steps, hold=draw(some.integers(0, 30)), spoils=spoils))
    return menu(*dishes)


def possible(of: Menu) -> bool:
    """Whether its gaps leave any plan; what has none is proven to have none."""
    return isinstance(plan_menu(of, HOME, now=NOW, wanted_at=None), Timetable)


def unproven(of: Menu, minutes: float | None = None) -> Timetable:
    """A timetable whose last levels may not be proven in time: some suppers take too long."""
    made = plan_menu(of, HOME, now=NOW, wanted_at=None if minutes is None else NOW + 60 * minutes)
    assert isinstance(made, Timetable)
    assert timetable_violations(of, HOME, made) == []
    return made


@given(suppers(), some.integers(1, 100_000))
@settings(max_examples=20, deadline=None)
def test_a_wanted_service_comfortably_late_shifts_the_plan(of: Menu, by_s: int) -> None:
    assume(possible(of))
    comfortably = 600  # minutes: all steps in a row, each in an oven heated anew, take less
    first, later = (
        unproven(of, minutes=comfortably),
        unproven(of, minutes=comfortably + by_s / 60),
    )
    assert first.late_s == later.late_s == 0
    for one, other in zip(first.levels, later.levels, strict=True):
        assert one.bound <= other.cost  # where both are proven, their costs are the same
        assert other.bound <= one.cost
        if one.cost != other.cost:
            break  # what comes after is bounded for another cost
    # Of plans that cost the same either may be found; the first one, shifted, is a plan for later.
    slots = {
        key: replace(slot, start_at=slot.start_at + by_s, end_at=slot.end_at + by_s)
        for key, slot in first.slots.items()
    }
    at = {
        "service_at": first.service_at + by_s,
        "ready_at": {name: ready + by_s for name, ready in first.ready_at.items()},
        "serve_at": {name: served + by_s for name, served in first.serve_at.items()},
    }
    shifted = replace(later, slots=slots, **at)
    assert shifted.service_at == later.service_at
    assert timetable_violations(of, HOME, shifted) == []


@given(suppers())
@settings(max_examples=20, deadline=None)
def test_as_soon_as_possible_is_the_earliest_service_that_can_be_wanted(of: Menu) -> None:
    assume(possible(of))
    soonest_s = round(unproven(of).service_at - NOW)
    assert unproven(of, minutes=soonest_s / 60).late_s == 0
    sooner = unproven(of, minutes=(soonest_s - 1) / 60)
    assert (sooner.service_at, sooner.late_s) == (NOW + soonest_s, 1)

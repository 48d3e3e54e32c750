"""A step that can be done in several ways is planned in the one that serves best."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from small_cook import NOON, step

from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Follow, Menu, Step, Use, Way
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.compose import NoTimetable, Progress, Timetable, plan_menu, repair
from scheduling.events import Event
from scheduling.forecast import forecast, view_of_plan
from scheduling.keeping_up import basis_of, keeps_up
from scheduling.live_schedule import LiveSchedule, MemoryStore

# From cold to 200 °C in 12 minutes; a change from 160 to 200 takes 4.
KITCHEN = Kitchen("den", "The den", 1, (Oven("oven", 1, 720, 60),), {}, ("cook",))
FISH = "fish/cook"


def way(name: str, minutes: float, attention="watched", *uses: Use) -> Way:
    likely = int(minutes * 60)
    return Way(name, f"Cook it {name}.", Duration(likely, likely, likely), attention, uses)


def oven(celsius: float) -> Use:
    return Use("oven", celsius=celsius, tolerance=0)


def either(
    ring_min: float, oven_min: float, celsius: float = 200, dish: str = "fish", **more
) -> Step:
    baked = way("in the oven", oven_min, "unattended", oven(celsius))
    return step(dish, "cook", ring_min, "watched", uses=(Use("ring"),), ways=(baked,), **more)


def menu(*steps: Step) -> Menu:
    names = list(dict.fromkeys(s.dish for s in steps))
    return Menu(
        "supper",
        "Supper",
        4,
        tuple(
            Dish(name, name, 4, 7200, (), tuple(s for s in steps if s.dish == name))
            for name in names
        ),
    )


def planned(of: Menu, kitchen: Kitchen = KITCHEN, **more) -> Timetable:
    made = plan_menu(of, kitchen, now=NOON, wanted_at=None, **more)
    assert isinstance(made, Timetable)
    assert timetable_violations(of, kitchen, made, more.get("progress")) == []
    assert made.proven
    return made


def minutes(made: Timetable) -> float:
    return (made.service_at - NOON) / 60


def test_the_quicker_way_is_taken_heating_included() -> None:
    """In the oven it takes 12 minutes of heating and 10 of baking."""
    quick_on_the_ring = planned(menu(either(20, 10)))
    assert minutes(quick_on_the_ring) == 20
    assert quick_on_the_ring.slots[FISH].way == ""
    assert list(quick_on_the_ring.slots) == [FISH]  # nothing is heated for nothing
    slow_on_the_ring = planned(menu(either(30, 10)))
    assert minutes(slow_on_the_ring) == 22
    assert slow_on_the_ring.slots[FISH].way == "in the oven"
    assert slow_on_the_ring.slots[FISH].oven == "oven"
    assert slow_on_the_ring.slots[FISH].cook is None
    assert "oven/heat the oven to 200" in slow_on_the_ring.slots


def test_two_for_one_ring_part() -> None:
    """One on the ring for 20 minutes, the other meanwhile in the oven: 12 + 10."""
    made = planned(menu(either(20, 10), either(20, 10, dish="roots")))
    assert minutes(made) == 22
    assert sorted(made.slots[key].way for key in (FISH, "roots/cook")) == ["", "in the oven"]


def test_a_way_may_only_differ_in_temperature() -> None:
    """With bread at 160 for 30 minutes there is no time to change: the fish joins it.

    Heating to 160 takes 12 * 140 / 180 = 9 1/3 minutes. At 200 the fish would take 10 minutes and
    a change of 4; at 160 it has room beside the bread on the second shelf.
    """
    slow = way("gently", 25, "unattended", oven(160))
    fish = step("fish", "cook", 10, "unattended", uses=(oven(200),), ways=(slow,))
    bread = step("bread", "bake", 30, "unattended", uses=(oven(160),))
    wide = replace(KITCHEN, ovens=(replace(KITCHEN.ovens[0], shelves=2),))
    made = planned(menu(fish, bread), wide)
    assert made.slots[FISH].way == "gently"
    assert minutes(made) == pytest.approx(9 + 20 / 60 + 30)
    alone = planned(menu(fish), wide)
    assert alone.slots[FISH].way == ""
    assert minutes(alone) == 22


def test_what_fits_no_way_is_lacking_and_one_way_is_enough() -> None:
    of = menu(either(20, 10))
    assert minutes(planned(of, replace(KITCHEN, rings=0))) == 22
    assert minutes(planned(of, replace(KITCHEN, ovens=()))) == 20
    made = plan_menu(of, replace(KITCHEN, rings=0, ovens=()), now=NOON, wanted_at=None)
    assert isinstance(made, NoTimetable)
    assert [reason.partition(";")[0] for reason in made.reasons] == [
        "“cook” needs “ring”, which is not there"
    ]


def test_a_way_that_needs_nobody_is_left_to_an_empty_kitchen() -> None:
    made = planned(menu(either(5, 10)), progress=Progress(cooks=0))
    assert made.slots[FISH].way == "in the oven"


def test_what_has_begun_stays_as_it_was_begun() -> None:
    """The ring is taken for 20 minutes more, so the roots go in the oven: 12 + 30 is too long."""
    of = menu(either(30, 10), either(15, 30, dish="roots"))
    so_far = Progress(running={FISH: (NOON - 600, NOON + 1200)}, started_at=NOON - 600)
    made = planned(of, progress=so_far)
    assert made.slots[FISH].way == ""
    assert minutes(made) == 35
    baking = replace(so_far, ways={FISH: "in the oven"}, ovens={FISH: "oven"})
    made = planned(of, progress=baking)
    assert made.slots[FISH].way == "in the oven"
    assert made.slots["roots/cook"].way == ""
    assert minutes(made) == 20


def test_the_checker_reads_the_way() -> None:
    of = menu(either(30, 10))
    made = planned(of)
    slot = made.slots[FISH]
    as_written = replace(made, slots={**made.slots, FISH: replace(slot, way="", oven=None)})
    assert "“fish/cook” does not last its 1800 s" in timetable_violations(of, KITCHEN, as_written)
    begun = Progress(running={FISH: (slot.start_at, slot.end_at)})
    found = timetable_violations(of, KITCHEN, made, begun)
    assert "“fish/cook” is not done in the way it was begun" in found


def test_a_repair_goes_another_way_when_one_is_lost() -> None:
    of = menu(either(30, 10), either(30, 10, dish="roots"))
    before = planned(of)
    so_far = Progress(started_at=NOON, equipment={"oven": 0})
    after = repair(of, KITCHEN, before, now=NOON, wanted_at=None, progress=so_far)
    assert isinstance(after, Timetable)
    assert after.missed == ()
    assert [after.slots[key].way for key in (FISH, "roots/cook")] == ["", ""]
    assert minutes(after) == 60
    kept = repair(of, KITCHEN, before, now=NOON, wanted_at=None)
    assert isinstance(kept, Timetable)
    assert kept.slots == before.slots


def test_unused_heating_does_not_stand_in_the_way_of_a_repair() -> None:
    """The fish is on the ring; the oven, heated for bread alone, stays as it was planned."""
    of = menu(either(15, 30, 160), step("bread", "bake", 20, "unattended", uses=(oven(200),)))
    before = planned(of)
    assert minutes(before) == 32
    assert before.slots[FISH].way == ""
    after = repair(of, KITCHEN, before, now=NOON, wanted_at=None)
    assert isinstance(after, Timetable)
    assert after.slots == before.slots


STEPS = some.tuples(
    some.integers(1, 30), some.integers(1, 30), some.sampled_from([160, 200]), some.booleans()
)


@settings(max_examples=25, deadline=None)
@given(some.lists(STEPS, min_size=1, max_size=3), some.booleans())
def test_it_is_the_best_of_all_ways(drawn, chained) -> None:
    """The same service as the best of all choices of ways, each planned alone."""
    steps = []
    for n, (ring_min, oven_min, celsius, both) in enumerate(drawn):
        made = either(ring_min, oven_min, celsius, dish=f"dish {n}")
        if both:
            made = replace(made, ways=(*made.ways, way("gently", 25, "unattended", oven(160))))
        steps.append(made)
    if chained and len(steps) > 1:
        steps[1] = replace(steps[1], follows=(Follow(steps[0].key),))
    wide = replace(KITCHEN, ovens=(replace(KITCHEN.ovens[0], shelves=2),))
    services = []
    for told in product(*(s.in_all_ways() for s in steps)):
        alone = [replace(s, ways=(), way="") for s in told]
        services.append(planned(menu(*alone), wide).service_at)
    assert planned(menu(*steps), wide).service_at == min(services)


def live(of: Menu) -> tuple[LiveSchedule, SimulatedClock]:
    clock = SimulatedClock(NOON)
    schedule = LiveSchedule(of, KITCHEN, clock, MemoryStore())
    schedule.apply(Event(NOON, "cook_started"))
    return schedule, clock


def test_the_oven_is_lost_while_cooking() -> None:
    """Cut for 5 minutes, then 10 in the oven, hot after 12; at 6 minutes the oven goes out."""
    cut = step("fish", "cut", 5)
    of = menu(cut, either(30, 10, follows=(Follow("fish/cut"),)))
    schedule, clock = live(of)
    view = schedule.snapshot()
    assert view.steps[FISH].say == "Cook it in the oven."
    assert view.steps[FISH].attention == "unattended"
    assert view.timetable.service_at == NOON + 22 * 60
    clock.advance(300)
    schedule.apply(Event(NOON + 300, "finished", "fish/cut"))
    clock.advance(60)
    outcome = schedule.apply(Event(NOON + 360, "equipment_changed", "oven", 0.0))
    assert outcome.refused is None
    view = schedule.snapshot()
    assert view.why_not == ()
    assert view.steps[FISH].say == "Cook the fish."
    assert view.timetable.slots[FISH].way == ""
    assert view.timetable.service_at == NOON + (6 + 30) * 60


def test_what_is_in_the_oven_ends_by_its_own_time() -> None:
    schedule, clock = live(menu(either(30, 10)))
    clock.advance(12 * 60)
    schedule.tick()
    view = schedule.snapshot()
    assert view.state.steps[FISH].status == "running"
    assert view.end_of(FISH) == NOON + 22 * 60
    schedule.apply(Event(NOON + 720, "equipment_changed", "ring", 0.0))
    assert schedule.snapshot().timetable.slots[FISH].way == "in the oven"
    clock.advance(10 * 60)
    schedule.tick()
    assert schedule.snapshot().state.steps[FISH].status == "done"


def test_another_way_for_what_is_under_way_does_not_keep_up() -> None:
    schedule, clock = live(menu(either(30, 10)))
    clock.advance(12 * 60)
    schedule.tick()
    view = schedule.snapshot()
    basis = basis_of(view.state)
    assert keeps_up(view, basis)
    other = replace(view.timetable.slots[FISH], way="")
    changed = replace(view.timetable, slots={**view.timetable.slots, FISH: other})
    assert not keeps_up(replace(view, timetable=changed), basis)


def test_a_forecast_goes_by_the_planned_way() -> None:
    of = menu(either(30, 10))
    made = planned(of)
    assert forecast(view_of_plan(of, KITCHEN, made, NOON), runs=10).expected_at == made.service_at

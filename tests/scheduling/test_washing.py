"""Washing up in the plan: tiny menus with numbers worked out beside them."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import permutations, product

from hypothesis import given, settings
from hypothesis import strategies as some
from test_compose import HOME, NOW, after, dish, menu, service, start, step, timetable

from domain.kitchen import Kitchen
from domain.menu import Dish, Menu, Use
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.compose import Progress, Timetable, plan_menu, repair
from scheduling.events import Event
from scheduling.forecast import forecast
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.obstacles import Obstacle, obstacles
from scheduling.queries import finished, left_to_do, service_at

PANS: Mapping[int, Kitchen] = {n: replace(HOME, equipment={"pan": n}) for n in range(4)}
WASH_A, WASH_B = "washing up/wash the pan after a", "washing up/wash the pan after b"


def fried(name: str, minutes: float, pans: int = 1) -> Dish:
    return dish(name, step(name, "fry", minutes, "watched", uses=(Use("pan", pans),)))


def washed(*dishes: Dish, minutes: float = 2) -> Menu:
    return replace(menu(*dishes), wash_up={"pan": round(60 * minutes)})


BOTH = washed(fried("a", 10), fried("b", 7))


def test_a_dirty_pan_is_washed_before_another_dish_has_it() -> None:
    assert service(menu(fried("a", 10), fried("b", 7)), PANS[1]) == 17
    made = timetable(BOTH, PANS[1])
    assert (made.service_at - NOW) / 60 == 10 + 2 + 7
    assert len(made.slots) == 3  # the second is left in the sink
    wash = next(slot for slot in made.slots.values() if slot.key in (WASH_A, WASH_B))
    assert (wash.end_at - wash.start_at, wash.cook) == (120, "cook")


def test_nothing_is_washed_where_each_dish_has_its_own() -> None:
    made = timetable(BOTH, PANS[2])
    assert (made.service_at - NOW) / 60 == 10
    assert made.slots.keys() == {"a/fry", "b/fry"}


def test_a_dish_keeps_its_pan_unwashed_until_its_last_use() -> None:
    # a: 5 min, 10 of rest, 5 again, in its own pan all the while; b, 3 min, comes before or after.
    again = step("a", "fry again", 5, "watched", uses=(Use("pan"),), follows=after("a/fry", 10, 10))
    a = dish("a", step("a", "fry", 5, "watched", uses=(Use("pan"),)), again)
    assert service(washed(a), PANS[1]) == 20
    assert service(washed(a, fried("b", 3)), PANS[1]) == 20 + 2 + 3
    assert service(menu(a, fried("b", 3)), PANS[1]) == 20


def test_washing_takes_the_cook_s_hands() -> None:
    # One pair of hands: b's pan is washed at 7, between 7 min of chopping and 15.
    chopped = dish("c", step("c", "chop", 7)), dish("d", step("d", "chop", 15))
    of = washed(fried("a", 10), fried("b", 7), *chopped)
    assert service(of, PANS[1]) == 7 + 2 + 15
    assert service(menu(*of.dishes), PANS[1]) == 7 + 15
    assert service(of, replace(PANS[1], cooks=("one", "two"))) == 10 + 2 + 7


def test_several_pieces_take_longer_to_wash() -> None:
    # a takes both pans. Before b: 10, two to wash 4, 7. After b: 7, one to wash 2, 10.
    of = washed(fried("a", 10, pans=2), fried("b", 7))
    assert service(of, PANS[2]) == 7 + 2 + 10
    b_last = replace(of.dishes[1].steps[0], follows=after("a/fry"))
    of = replace(of, dishes=(of.dishes[0], replace(of.dishes[1], steps=(b_last,))))
    assert service(of, PANS[2]) == 10 + 4 + 7


def test_the_checker_sees_a_dirty_pan() -> None:
    of = washed(fried("a", 10), dish("b", replace(fried("b", 7).steps[0], follows=after("a/fry"))))
    made = timetable(of, PANS[1])
    wash = made.slots[WASH_A]
    without = {key: slot for key, slot in made.slots.items() if key != WASH_A}
    assert timetable_violations(of, PANS[1], replace(made, slots=without)) == [
        "“b/fry” needs a clean pan: 2 of 1 are not"
    ]
    early = replace(wash, start_at=wash.start_at - 60, end_at=wash.end_at - 60)
    assert timetable_violations(of, PANS[1], replace(made, slots=without | {WASH_A: early})) == [
        f"“{WASH_A}” begins before “a” is done with it"
    ]
    short = replace(wash, end_at=wash.end_at - 60)
    assert timetable_violations(of, PANS[1], replace(made, slots=without | {WASH_A: short})) == [
        f"“{WASH_A}” does not last 120 s"
    ]


def test_while_cooking_what_is_dirty_is_washed_first() -> None:
    done = {"a/fry": (NOW - 900, NOW - 300)}
    so_far = Progress(done=done, started_at=NOW - 900)
    made = timetable(BOTH, PANS[1], progress=so_far)
    assert (start(made, WASH_A), start(made, "b/fry")) == (0, 2)
    for by_itself in (
        replace(so_far, skipped=frozenset({WASH_A})),
        replace(so_far, done=done | {WASH_A: (NOW - 200, NOW - 100)}),
    ):
        assert start(timetable(BOTH, PANS[1], progress=by_itself), "b/fry") == 0
    under_way = replace(so_far, running={WASH_A: (NOW - 60, NOW + 60)})
    assert start(timetable(BOTH, PANS[1], progress=under_way), "b/fry") == 1


def test_a_dish_begun_in_the_only_pan_has_it() -> None:
    # a's was washed without a word: b has the pan now, and c waits until that is washed.
    of = washed(fried("a", 10), fried("b", 7), fried("c", 4))
    done = {"a/fry": (NOW - 900, NOW - 300)}
    running = {"b/fry": (NOW - 120, NOW + 300)}
    so_far = Progress(done=done, running=running, started_at=NOW - 900)
    made = timetable(of, PANS[1], progress=so_far)
    assert (start(made, WASH_B), start(made, "c/fry")) == (5, 7)
    assert WASH_A not in made.slots


def test_a_repair_keeps_the_washing() -> None:
    made = timetable(BOTH, PANS[1], minutes=30)
    quick = repair(BOTH, PANS[1], made, now=NOW + 60, wanted_at=NOW + 1800)
    assert isinstance(quick, Timetable)
    assert timetable_violations(BOTH, PANS[1], quick) == []
    assert quick.slots.keys() == made.slots.keys()
    assert quick.late_s == 0


# --- live ---------------------------------------------------------------------------------------


def test_the_live_cook_is_told_to_wash_it_first() -> None:
    clock = SimulatedClock(NOW)
    b = dish("b", replace(fried("b", 7).steps[0], attention="hands-on", follows=after("a/fry")))
    live = LiveSchedule(washed(fried("a", 10), b), PANS[1], clock, MemoryStore())
    live.apply(Event(NOW, "cook_started"))
    assert forecast(live.snapshot(), runs=3).expected_at == NOW + 19 * 60
    clock.advance(600)
    live.tick()
    view = live.snapshot()
    assert [one.key for one in left_to_do(view)] == [WASH_A, "b/fry"]
    assert view.state.steps[WASH_A].status == "running"
    assert Obstacle("step", WASH_A, NOW + 720) in obstacles(view, "b/fry", view.now)
    clock.advance(60)
    live.apply(Event(clock.now(), "finished", WASH_A))
    assert live.snapshot().state.steps["b/fry"].began_at == NOW + 660
    clock.advance(420)
    live.apply(Event(clock.now(), "finished", "b/fry"))
    view = live.snapshot()
    assert finished(view)
    assert service_at(view) == NOW + (10 + 1 + 7) * 60


def test_the_live_cook_leaves_the_washing_out() -> None:
    clock = SimulatedClock(NOW)
    live = LiveSchedule(BOTH, PANS[1], clock, MemoryStore())
    live.apply(Event(NOW, "cook_started"))
    first, wash, second = live.snapshot().timetable.slots
    clock.advance(live.snapshot().timetable.slots[first].end_at - NOW)
    live.apply(Event(clock.now(), "finished", first))
    live.apply(Event(clock.now(), "skipped", wash))
    view = live.snapshot()
    assert obstacles(view, second, view.now) == []
    assert view.timetable.slots[second].start_at == clock.now()


# --- by brute force -----------------------------------------------------------------------------


@given(some.lists(some.integers(1, 9), min_size=1, max_size=4), some.integers(1, 4))
@settings(max_examples=20, deadline=None)
def test_the_earliest_service_is_that_of_the_best_order(lengths: list[int], wash: int) -> None:
    """Two pans, each dish in one of them, one cook who washes one pan at a time."""
    dishes = [
        dish(f"d{n}", step(f"d{n}", "braise", m, "unattended", uses=(Use("pan"),)))
        for n, m in enumerate(lengths)
    ]
    best = min(
        _service_of(order, pans, wash)
        for order in permutations(lengths)
        for pans in product((0, 1), repeat=len(lengths))
    )
    assert service(washed(*dishes, minutes=wash), PANS[2]) == best


def _service_of(order: tuple[int, ...], pans: tuple[int, ...], wash: int) -> int:
    """Each dish, in this order, in its pan as soon as that is there and, used before, washed."""
    free: dict[int, int] = {}
    hands = 0
    for minutes, pan in zip(order, pans, strict=True):
        if pan in free:
            hands = max(hands, free[pan]) + wash
            free[pan] = hands
        free[pan] = free.get(pan, 0) + minutes
    return max(free.values())


uses = some.lists(some.tuples(some.integers(1, 6), some.booleans()), min_size=1, max_size=3)


@given(some.lists(uses, min_size=2, max_size=3), some.integers(1, 2), some.integers(0, 40))
@settings(max_examples=15, deadline=None)
def test_any_menu_gives_a_plan_that_the_checker_passes(
    drawn: list[list[tuple[int, bool]]], pans: int, wanted: int
) -> None:
    dishes = []
    for d, chain in enumerate(drawn):
        steps = []
        for n, (minutes, used) in enumerate(chain):
            follows = after(steps[-1].key) if steps else ()
            what = (Use("pan"),) if used else ()
            steps.append(step(f"d{d}", f"s{n}", minutes, "watched", uses=what, follows=follows))
        dishes.append(dish(f"d{d}", *steps))
    of = washed(*dishes)
    made = plan_menu(of, PANS[pans], now=NOW, wanted_at=NOW + 60 * wanted)
    assert isinstance(made, Timetable)
    assert timetable_violations(of, PANS[pans], made) == []
    quick = repair(of, PANS[pans], made, now=NOW, wanted_at=NOW + 60 * wanted)
    assert isinstance(quick, Timetable)
    assert timetable_violations(of, PANS[pans], quick) == []

"""A step whose vessel is too small for all is done in batches."""

from dataclasses import replace
from itertools import groupby, pairwise

from hypothesis import given
from hypothesis import strategies as some
from small_cook import NOON, step, take_back

from domain.kitchen import Kitchen
from domain.menu import Dish, Follow, Mark, Menu, Step, Use, Way
from scheduling.batches import batch_name, in_batches
from scheduling.checker import timetable_violations
from scheduling.clock import SimulatedClock
from scheduling.compose import Timetable, plan_menu
from scheduling.events import Event
from scheduling.learned import cooked, offers
from scheduling.live_schedule import LiveSchedule, MemoryStore

KITCHEN = Kitchen("den", "The den", 2, (), {"pan": 1}, ("cook",))


def cakes(holds: int | None = 2, most_s: int | None = None, pans: int = 1) -> Menu:
    pan = (Use("ring"), Use("pan", pans, holds=holds))
    steps = (
        step("cakes", "mix", 5),
        step("cakes", "fry", 4, "watched", uses=pan, follows=(Follow("cakes/mix"),)),
        step("cakes", "plate", 1, follows=(Follow("cakes/fry", 0, most_s),)),
    )
    return Menu("supper", "Supper", 4, (Dish("cakes", "Leek cakes", 4, 900, (), steps),))


def chain(first: int | None, second: int | None, most_s: int | None = 60) -> Menu:
    """Two steps, the second after the first, with vessels that hold so many."""
    steps = (
        step("cakes", "fry", 4, "unattended", uses=(Use("pan", holds=first),)),
        step(
            "cakes",
            "bake",
            4,
            "unattended",
            uses=(Use("tray", holds=second),),
            follows=(Follow("cakes/fry", 0, most_s),),
        ),
    )
    return Menu("supper", "Supper", 4, (Dish("cakes", "Leek cakes", 4, 900, (), steps),))


def waits(menu: Menu, name: str) -> list[tuple[str, int | None]]:
    follows = menu.step(f"cakes/{name}").follows
    return [(follow.step.removeprefix("cakes/"), follow.most_s) for follow in follows]


def test_a_pan_for_two_is_filled_twice_for_four() -> None:
    made = in_batches(cakes(), 4)
    assert [s.name for s in made.steps] == ["mix", "fry", "fry, batch 2", "plate"]
    assert made.step("cakes/fry").say == "Fry the cakes. Batch 1 of 2."
    assert made.step("cakes/fry, batch 2").say == "Fry the cakes. Batch 2 of 2."
    assert made.step("cakes/fry, batch 2").also == ("fry",)


def test_two_pans_hold_twice_as_many() -> None:
    assert in_batches(cakes(pans=2), 4) == cakes(pans=2)


def test_what_holds_all_is_left_as_it_is() -> None:
    for menu in (cakes(holds=None), cakes(holds=4)):
        assert in_batches(menu, 4) == menu


def test_who_follows_waits_for_all_and_its_longest_gap_is_from_the_last() -> None:
    made = in_batches(cakes(most_s=60), 5)
    assert waits(made, "plate") == [("fry", None), ("fry, batch 2", None), ("fry, batch 3", 60)]


def test_only_the_first_batch_can_follow_at_once() -> None:
    made = in_batches(chain(None, 2), 4)
    assert waits(made, "bake") == [("fry", 60)]
    assert waits(made, "bake, batch 2") == [("fry", None)]


def test_a_batch_waits_for_those_that_fill_it() -> None:
    """Pans for two hold thirds of six people, trays for four hold halves."""
    made = in_batches(chain(2, 4), 6)
    # The second third of the servings goes on both trays.
    assert waits(made, "bake") == [("fry", None), ("fry, batch 2", 60)]
    assert waits(made, "bake, batch 2") == [("fry, batch 2", None), ("fry, batch 3", 60)]


def test_as_many_batches_go_one_by_one() -> None:
    made = in_batches(chain(2, 2), 4)
    assert waits(made, "bake") == [("fry", 60)]
    assert waits(made, "bake, batch 2") == [("fry, batch 2", 60)]


def test_the_smallest_vessel_of_any_way_decides() -> None:
    menu = cakes(holds=None)
    way = Way(
        "in the pot", "Poach them.", menu.steps[1].duration, "watched", (Use("pan", holds=2),)
    )
    fry = replace(menu.steps[1], ways=(way,))
    dish = replace(menu.dishes[0], steps=(menu.steps[0], fry, menu.steps[2]))
    made = in_batches(replace(menu, dishes=(dish,)), 4)
    assert made.step("cakes/fry, batch 2").done_by("in the pot").say == "Poach them. Batch 2 of 2."


def test_marks_stay_with_the_first_batch() -> None:
    menu = replace(cakes(), marks=(Mark("cakes/fry", 600),))
    assert in_batches(menu, 4).marks == menu.marks


@given(
    some.one_of(some.none(), some.integers(1, 9)),
    some.one_of(some.none(), some.integers(1, 9)),
    some.integers(1, 20),
)
def test_every_serving_is_in_a_batch_and_none_comes_before_its_own(first, second, people) -> None:
    made = in_batches(chain(first, second), people)
    assert in_batches(made, people) == made
    fries, bakes = (list(group) for _, group in groupby(made.steps, key=_origin))
    for steps, holds in ((fries, first), (bakes, second)):
        assert [s.batch for s in steps] == [(n + 1, len(steps)) for n in range(len(steps))]
        assert [s.name for s in steps] == [
            batch_name(_origin(s), n + 1) for n, s in enumerate(steps)
        ]
        if holds is not None:
            assert (len(steps) - 1) * holds < people <= len(steps) * holds
    total = {s.key: people * (n + 1) / len(fries) for n, s in enumerate(fries)}
    for n, bake in enumerate(bakes):
        waited = [follow.step for follow in bake.follows]
        assert max(total[key] for key in waited) >= people * (n + 1) / len(bakes) - 1e-9
        assert len(waited) == len(set(waited))
        assert sum(follow.most_s is not None for follow in bake.follows) <= 1
    assert {follow.step for bake in bakes for follow in bake.follows} == set(total)


def _origin(of: Step) -> str:
    return of.name.split(",")[0]


def test_one_pan_is_filled_in_turn() -> None:
    """Mix 5, fry 4 + 4 + 4 in the one pan, plate 1: 18 minutes."""
    menu = in_batches(cakes(), 6)
    made = plan_menu(menu, KITCHEN, now=NOON, wanted_at=None)
    assert isinstance(made, Timetable)
    assert made.proven
    assert timetable_violations(menu, KITCHEN, made) == []
    assert made.service_at - NOON == 18 * 60


def test_two_pans_are_used_side_by_side_and_in_order() -> None:
    """Mix 5, two pans at once for 4 minutes, then the third for 4, plate 1: 14 minutes."""
    menu, kitchen = in_batches(cakes(), 6), replace(KITCHEN, equipment={"pan": 2})
    made = plan_menu(menu, kitchen, now=NOON, wanted_at=None)
    assert isinstance(made, Timetable)
    assert timetable_violations(menu, kitchen, made) == []
    assert made.service_at - NOON == 14 * 60
    fries = [slot.start_at for key, slot in made.slots.items() if "fry" in key]
    assert all(one <= other for one, other in pairwise(fries))


def test_what_is_fried_first_waits_too() -> None:
    """A roast takes 30 minutes. Mix 5, fry 4 + 4 + 4: without a wait between them at 18, 22, 26."""
    roast = Dish("roast", "Roast", 4, 900, (), (step("roast", "roast", 30, "unattended"),))
    fried = cakes().dish("cakes")
    fried = replace(fried, steps=fried.steps[:2])
    menu = in_batches(replace(cakes(), dishes=(fried, roast)), 6)
    made = plan_menu(menu, KITCHEN, now=NOON, wanted_at=None)
    assert isinstance(made, Timetable)
    assert made.proven
    fries = sorted(slot.start_at for key, slot in made.slots.items() if "fry" in key)
    assert [(at - NOON) / 60 for at in fries] == [18, 22, 26]
    waiting = next(level for level in made.levels if level.name == "waiting")
    assert waiting.cost == (8 + 4 + 0) * 60  # of three parts, whose shares are equal


def test_the_checker_sees_batches_out_of_order() -> None:
    menu, kitchen = in_batches(cakes(), 4), replace(KITCHEN, equipment={"pan": 2})
    made = plan_menu(menu, kitchen, now=NOON, wanted_at=None)
    assert isinstance(made, Timetable)
    early, late = made.slots["cakes/fry"], made.slots["cakes/fry, batch 2"]
    slots = dict(made.slots)
    slots["cakes/fry"] = replace(late, key="cakes/fry", start_at=late.start_at + 9)
    slots["cakes/fry, batch 2"] = replace(early, key="cakes/fry, batch 2")
    found = timetable_violations(menu, kitchen, replace(made, slots=slots))
    assert "“cakes/fry, batch 2” begins before “cakes/fry”" in found


def live() -> LiveSchedule:
    made = LiveSchedule(cakes(), KITCHEN, SimulatedClock(NOON), MemoryStore())
    made.apply(Event(NOON, "cook_started"))
    return made


def test_more_people_at_table_are_more_batches_at_once() -> None:
    schedule = live()
    assert "cakes/fry, batch 3" not in schedule.snapshot().steps
    schedule.apply(Event(NOON, "servings_changed", value=6.0))
    view = schedule.snapshot()
    assert view.steps["cakes/fry, batch 3"].say == "Fry the cakes. Batch 3 of 3."
    assert "cakes/fry, batch 3" in view.timetable.slots
    take_back(schedule)
    assert "cakes/fry, batch 3" not in schedule.snapshot().timetable.slots


def test_what_a_batch_took_is_learned_of_the_step() -> None:
    """Six minutes, three times over, instead of four: to the written four by three tellings."""
    log = [
        Event(NOON, "cook_started", seq=1),
        Event(NOON + 300, "began", "cakes/fry", seq=2),
        Event(NOON + 660, "finished", "cakes/fry", seq=3),
    ]
    slow = replace(cakes().steps[1].duration, high_s=480)
    steps = tuple(replace(s, duration=slow) if s.name == "fry" else s for s in cakes().steps)
    menu = replace(cakes(), dishes=(replace(cakes().dishes[0], steps=steps),))
    (offer,) = offers(menu, [cooked(menu, log)] * 5)
    assert offer.key == "cakes/fry"
    assert offer.learned_s > 240

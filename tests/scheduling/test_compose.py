"""The kitchen's rules as timetables: tiny menus with numbers worked out beside them."""

from dataclasses import replace

import pytest
from home_menus import (
    HOME,
    NOW,
    OVEN,
    RICE,
    after,
    baked,
    dish,
    menu,
    service,
    start,
    step,
    timetable,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as some

from domain.cookbook import load_kitchen, load_menu
from domain.kitchen import Oven
from domain.menu import Mark, Menu, Use
from scheduling.batches import in_batches
from scheduling.checker import timetable_violations
from scheduling.compose import (
    NoTimetable,
    Progress,
    Timetable,
    all_steps,
    heating_steps,
    plan_menu,
    repair,
)


def test_as_soon_as_possible_is_the_chain() -> None:
    assert service(menu(RICE)) == 2 + 12 + 5


def test_before_a_service_as_late_as_can_be() -> None:
    made = timetable(menu(RICE), minutes=60)
    assert made.late_s == 0
    assert start(made, "rice/rinse") == 60 - 19
    assert made.ready_at == {"rice": NOW + 3600}


def test_an_impossible_service_gives_the_earliest_one() -> None:
    made = timetable(menu(RICE), minutes=10)
    assert made.late_s == (19 - 10) * 60
    assert made.service_at == NOW + 19 * 60


def test_one_cook_does_one_hands_on_step_at_a_time() -> None:
    two = menu(dish("a", step("a", "chop", 10)), dish("b", step("b", "chop", 7)))
    assert service(two) == 17
    assert service(two, replace(HOME, cooks=("one", "two"))) == 10
    pair = timetable(two, replace(HOME, cooks=("one", "two")))
    assert {slot.cook for slot in pair.slots.values()} == {"one", "two"}


def test_a_watched_pan_leaves_room_for_two_more_or_for_hands() -> None:
    # Attention of 4: four watched pans, or two and the hands. Five pans on five rings: two rounds.
    def pans(count: int) -> Menu:
        return menu(*(dish(f"d{n}", step(f"d{n}", "fry", 10, "watched")) for n in range(count)))

    assert service(pans(4)) == 10
    assert service(pans(5)) == 20
    chopping = dish("salad", step("salad", "chop", 10))
    assert service(menu(*pans(2).dishes, chopping)) == 10
    assert service(menu(*pans(3).dishes, chopping)) == 20


def test_rings_and_named_equipment_are_counted() -> None:
    boiling = [
        dish(f"d{n}", step(f"d{n}", "boil", 10, "unattended", uses=(Use("ring"),)))
        for n in range(3)
    ]
    assert service(menu(*boiling)) == 10
    assert service(menu(*boiling), replace(HOME, rings=2)) == 20
    potted = [
        dish(f"d{n}", step(f"d{n}", "boil", 10, "unattended", uses=(Use("pot"),))) for n in range(3)
    ]
    assert service(menu(*potted)) == 30


def test_the_oven_is_heated_first() -> None:
    # 200 °C from cold takes 12 min; 110 °C half the rise from 20 °C, so 6 min.
    made = timetable(menu(baked("roast", 30, 200)))
    assert made.service_at == NOW + 60 * (12 + 30)
    assert start(made, "oven/heat the oven to 200") == 0
    assert made.slots["oven/heat the oven to 200"].oven == "oven"
    assert service(menu(baked("meringue", 30, 110))) == 6 + 30


def test_shelves_are_counted() -> None:
    trays = [baked(name, 30, 200) for name in ("a", "b", "c")]
    assert service(menu(*trays[:2])) == 12 + 30
    assert service(menu(*trays)) == 12 + 30 + 30
    assert service(menu(baked("a", 30, 200, shelves=2), trays[1])) == 12 + 60


def test_temperatures_that_meet_share_the_oven_and_others_wait_for_the_change() -> None:
    # 200 ± 10 and 190 ± 10 meet. 200 ± 5 and 180 ± 5 do not: a change of 20 °C takes 2 min;
    # the cooler first: 160/180 of 12 min from cold is 10 min 40 s.
    near = menu(baked("a", 30, 200, tolerance=10), baked("b", 20, 190, tolerance=10))
    assert service(near) == 12 + 30
    assert len(heating_steps(near, HOME)) == 1
    apart = menu(baked("a", 30, 200), baked("b", 20, 180))
    made = timetable(apart)
    assert (made.service_at - NOW) / 60 == pytest.approx(10 + 40 / 60 + 20 + 2 + 30)
    assert (
        made.slots["oven/heat the oven to 200"].end_at
        - made.slots["oven/heat the oven to 200"].start_at
        == 120
    )


def test_a_dish_that_returns_to_a_temperature_heats_twice() -> None:
    # 220 for 20 min, 160 for 60, 220 for 10: 13 min 20 s from cold, 6 min for each change.
    uses = {c: (Use("oven", 1, c, 5),) for c in (220, 160)}
    roast = dish(
        "roast",
        step("roast", "sear", 20, "unattended", uses=uses[220]),
        step("roast", "cook", 60, "unattended", uses=uses[160], follows=after("roast/sear")),
        step("roast", "crisp", 10, "unattended", uses=uses[220], follows=after("roast/cook")),
    )
    made = timetable(menu(roast))
    assert (made.service_at - NOW) / 60 == pytest.approx(13 + 20 / 60 + 20 + 6 + 60 + 6 + 10)
    heats = [key for key in made.slots if key.startswith("oven/")]
    assert heats == [
        "oven/heat the oven to 220",
        "oven/heat the oven to 160",
        "oven/heat the oven to 220, 2",
    ]


def test_two_ovens_at_two_temperatures() -> None:
    second = Oven("small oven", 1, heat_s=900, change_s=60)
    kitchen = replace(HOME, ovens=(OVEN, second))
    apart = menu(baked("a", 30, 200), baked("b", 40, 180))
    # b in the faster oven: 10 min 40 s and 40; a in the small one: 15 and 30.
    made = timetable(apart, kitchen)
    assert (made.service_at - NOW) / 60 == pytest.approx(10 + 40 / 60 + 40)
    assert (made.slots["a/bake"].oven, made.slots["b/bake"].oven) == ("small oven", "oven")
    assert set(made.slots) == {
        "a/bake",
        "b/bake",
        "small oven/heat the oven to 200",
        "oven/heat the oven to 180",
    }


def test_gaps_have_a_least_and_a_most() -> None:
    dough = dish(
        "bread",
        step("bread", "knead", 10),
        step("bread", "shape", 5, follows=after("bread/knead", 60)),
    )
    assert service(menu(dough)) == 75
    leaves = dish(
        "leaves",
        step("leaves", "dry", 5),
        step("leaves", "dress", 2, follows=after("leaves/dry", 0, 3)),
    )
    made = timetable(menu(leaves, dough), minutes=100)
    assert start(made, "leaves/dress") - start(made, "leaves/dry") <= 5 + 3


def test_what_spoils_fastest_is_finished_last() -> None:
    # Both last steps take 2 min of the one cook: one dish waits 2 min. The salad spoils faster.
    stew = dish("stew", step("stew", "season", 2), spoils=1)
    salad = dish("salad", step("salad", "dress", 2), spoils=5)
    made = timetable(menu(stew, salad), minutes=30)
    assert made.ready_at == {"stew": NOW + 28 * 60, "salad": NOW + 30 * 60}
    turned = timetable(menu(replace(stew, spoils=9), salad), minutes=30)
    assert turned.ready_at["stew"] == NOW + 30 * 60


def test_a_hold_comes_before_what_spoils() -> None:
    # The tart holds 1 min only, so it is last, though the salad spoils five times as fast.
    tart = dish("tart", step("tart", "glaze", 2), hold=1)
    salad = dish("salad", step("salad", "dress", 2), spoils=5, hold=3)
    made = timetable(menu(tart, salad), minutes=30)
    assert made.ready_at["tart"] == NOW + 30 * 60
    assert made.levels[1].cost == 0


def test_marks_are_kept_and_colliding_ones_are_told() -> None:
    marks = (Mark("rice/boil", 600, "Show the boil"),)
    made = timetable(menu(RICE, marks=marks))
    assert start(made, "rice/boil") == 10
    # The rinse takes 2 min: the boil cannot be at minute 1.
    early = menu(RICE, marks=(Mark("rice/boil", 60, "Show the boil"),))
    none = plan_menu(early, HOME, now=NOW, wanted_at=None)
    assert isinstance(none, NoTimetable)
    assert "the mark of “boil” at 1 min; “rinse” (2 min)" in none.reasons[0]
    assert none.reasons[1:] == ("the mark “Show the boil” at 1 min is missed by 1 min",)
    assert none.earliest is not None
    assert start(none.earliest, "rice/boil") == 2


def test_what_the_kitchen_lacks_is_told() -> None:
    blended = menu(dish("soup", step("soup", "blend", 2, uses=(Use("blender"),))))
    assert plan_menu(blended, HOME, now=NOW, wanted_at=None) == NoTimetable(
        (
            "“blend” needs “blender”, which is not there; "
            "use another kitchen, or leave that dish out",
        )
    )
    bare = replace(HOME, ovens=())
    none = plan_menu(menu(baked("roast", 30, 200)), bare, now=NOW, wanted_at=None)
    assert isinstance(none, NoTimetable)
    assert "needs “oven”, which is not there" in none.reasons[0]


# --- while cooking ------------------------------------------------------------------------------


def test_what_is_done_is_kept_and_what_runs_is_waited_for() -> None:
    so_far = Progress(
        done={"rice/rinse": (NOW - 300, NOW - 180)},
        running={"rice/boil": (NOW - 120, NOW + 480)},
        started_at=NOW - 300,
    )
    made = timetable(menu(RICE), progress=so_far)
    assert made.slots["rice/rinse"].start_at == NOW - 300
    assert made.slots["rice/boil"].end_at == NOW + 480
    assert made.service_at == NOW + 480 + 300


def test_a_gap_that_is_already_too_long_is_told_and_not_refused() -> None:
    so_far = Progress(
        done={"rice/rinse": (NOW - 900, NOW - 800), "rice/boil": (NOW - 800, NOW - 120)},
        started_at=NOW - 900,
    )
    made = plan_menu(menu(RICE), HOME, now=NOW, wanted_at=None, progress=so_far)
    assert isinstance(made, Timetable)
    assert made.service_at == NOW + 300
    assert made.missed == (
        "“rest the rice” should come within 0 s of “boil the rice”; it is 2 min late",
    )


def test_skipped_steps_and_dropped_dishes_take_no_time() -> None:
    two = menu(RICE, dish("stew", step("stew", "simmer", 50, "unattended")))
    skipped = Progress(skipped=frozenset({"rice/rest"}), dropped=frozenset({"stew"}))
    made = timetable(two, progress=skipped)
    assert made.service_at == NOW + 14 * 60
    assert set(made.slots) == {"rice/rinse", "rice/boil"}


def test_fewer_rings_more_cooks() -> None:
    boiling = menu(
        *(
            dish(f"d{n}", step(f"d{n}", "boil", 10, "unattended", uses=(Use("ring"),)))
            for n in range(2)
        )
    )
    assert service(boiling, progress=Progress(equipment={"ring": 1})) == 20
    both_on = {f"d{n}/boil": (NOW - 60, NOW + 540) for n in range(2)}
    lost = Progress(running=both_on, equipment={"ring": 1})
    made = plan_menu(boiling, HOME, now=NOW, wanted_at=None, progress=lost)
    assert isinstance(made, Timetable)
    assert made.service_at == NOW + 540
    chopping = menu(*(dish(f"d{n}", step(f"d{n}", "chop", 10)) for n in range(2)))
    assert service(chopping, progress=Progress(cooks=2)) == 10


def test_a_hot_oven_needs_no_heating_and_a_heating_one_is_waited_for() -> None:
    roast = menu(baked("roast", 30, 200))
    hot = Progress(done={"oven/heat the oven to 200": (NOW - 720, NOW)})
    assert service(roast, progress=hot) == 30
    heating = Progress(running={"oven/heat the oven to 200": (NOW - 300, NOW + 420)})
    assert service(roast, progress=heating) == 7 + 30


SAMPLES = ("bench-half-hour", "boat-shed-supper", "harbour-supper", "ridge-sunday")


def sample(name: str) -> Menu:
    """A sample menu as it is planned."""
    of = load_menu(name)
    return in_batches(of, of.servings)


@pytest.mark.parametrize("name", SAMPLES)
@pytest.mark.parametrize("minutes", [None, 30, 300])
def test_sample_menus_are_proven(name: str, minutes: int | None) -> None:
    of = sample(name)
    kitchen = load_kitchen(of.kitchen or "home")
    if of.marks and minutes == 300:
        minutes = 30  # the marks are for a half hour
    made = timetable(of, kitchen, minutes, limit_s=30)
    assert {slot.key for slot in made.slots.values()} <= {s.key for s in all_steps(of, kitchen)}
    assert made.missed == ()


def so_far(made: Timetable, at: float) -> Progress:
    """All as planned up to a moment."""
    return Progress(
        done={k: (s.start_at, s.end_at) for k, s in made.slots.items() if s.end_at <= at},
        running={
            k: (s.start_at, s.end_at - sum(b - a for a, b in s.breaks if a > at))
            for k, s in made.slots.items()
            if s.start_at <= at < s.end_at
        },
        started_at=NOW,
        ovens={k: s.oven for k, s in made.slots.items() if s.oven},
        ways={k: s.way for k, s in made.slots.items() if s.way},
    )


@given(some.sampled_from(SAMPLES), some.floats(0, 1), some.integers(0, 900))
@settings(max_examples=12, deadline=None)
def test_mid_cook_a_repair_is_valid_and_a_plan_is_no_worse(
    name: str, share: float, longer_s: int
) -> None:
    of = sample(name)
    kitchen = load_kitchen(of.kitchen or "home")
    first = plan_menu(of, kitchen, now=NOW, wanted_at=None)
    assert isinstance(first, Timetable)
    at = NOW + share * (first.service_at - NOW)
    # What lies still just then is put down, which the live schedule's own tests are about.
    assume(not any(a <= at < b for slot in first.slots.values() for a, b in slot.breaks))
    progress = so_far(first, at)
    late = {key: (began, ends + longer_s) for key, (began, ends) in progress.running.items()}
    progress = replace(progress, running=late)
    quick = repair(of, kitchen, first, now=at, wanted_at=None, progress=progress)
    better = plan_menu(
        of, kitchen, now=at, wanted_at=None, progress=progress, hint=quick, limit_s=10
    )
    assert isinstance(better, Timetable)
    assert isinstance(quick, Timetable)
    for made in (quick, better):
        broken = timetable_violations(of, kitchen, made, progress)
        assert len(broken) == sum("mark" not in missed for missed in made.missed)
    missed = [level.cost for made in (better, quick) for level in made.levels[:1]]
    if missed[0] == missed[1]:
        assert better.service_at <= quick.service_at + 1


@given(some.integers(1, 5000))
@settings(max_examples=8, deadline=None)
def test_a_later_service_shifts_the_plan(by_minutes: int) -> None:
    of = menu(RICE, baked("roast", 30, 200), baked("tart", 20, 180))
    first, later = timetable(of, minutes=90), timetable(of, minutes=90 + by_minutes)
    assert [level.cost for level in later.levels] == [level.cost for level in first.levels]
    for key, slot in first.slots.items():
        assert later.slots[key].end_at - slot.end_at == 60 * by_minutes


@given(some.sampled_from(["ring", "large pan", "small pan"]))
@settings(max_examples=3, deadline=None)
def test_losing_a_thing_never_makes_service_earlier(thing: str) -> None:
    of = load_menu("harbour-supper")
    kitchen = load_kitchen("home")
    count = {"ring": kitchen.rings, **kitchen.equipment}[thing]
    fewer = plan_menu(
        of, kitchen, now=NOW, wanted_at=None, progress=Progress(equipment={thing: count - 1})
    )
    if isinstance(fewer, Timetable):
        assert fewer.service_at >= timetable(of, kitchen).service_at

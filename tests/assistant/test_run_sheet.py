"""What is on a run sheet."""

from dataclasses import replace

from sheets import (
    BARLEY,
    ENDS,
    HEAT,
    KITCHEN,
    MENU,
    MINUTE,
    ROOTS,
    SERVICE,
    SIX,
    STARTS,
    crowd,
    in_courses,
    move,
    sheet,
    timetable,
    with_a_break,
)  # fmt: skip

from assistant.run_sheet import run_sheet
from assistant.run_sheet_svg import as_svg
from assistant.run_sheet_text import as_text
from domain.menu import Dish, Duration, Menu, Step, Use, Way
from scheduling.compose import Progress, Timetable, plan_menu

PAN = Use("pan")


def test_every_slot_is_a_move_in_order_of_time():
    moves = sheet().moves
    assert {m.step.key for m in moves} == set(STARTS)
    assert [m.start_at for m in moves] == sorted(m.start_at for m in moves)


def test_a_moves_lane_gate_mark_and_oven():
    made = sheet()
    assert made.lane(move(made, "barley/simmer")).title == "Herbed barley"
    assert move(made, "barley/simmer").gate == "until it is tender"
    assert move(made, "roots/cut").mark == "Show it."
    assert move(made, "roots/toss").rings == 2
    assert move(made, HEAT).name == "set the oven to 200 °C"
    assert made.lane(move(made, HEAT)) is None


def test_who_must_set_something_going():
    made = sheet()
    begun = {m.step.key for m in made.moves if m.begins}
    assert begun == {HEAT, "roots/cut", "barley/rinse", "barley/fluff"}


def test_an_oven_spell_lasts_until_nothing_bakes_at_it():
    (spell,) = sheet().spells
    assert (spell.start_at, spell.hot_at, spell.end_at) == (SIX, SIX + 600, SIX + 1800)
    assert spell.degrees == "200 °C"
    (spell,) = sheet(units="us").spells
    assert spell.degrees == "400 °F"


def test_hands_are_free_between_the_last_and_the_next_thing_that_needs_a_cook():
    assert sheet().breaks == ((SIX + 10 * MINUTE, SIX + 30 * MINUTE),)


def test_live_times_and_standing_take_the_place_of_the_plan():
    progress = Progress(done={"roots/cut": (SIX - 60, SIX + 60)}, skipped=frozenset({HEAT}))
    made = run_sheet(MENU, KITCHEN, timetable(), progress=progress, now=SIX + 90)
    assert move(made, "roots/cut").status == "done"
    assert move(made, "roots/cut").start_at == SIX - 60
    assert HEAT not in {m.step.key for m in made.moves}


def test_a_dropped_dish_leaves_the_sheet_and_letters_stay():
    progress = Progress(dropped=frozenset({"barley"}))
    made = run_sheet(MENU, KITCHEN, timetable(), progress=progress)
    assert [(lane.letter, lane.name) for lane in made.lanes] == [("B", "roots")]
    assert all(m.step.dish != "barley" for m in made.moves)


def test_late_service_is_told():
    made = run_sheet(MENU, KITCHEN, timetable(late_s=600, missed=("The rice stands too long.",)))
    for written in (as_text(made), as_text(made, plain=True), as_svg(made)):
        assert "Not by 18:26: 18:36 is the earliest." in written
        assert "The rice stands too long." in written


def test_the_dishes_ready_times_are_those_of_the_plan():
    assert {lane.name: lane.ready_at for lane in sheet().lanes} == ENDS


def test_without_courses_service_is_all_there_is():
    assert [(one.at, one.name) for one in sheet().courses] == [(SERVICE, "service")]


def test_each_course_has_its_moment_and_its_dishes():
    before = SERVICE - 3 * MINUTE
    assert [(one.at, one.name) for one in in_courses(-3).courses] == [
        (before, "serve: Roast roots"),
        (SERVICE, "service: Herbed barley"),
    ]
    assert in_courses(-3).end_at == SERVICE
    assert in_courses(4).end_at == SERVICE + 4 * MINUTE


def test_several_dishes_of_a_course_are_told_by_letter_where_titles_are_too_many():
    menu, plan = crowd(3)
    at = plan.service_at
    plan = replace(plan, serve_at={"d0": at - MINUTE, "d1": at, "d2": at})
    assert [one.short for one in run_sheet(menu, KITCHEN, plan).courses] == [
        "serve: Dish 0",
        "service: B, C",
    ]


def test_a_step_with_a_break_has_a_line_for_each_part():
    parts = [m for m in with_a_break().moves if m.step.key == "roots/cut"]
    assert [(m.start_at - SIX, m.end_at - SIX, m.name) for m in parts] == [
        (0, 3 * MINUTE, "cut"),
        (5 * MINUTE, 10 * MINUTE, "go on: cut"),
    ]
    assert [m.mark for m in parts] == ["Show it.", ""]
    assert len({m.key for m in with_a_break().moves}) == len(STARTS) + 1


def other_way():
    """The sheet of a menu whose roots can be fried, and are."""
    fried = Way("in a pan", "Fry them.", Duration(600, 600, 600), "watched", (Use("ring"),))
    cut, roast, toss = ROOTS.steps
    roots = replace(ROOTS, steps=(cut, replace(roast, ways=(fried,)), toss))
    plan = timetable()
    slot = replace(plan.slots["roots/roast"], way="in a pan", oven=None)
    slots = {k: s for k, s in (plan.slots | {slot.key: slot}).items() if k != HEAT}
    return run_sheet(replace(MENU, dishes=(BARLEY, roots)), KITCHEN, replace(plan, slots=slots))


def test_a_step_is_shown_in_the_way_it_was_planned():
    fry = move(other_way(), "roots/roast")
    assert (fry.way, fry.say, fry.attention, fry.rings) == ("in a pan", "Fry them.", "watched", 1)
    assert "roast, in a pan  [ring]" in as_text(other_way(), width=100)


def test_washing_up_stands_in_the_lane_of_the_dish_that_leaves_it() -> None:
    ten = Duration(600, 600, 600)
    dishes = tuple(
        Dish(d, d.title(), 4, 900, (), (Step("fry", d, f"Fry the {d}.", ten, "watched", (PAN,)),))
        for d in ("leeks", "mushrooms")
    )
    menu = Menu("supper", "Supper", 4, dishes, wash_up={"pan": 120})
    kitchen = replace(KITCHEN, equipment={"pan": 1})
    made = plan_menu(menu, kitchen, now=SIX, wanted_at=None)
    assert isinstance(made, Timetable)
    of = run_sheet(menu, kitchen, made)
    first, wash, _ = of.moves
    assert (wash.say, wash.letter) == ("Wash the pan.", first.letter)
    assert f"wash the pan after {first.step.dish}" in as_text(of)
    assert "wash the pan" in as_svg(of)

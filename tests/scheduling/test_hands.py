"""What is put down for other hands-on work stands still meanwhile."""

from dataclasses import replace

from small_cook import KITCHEN, NOON, step

from domain.menu import Dish, Menu
from scheduling.dispatch import due_events
from scheduling.events import Event
from scheduling.live import fold
from scheduling.obstacles import obstacles
from scheduling.queries import next_steps, time_left
from scheduling.refusals import refuse
from scheduling.timetable import Slot, Timetable
from scheduling.view import View

CHOP = step("salad", "chop", 10, pausable=True)
TURN = step("salad", "turn", 2)
MENU = Menu("lunch", "Lunch", 2, (Dish("salad", "Salad", 2, 600, (), (CHOP, TURN)),))
PLAN = Timetable(
    {
        "salad/chop": Slot(
            "salad/chop", NOON, NOON + 720, "cook", breaks=((NOON + 300, NOON + 420),)
        ),
        "salad/turn": Slot("salad/turn", NOON + 300, NOON + 420, "cook"),
    },
    NOON + 720,
    None,
    {},
)


def view_at(seconds: float, *events: Event, timetable=PLAN, cooks=1) -> View:
    log = [replace(event, seq=n + 1) for n, event in enumerate(events)]
    state = fold(MENU, log, cooks=cooks)
    steps = {s.key: s for s in MENU.steps}
    return View(MENU, KITCHEN, steps, state, timetable, NOON + seconds, NOON)


STARTED = Event(NOON, "cook_started")
CHOPS = Event(NOON, "began", "salad/chop")
TURNS = Event(NOON + 300, "began", "salad/turn")
TURNED = Event(NOON + 420, "finished", "salad/turn")


def test_a_step_put_down_is_longer_by_as_long_as_it_lay_still() -> None:
    assert time_left(view_at(300, CHOPS), "salad/chop") == 300
    assert time_left(view_at(400, CHOPS, TURNS), "salad/chop") == 300
    assert time_left(view_at(480, CHOPS, TURNS, TURNED), "salad/chop") == 240
    assert view_at(480, CHOPS, TURNS, TURNED).planned_end_of("salad/chop") == NOON + 720


def test_with_two_cooks_nothing_is_put_down() -> None:
    assert time_left(view_at(400, CHOPS, TURNS, cooks=2), "salad/chop") == 200


def test_the_planned_break_is_in_the_planned_end() -> None:
    for at, told in ((100, [CHOPS]), (350, [CHOPS, TURNS])):
        assert view_at(at, *told).planned_end_of("salad/chop") == NOON + 720


def test_a_pause_meanwhile_counts_once() -> None:
    pause, go_on = Event(NOON + 360, "paused"), Event(NOON + 660, "resumed")
    state = view_at(700, CHOPS, TURNS, pause, go_on, replace(TURNED, at=NOON + 720)).state
    assert state.steps["salad/chop"].still_s == 420  # from 300 s to 720 s
    assert state.steps["salad/chop"].extra_s == 0


def test_a_beginning_told_later_than_the_clock_took_it_puts_down_later() -> None:
    by_clock = replace(TURNS, by="clock")
    state = view_at(400, CHOPS, by_clock, replace(TURNS, at=NOON + 360)).state
    assert state.steps["salad/chop"].put_down_at == NOON + 360
    assert state.steps["salad/chop"].still_s == 0


def test_other_work_begins_in_the_planned_break_and_not_before() -> None:
    early = view_at(299, STARTED, CHOPS)
    assert [o.kind for o in obstacles(early, "salad/turn", early.now)] == ["cook"]
    (event,) = due_events(view_at(300, STARTED, CHOPS))
    assert (event.subject, event.at) == ("salad/turn", NOON + 300)


def test_steps_due_at_one_moment_come_in_the_plans_order() -> None:
    zest, arrange = step("salad", "zest", 2), step("salad", "arrange", 2)
    menu = replace(MENU, dishes=(replace(MENU.dishes[0], steps=(arrange, zest)),))
    slots = {s.key: Slot(s.key, NOON, NOON + 120, "cook") for s in (zest, arrange)}
    steps = {s.key: s for s in menu.steps}
    state = fold(menu, [replace(STARTED, seq=1)])
    view = View(menu, KITCHEN, steps, state, Timetable(slots, NOON, None, {}), NOON + 5, NOON)
    assert [s.name for s in next_steps(view, 2)] == ["zest", "arrange"]
    assert due_events(view)[0].subject == "salad/zest"


# --- put down by the cook -----------------------------------------------------------------------

DOWN = Event(NOON + 200, "put_down", "salad/chop")
UP = Event(NOON + 500, "taken_up", "salad/chop")


def test_what_the_cook_puts_down_lies_still_until_it_is_taken_up() -> None:
    # 200 s are done; 300 s it lies still, whatever else is begun and done meanwhile.
    meanwhile = replace(TURNS, at=NOON + 220), replace(TURNED, at=NOON + 340)
    view = view_at(400, CHOPS, DOWN, *meanwhile)
    assert view.state.steps["salad/chop"].put_down_at == NOON + 200
    assert time_left(view, "salad/chop") == 400
    view = view_at(600, CHOPS, DOWN, *meanwhile, UP)
    assert view.state.steps["salad/chop"].still_s == 300
    assert time_left(view, "salad/chop") == 300


def test_putting_down_is_taken_back_and_told_why_not() -> None:
    undone = Event(NOON + 230, "undone", value=2.0)
    assert view_at(300, CHOPS, DOWN, undone).state.steps["salad/chop"].put_down_at is None

    def why_not(event: Event, *events: Event) -> str | None:
        view = view_at(600, *events)
        return refuse(view.steps, view.state, event)

    assert why_not(DOWN) == "“chop” is not under way."
    assert why_not(DOWN, CHOPS, replace(DOWN, at=NOON + 100)) == "“chop” lies still already."
    assert why_not(replace(DOWN, subject="salad/turn"), TURNS) == "“turn” cannot be broken off."
    assert why_not(UP, CHOPS) == "“chop” does not lie still."
    assert why_not(UP, CHOPS, DOWN, TURNS) == "Your hands are busy with “turn”."
    assert why_not(UP, CHOPS, DOWN) is None


def test_what_only_the_clock_began_gives_way_to_what_the_cook_takes_up() -> None:
    view = view_at(600, CHOPS, DOWN, replace(TURNS, by="clock"), UP)
    assert view.state.steps["salad/chop"].moves
    assert view.state.steps["salad/turn"].status == "waiting"


def test_of_two_steps_the_one_that_the_cook_takes_up_goes_on() -> None:
    peel = step("salad", "peel", 10, pausable=True)
    menu = replace(MENU, dishes=(replace(MENU.dishes[0], steps=(CHOP, peel, TURN)),))
    peels = Event(NOON + 300, "began", "salad/peel")
    log = [replace(e, seq=n) for n, e in enumerate((CHOPS, DOWN, peels, UP), 1)]
    state = fold(menu, log)
    assert state.steps["salad/chop"].put_down_at is None
    assert state.steps["salad/peel"].put_down_at == NOON + 500


def test_of_two_cooks_the_one_whom_the_plan_gives_other_work_puts_down_her_own() -> None:
    peel = step("salad", "peel", 10, pausable=True)
    menu = replace(MENU, dishes=(replace(MENU.dishes[0], steps=(CHOP, peel, TURN)),))
    peels = Event(NOON + 60, "began", "salad/peel", note="Bo")
    log = [replace(CHOPS, note="Ana"), peels, replace(TURNS, note="Bo")]
    state = fold(menu, [replace(e, seq=n) for n, e in enumerate(log, 1)], cooks=2)
    assert state.steps["salad/chop"].put_down_at is None
    assert state.steps["salad/peel"].put_down_at == NOON + 300

"""How long things took, and what to change next time, with the figures of this cook."""

import pytest
from kitchen import dish, kitchen

from domain.phrasing import duration_shown
from scheduling.events import Event
from scheduling.queries import pace_s

CHICKEN = dish("chicken-and-fennel", "the chicken")
FENNEL = "chicken-and-fennel/cut the fennel"


@pytest.fixture
def here():
    return kitchen()


def test_a_step_that_took_twice_its_time_is_a_lesson(here):
    here.until(FENNEL)
    here.wait(10)
    here.ask("report_done", "done")
    # 5 minutes planned, 10 taken; service then falls later than first planned
    told = here.ask("next_time", "what should I change next time")
    assert "Plan longer for “cut the fennel”: 10 min, not 5 min." in (
        told.shown + " " + told.more_shown
    )


def test_a_step_within_a_fifth_of_its_time_is_none(here):
    here.until(FENNEL)
    here.wait(5.5)
    here.ask("report_done", "done")
    told = here.ask("next_time", "what should I change next time")
    assert "fennel" not in told.shown + told.more_shown


def test_a_service_that_the_cook_moved_is_told_and_is_no_lateness(here):
    here.ask("move_service", "we eat at half past eight")
    told = here.ask("next_time", "what would you change")
    assert told.shown == "Service was moved, to 20:30 in the end."


def test_what_came_later_than_planned_is_lateness(here):
    here.until(FENNEL)
    here.wait(25)  # the fennel takes 20 minutes longer than planned
    late = pace_s(here.live.snapshot())
    assert late > 600
    told = here.ask("next_time", "what would you change").shown
    assert told == f"Start {duration_shown(late)} earlier: we are that late."


def test_what_was_left_out_is_told(here):
    here.live.apply(Event(here.clock.now(), "dish_dropped", "honey-pears"))
    told = here.ask("next_time", "how did it go")
    assert told.shown == "Left out: baked pears with honey and walnuts."


def test_the_time_of_a_dish_is_compared_with_its_plan(here):
    here.until(FENNEL)
    here.wait(7)
    here.ask("report_done", "done")
    here.wait(3.5)
    here.ask("report_done", "done")
    # 7 of 5 and 3.5 of 3.5 minutes
    assert here.ask("took", "how long did the chicken take", CHICKEN).shown == (
        "11 min, 2 min longer than planned."
    )


def test_which_took_longest(here):
    here.until(FENNEL)
    here.wait(7)
    here.ask("report_done", "done")
    told = here.ask("took", "which step took longest").shown
    assert told.startswith("The longest: ")

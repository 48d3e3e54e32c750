"""What the cook reports changes the plan, and only what was reported."""

import pytest
from kitchen import dish, kitchen, step

from assistant.amounts import find_amounts
from assistant.answer import ANSWERS
from assistant.answer_reports import gate_said
from assistant.meaning import Understood


@pytest.fixture
def here():
    return kitchen()


def status(here, key):
    return here.live.snapshot().state.steps[key].status


def test_done_ends_the_step_in_hand_and_begins_the_next(here):
    here.until("chicken-and-fennel/cut the fennel")
    here.wait(5)  # its likely time
    assert here.ask("report_done", "done").spoken == "Done: cut the fennel."
    here.live.tick()
    assert status(here, "chicken-and-fennel/cut the fennel") == "done"
    assert status(here, "chicken-and-fennel/season the chicken") == "running"


def test_a_gate_is_heard_in_its_own_words(here):
    here.until("white-rice/bring the rice to the boil")
    assert gate_said("the rice is boiling", here.scene()).key == (
        "white-rice/bring the rice to the boil"
    )
    assert gate_said("the radio is boring", here.scene()) is None


def test_it_boils_starts_what_waited_for_it(here):
    here.until("white-rice/bring the rice to the boil")
    here.ask("report_gate", "the rice is boiling")
    assert status(here, "white-rice/simmer the rice") == "running"


def test_needs_longer_moves_its_end(here):
    here.until("white-rice/simmer the rice")
    left = here.ask("time_left", "left", dish("white-rice")).shown
    here.ask("report_longer", "three more minutes for the rice", dish("white-rice"))
    assert left.startswith("15 min left")
    assert here.ask("time_left", "left", dish("white-rice")).shown.startswith("18 min left")


def test_undo_takes_back_the_last_report(here):
    here.until("chicken-and-fennel/cut the fennel")
    here.ask("report_done", "done")
    here.ask("undo", "undo that")
    assert status(here, "chicken-and-fennel/cut the fennel") == "running"


def test_pause_and_carry_on_shift_the_plan(here):
    here.until("chicken-and-fennel/cut the fennel")
    before = here.live.snapshot().timetable.service_at
    here.ask("pause_cook", "hold on")
    here.wait(5)
    here.ask("carry_on", "carry on")
    moved = here.live.snapshot().timetable.service_at - before
    assert 4 * 60 <= moved <= 6 * 60


def test_a_step_is_put_down_and_taken_up_by_its_name():
    here, key = kitchen(menu="boat-shed-supper"), "pea-soup/shell the peas"
    here.until(key)
    here.wait(2)
    assert (
        here.ask("pause_cook", "pause the peas", step(key)).spoken
        == "Left for now: shell the peas."
    )
    assert here.live.snapshot().state.paused_at is None
    here.wait(3)
    assert here.live.snapshot().state.steps[key].aside
    assert here.ask("carry_on", "carry on").spoken == "Going on: shell the peas."
    standing = here.live.snapshot().state.steps[key]
    assert (standing.put_down_at, standing.still_s) == (None, 180)
    assert here.ask("carry_on", "carry on").spoken == "We are going already."


def test_what_cannot_be_broken_off_pauses_everything(here):
    key = "chicken-and-fennel/cut the fennel"
    here.until(key)
    here.ask("pause_cook", "pause the fennel", step(key))
    assert here.live.snapshot().state.paused_at is not None


def test_skipping_leaves_a_step_out(here):
    key = "honey-pears/chop the walnuts"
    assert here.ask("skip_step", "skip the walnuts", step(key)).spoken.startswith("Left out")
    assert status(here, key) == "skipped"


def test_a_thing_not_begun_is_not_done(here):
    reply = here.ask("report_done", "x", step("honey-pears/finish the pears"))
    assert reply.events == ()
    assert reply.spoken.startswith("Not begun yet")


@pytest.mark.parametrize(
    "said",
    [
        "that needs three days",
        "needs 3 days longer",
        "needs zero more minutes",
        "needs minus five minutes",
        "needs -5 minutes",
        "needs 25 more hours",
        "needs a million minutes",
    ],
)
def test_no_step_needs_nothing_or_days(said):
    here = kitchen()
    understood = Understood(said, "report_longer", 1.0, find_amounts(said, "metric", here.now()))
    (event,) = ANSWERS["report_longer"](understood, here.scene()).events
    before = here.live.events()
    outcome = here.live.apply(event)
    assert outcome.refused is not None
    assert outcome.refused.endswith("Say a time of up to a day.")
    assert here.live.events() == before


def test_no_step_is_made_shorter():
    reply = kitchen().ask("report_longer", "that needs five minutes less")
    assert reply.events == ()
    assert reply.spoken == "I only add time. Say when it is done, and I go on from there."


def test_begun_with_nothing_named_is_the_step_just_called(here):
    key = "chicken-and-fennel/cut the fennel"  # five minutes, begun by the clock
    here.until(key)
    here.wait(1)
    assert here.ask("report_begun").spoken == "Noted, you have begun: cut the fennel."
    standing = here.live.snapshot().state.steps[key]
    assert (standing.began_at, standing.began_by) == (here.clock.now(), "cook")


def test_begun_with_nothing_named_late_in_a_step_is_the_next(here):
    here.until("chicken-and-fennel/cut the fennel")
    here.wait(4)
    assert here.ask("report_begun").spoken == "Noted, you have begun: season the chicken."

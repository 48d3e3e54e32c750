"""What the cook reports changes the plan, and only what was reported."""

import pytest
from kitchen import dish, kitchen, step

from assistant.answer_reports import gate_said
from scheduling.events import Event


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


def test_service_moves_to_a_clock_time_and_by_a_length(here):
    here.ask("move_service", "let's eat at half past seven")
    assert here.ask("when_eat").shown.startswith("We eat at 19:30")
    here.ask("move_service", "ten minutes later")
    assert here.ask("when_eat").shown.startswith("We eat at 19:40")
    here.ask("move_service", "five minutes earlier please")
    assert here.ask("when_eat").shown.startswith("We eat at 19:35")


def test_skipping_leaves_a_step_out(here):
    key = "honey-pears/chop the walnuts"
    assert here.ask("skip_step", "skip the walnuts", step(key)).spoken.startswith("Left out")
    assert status(here, key) == "skipped"


def test_dropping_a_dish_asks_first(here):
    reply = here.ask("drop_dish", "leave out the pears", dish("honey-pears"))
    assert reply.events == ()
    assert reply.question is not None
    meant = reply.question.choices[0][1]
    assert meant.by == "confirmed"


def test_another_cook_never_makes_it_later(here):
    before = here.live.snapshot().timetable.service_at
    here.ask("cook_joined", "my sister is helping")
    assert len(here.live.snapshot().kitchen.cooks) == 2
    assert here.live.snapshot().timetable.service_at <= before


def test_more_and_fewer_guests(here):
    assert here.ask("change_servings", "we are six").spoken.startswith("Now for 6.")
    assert here.ask("change_servings", "two more guests").spoken.startswith("Now for 8.")
    assert here.ask("change_servings", "three fewer people").spoken.startswith("Now for 5.")


def test_a_thing_not_begun_is_not_done(here):
    reply = here.ask("report_done", "x", step("honey-pears/finish the pears"))
    assert reply.events == ()
    assert reply.spoken.startswith("Not begun yet")


def test_spoilt_first_makes_it_safe(here):
    assert here.ask("report_spoilt", "it is burnt").spoken.startswith("First turn the heat off")


def test_service_moved_far_away_leaves_the_cook_in_peace(here):
    now = here.clock.now()
    moved = Event(now, "service_moved", value=now + 6 * 3600)
    after = here.live.what_if(moved).after  # by the quick repair, which is what acts at first
    by_hand = [
        s for s in after.timetable.slots.values() if after.steps[s.key].attention == "hands-on"
    ]
    assert min(slot.start_at for slot in by_hand) > now + 4 * 3600

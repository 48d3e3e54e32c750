"""Time left, ready, pace and timers, from the live plan of a sample menu."""

import pytest
from kitchen import SIX, dish, kitchen

RICE = dish("white-rice", "the rice")


@pytest.fixture
def here():
    return kitchen()


def test_time_left_of_what_runs(here):
    here.until("white-rice/simmer the rice")
    here.wait(3)
    # 15 minutes of simmering, 3 of them gone
    assert here.ask("time_left", "how long left", RICE).shown.startswith("12 min left")


def test_time_left_of_what_has_not_begun_tells_when(here):
    assert here.ask("time_left", "how long left", RICE).shown.startswith("Not begun: rinse the")


def test_a_follow_up_keeps_the_topic(here):
    here.ask("time_left", "how long left on the rice", RICE)
    assert "rice" in here.ask("when_ready", "and when is it ready").shown


def test_when_we_eat_is_the_planned_service(here):
    service = here.live.snapshot().timetable.service_at
    minutes = round((service - SIX) / 60)
    assert minutes == 63  # proven optimum of the sample as soon as possible
    assert here.ask("when_eat").shown == "We eat at 19:03, in 1 h 3 min."


def test_will_make_compares_with_the_plan(here):
    assert here.ask("will_make", "will we make half past seven").spoken.startswith("Yes")
    assert here.ask("will_make", "will we make quarter to seven").spoken.startswith("No")


def test_falling_behind_shows_in_the_pace(here):
    here.wait(20)  # the fennel is in hand all the while, nothing is reported
    assert "behind" in here.ask("pace").spoken


def test_what_time_it_is(here):
    assert here.ask("what_time").shown == "It is 18:00."


def test_timers_are_set_told_changed_and_cancelled(here):
    assert here.ask("timer_set", "set a timer for ten minutes").shown == (
        "Timer set: 10 min, until 18:10."
    )
    here.wait(4)
    assert here.ask("timer_left", "timers").shown == "Timers: timer, 6 min."
    assert here.ask("timer_change", "add five minutes").shown == "Timer: 11 min now."
    assert here.ask("timer_change", "take off one minute").shown == "Timer: 10 min now."
    here.ask("timer_set", "and another for 3 minutes")
    assert here.ask("timer_cancel", "cancel the timer").shown.startswith("Which one")
    assert here.ask("timer_cancel", "cancel all timers").shown == "Cancelled: timer 2, timer."
    assert here.ask("timer_left", "timers").shown == "No timer is running."


@pytest.mark.parametrize(
    ("said", "told"),
    [  # four minutes after it was set for ten
        ("the timer should be seven minutes", "Timer, 7 min: 3 min left, until 18:07."),
        ("the timer should have been three minutes", "Timer, 3 min: time is up."),
        ("change the timer to seven minutes", "Timer, 7 min: 7 min left, until 18:11."),
        ("make the timer twelve minutes", "Timer, 12 min: 12 min left, until 18:16."),
        ("make that timer two minutes longer", "Timer: 8 min now."),
        ("add two minutes to the timer", "Timer: 8 min now."),
    ],
)
def test_a_timer_is_made_so_long_or_longer_by_so_much(here, said, told):
    here.ask("timer_set", "set a timer for ten minutes")
    here.wait(4)
    assert here.ask("timer_change", said).shown == told


def test_how_long_a_timer_should_be_counts_from_when_it_was_set_however_often_it_is_changed(here):
    here.ask("timer_set", "set a timer for ten minutes")
    here.wait(4)
    here.ask("timer_change", "the timer should be seven minutes")
    here.wait(1)
    said = here.ask("timer_change", "the timer should be nine minutes").shown
    assert said == "Timer, 9 min: 4 min left, until 18:09."


def test_a_timer_that_should_be_there_for_another_thing_is_set_and_no_other_changed(here):
    here.ask("timer_set", "set a timer for ten minutes")
    here.wait(4)
    said = here.ask("timer_change", "the timer for the rice should be seven minutes", RICE).shown
    assert said == "Rice timer set: 7 min, until 18:11."
    assert here.ask("timer_left").shown == "Timers: timer, 6 min; rice timer, 7 min."


def test_a_timer_is_named_after_its_thing(here):
    assert here.ask("timer_set", "time the rice for 5 minutes", RICE).shown.startswith(
        "Rice timer set"
    )


def test_remind_me_at_a_clock_time(here):
    assert "at 18:30" in here.ask("remind_me", "remind me at half past six").shown


def test_no_duration_asks_for_one(here):
    assert here.ask("timer_set", "set a timer").spoken == "For how long?"

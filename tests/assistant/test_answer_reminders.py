"""Reminders at a time and at a moment of the cook, called in the cook's own words."""

import pytest
from kitchen import dish, kitchen

from assistant.calls import calls
from scheduling.queries import reminder_at

RICE = dish("white-rice", "the rice")
CHICKEN = dish("chicken-and-fennel", "the chicken")
PEARS = dish("honey-pears", "the pears")


@pytest.fixture
def here():
    return kitchen()


@pytest.mark.parametrize(
    ("said", "ref", "told"),
    [
        (
            "remind me when the rice goes on to salt the water",
            RICE,
            "I will remind you when “start the rice” begins: salt the water.",
        ),
        (
            "when the rice boils remind me to turn it down",
            RICE,
            "I will remind you when “bring the rice to the boil” is done: turn it down.",
        ),
        (
            "remind me to lay the table once the chicken is in",
            CHICKEN,
            "I will remind you when “roast the chicken” begins: lay the table.",
        ),
        (
            "tell me when the chicken comes out to turn the oven off",
            CHICKEN,
            "I will remind you when “brown the chicken” is done: turn the oven off.",
        ),
        (
            "remind me before the pears go in to butter the dish",
            PEARS,
            "I will remind you 1 min before the start of “bake the pears”: butter the dish.",
        ),
        (
            "remind me two minutes before the rice is done to warm the plates",
            RICE,
            "I will remind you 2 min before the end of “fluff the rice”: warm the plates.",
        ),
        (
            "remind me when the rice is done",
            RICE,
            "I will remind you when “fluff the rice” is done: the rice is done.",
        ),
        (
            "remind me two minutes before the rice is done",
            RICE,
            "I will remind you 2 min before the end of “fluff the rice”: the rice is done, soon.",
        ),
    ],
)
def test_a_reminder_is_tied_to_the_step_that_is_meant(here, said, ref, told):
    assert here.ask("remind_me", said, ref).shown == told


@pytest.mark.parametrize(
    "said",
    [
        "remind me in five minutes to check the oven",
        "remind me to check the oven in five minutes",
        "in five minutes remind me to check the oven",
        "please remind me to check the oven at 18:05",
    ],
)
def test_a_reminder_at_a_time_is_called_with_its_words(here, said):
    assert here.ask("remind_me", said).shown == "I will remind you at 18:05: check the oven."
    here.wait(5)
    assert "Reminder: check the oven." in [call.shown for call in calls(here.scene().live, {})]


def test_before_service_moves_with_service(here):
    here.ask("remind_me", "remind me before we eat to light the candles")
    (reminder,) = here.live.snapshot().state.reminders
    before = reminder_at(here.live.snapshot(), reminder)
    assert before == here.live.snapshot().timetable.service_at - 60
    here.ask("move_service", "we eat half an hour later")
    assert reminder_at(here.live.snapshot(), reminder) == before + 30 * 60


def shown(here) -> list[str]:
    return [call.shown for call in calls(here.scene().live, {})]


def test_it_is_called_when_the_step_begins_and_not_before(here):
    here.ask("remind_me", "remind me when the rice goes on to salt the water", RICE)
    here.until("white-rice/rinse the rice")
    assert "Reminder: salt the water." not in shown(here)
    here.until("white-rice/start the rice")
    assert "Reminder: salt the water." in shown(here)


def test_a_reminder_can_be_cancelled_and_taken_back(here):
    here.ask("remind_me", "remind me when the rice goes on to salt the water", RICE)
    assert here.ask("undo").shown == "Taken back: the reminder, salt the water."
    here.ask("remind_me", "remind me when the rice goes on to salt the water", RICE)
    reply = here.ask("timer_cancel", "forget the reminder about the salt")
    assert reply.shown == "No reminder any more: salt the water."
    assert here.live.snapshot().state.reminders == ()


def test_a_reminder_without_a_moment_asks_for_one(here):
    reply = here.ask("remind_me", "remind me to call my mother")
    assert reply.shown == "When shall I remind you?"
    assert reply.question is not None
    meant = reply.question.answered(here.understood("timer_set", "in ten minutes"))
    assert here.meant(meant).shown == "I will remind you at 18:10: call your mother."


def test_the_same_words_at_two_times_are_two_reminders(here):
    here.ask("remind_me", "remind me in five minutes to check the oven")
    here.ask("remind_me", "remind me in ten minutes to check the oven")
    for ringing in (1, 2):
        here.wait(5)
        assert shown(here).count("Reminder: check the oven.") == ringing
    timers = here.live.snapshot().state.timers.values()
    assert [timer.name for timer in timers] == ["check the oven", "check the oven 2"]


def test_the_same_words_at_two_moments_are_two_reminders_and_are_cancelled_together(here):
    salt = "remind me when the {} go on to salt the water"
    here.ask("remind_me", salt.format("rice"), RICE)
    here.ask("remind_me", salt.format("rice"), RICE)  # told twice, it is still one
    here.ask("remind_me", "remind me before we eat to salt the water")
    assert len(here.live.snapshot().state.reminders) == 2
    assert here.ask("timer_left", "timers").shown.count("salt the water") == 1
    here.ask("timer_cancel", "forget the reminder about the salt")
    assert here.live.snapshot().state.reminders == ()


def test_what_was_reminded_of_waits_no_more_and_cannot_be_cancelled(here):
    here.ask("remind_me", "remind me when the rice goes on to salt the water", RICE)
    here.ask("remind_me", "remind me before we eat to light the candles")
    waiting = "No timer is running. I will remind you: salt the water; light the candles."
    assert here.ask("timer_left", "timers").shown == waiting
    here.until("white-rice/start the rice")
    waiting = "No timer is running. I will remind you: light the candles."
    assert here.ask("timer_left", "timers").shown == waiting
    assert here.ask("timer_cancel", "forget the salt reminder").shown == "No timer is running."

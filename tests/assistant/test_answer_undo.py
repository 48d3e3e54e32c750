"""“Undo” takes back what the cook told of the food last, and says in words what that was."""

import re
from typing import get_args

from fronts import SIX, running_cook
from kitchen import dish, kitchen, step

from assistant.answer_undo import _WORDS
from assistant.meaning import Understood
from assistant.running import kitchen_of
from assistant.wiring import Request
from domain.cookbook import load_kitchen, load_menu
from domain.settings import Settings
from scheduling.clock import SimulatedClock
from scheduling.events import EventKind
from scheduling.log import ENDS

FENNEL = "chicken-and-fennel/cut the fennel"


def cutting():
    """Half a minute after the fennel was begun, by the cook's word."""
    here = kitchen()
    here.until(FENNEL)
    here.ask("report_begun", "I have begun the fennel", step(FENNEL))
    here.wait(0.5)
    return here


def test_a_report_is_taken_back_in_a_cooks_words():
    here = cutting()
    assert here.ask("undo").shown == "Taken back: begun, cut the fennel."
    assert here.live.snapshot().state.steps[FENNEL].began_by == "clock"


def test_while_paused_it_is_the_pause_that_is_taken_back():
    here = cutting()
    here.ask("pause_cook")
    here.wait(1)
    reply = here.ask("undo")
    assert (reply.shown, reply.hush_s) == ("Taken back: the pause.", 0.0)
    assert here.live.snapshot().state.paused_at is None


def test_after_carry_on_it_never_pauses_again_but_asks_about_what_was_told_before():
    here = cutting()
    here.ask("pause_cook")
    here.wait(1)
    here.ask("carry_on")
    here.wait(1)
    asked = here.ask("undo")
    assert asked.shown == "Shall I take back what you told before: begun, cut the fennel?"
    assert asked.events == ()
    ((_, meant),) = asked.question.choices
    assert here.meant(meant).shown == "Taken back: begun, cut the fennel."
    state = here.live.snapshot().state
    assert (state.paused_at, state.steps[FENNEL].began_by) == (None, "clock")


def test_after_a_pause_alone_there_is_nothing_to_take_back():
    here = kitchen()
    here.ask("pause_cook")
    here.wait(1)
    here.ask("carry_on")
    assert here.ask("undo").spoken == "There is nothing to take back."


def test_service_goes_back_to_when_it_was():
    here = kitchen()
    here.ask("move_service", "serve at eight")
    here.wait(0.5)
    here.ask("move_service", "serve at half past eight")
    here.wait(0.5)
    said = here.ask("undo").shown
    assert said == "Taken back: service moved. Service is at 20:00 again."
    said = here.ask("undo").shown
    assert said == "Taken back: service moved. Service is as soon as possible again."


def test_a_timer_that_was_silenced_never_rings_again():
    here = cutting()
    here.ask("timer_set", "set a timer for one minute")
    here.wait(2)
    here.ask("stop")
    here.wait(0.25)
    asked = here.ask("undo")
    assert asked.events == ()
    assert "begun, cut the fennel" in asked.shown
    timer = here.live.snapshot().state.timers["timer"]
    assert timer.acknowledged


def test_a_timer_still_running_or_changed_is_taken_back():
    here = kitchen()
    here.ask("timer_set", "set a timer for ten minutes")
    ends_at = here.live.snapshot().state.timers["timer"].ends_at
    here.wait(1)
    here.ask("timer_change", "five minutes more on the timer")
    here.wait(1)
    assert here.ask("undo").shown == "Taken back: the timer."
    assert here.live.snapshot().state.timers["timer"].ends_at == ends_at
    here.ask("undo")
    assert here.live.snapshot().state.timers == {}


def test_what_was_told_in_one_breath_is_taken_back_in_one():
    here = kitchen()
    here.ask("timer_set", "set a timer for ten minutes")
    here.wait(1)
    here.ask("timer_set", "set a timer for twenty minutes")
    here.wait(1)
    here.ask("timer_cancel", "cancel all the timers")
    here.wait(1)
    assert here.ask("undo").shown == (
        "Taken back: cancelling the timer and cancelling the timer 2."
    )
    assert set(here.live.snapshot().state.timers) == {"timer", "timer 2"}


def test_dishes_are_called_by_their_titles():
    here = kitchen()
    ask = Understood("leave out the rice", "drop_dish", 1.0, (), (dish("white-rice"),))
    here.meant(Understood(ask.text, ask.intent, 1.0, (), ask.refs, by="confirmed"))
    here.wait(0.25)
    assert here.ask("undo").shown == "Taken back: left out, Plain white rice."
    assert "white-rice" not in here.live.snapshot().state.dropped


def test_whatever_can_be_told_has_words_for_being_taken_back():
    assert set(_WORDS) == set(get_args(EventKind)) - set(ENDS) - {"cook_started", "undone"}


def test_yes_takes_back_what_was_asked_about():
    with running_cook() as running:
        for minutes, said in ((3, "done"), (1, "pause"), (1, "carry on"), (1, "undo")):
            running.request.clock.advance(60 * minutes)
            reply = running.say(said)
        assert reply.spoken.startswith("Shall I take back what you told before: done, ")
        assert running.say("yes").spoken.startswith("Taken back: done, ")
        assert running.say("undo").spoken == "There is nothing to take back."


def test_two_requests_in_one_breath_are_taken_back_in_one_though_time_goes_on_between_them():
    class Restless(SimulatedClock):
        def now(self) -> float:
            self.advance(0.01)
            return super().now()

    menu = load_menu("harbour-supper")
    what = Request(menu, load_kitchen("home"), Settings(), Restless(SIX), None)
    with kitchen_of(what, keep=False) as running:
        running.start()
        what.clock.advance(180)
        assert "Paused." in running.say("done and pause").shown
        said = running.say("undo").shown
        assert re.fullmatch(r"Taken back: done, .* and the pause\.", said)
        assert running.cook.view().state.paused_at is None
        assert running.say("undo").spoken == "There is nothing to take back."

"""How timers are called, how many are set at once, and which one is meant."""

import pytest
from kitchen import dish, kitchen

from assistant.meaning import Ref
from assistant.resolve import Vocabulary, find_refs
from domain.cookbook import load_menu

RICE = dish("white-rice", "rice")


@pytest.fixture
def here():
    return kitchen()


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("set a timer for ten minutes called eggs", "Eggs timer set: 10 min, until 18:10."),
        ("set a timer called eggs for ten minutes", "Eggs timer set: 10 min, until 18:10."),
        ("ten minute egg timer", "Egg timer set: 10 min, until 18:10."),
        ("timer for the eggs, ten minutes please", "Eggs timer set: 10 min, until 18:10."),
        ("set another timer for ten minutes", "Timer set: 10 min, until 18:10."),
        ("set a timer for ten minutes please", "Timer set: 10 min, until 18:10."),
        ("set a kitchen timer for 10 minutes", "Timer set: 10 min, until 18:10."),
    ],
)
def test_a_timer_is_called_as_is_said(here, said, told):
    assert here.ask("timer_set", said).shown == told


@pytest.mark.parametrize(
    ("said", "names"),
    [
        ("set three timers five seven and nine minutes", {"timer": 5, "timer 2": 7, "timer 3": 9}),
        ("timers for 5, 7 and 9 minutes", {"timer": 5, "timer 2": 7, "timer 3": 9}),
        ("set two timers, five minutes and ten minutes", {"timer": 5, "timer 2": 10}),
        ("set two five minute timers", {"timer": 5, "timer 2": 5}),
        (
            "five minutes for the eggs and seven minutes for the bread",
            {"eggs timer": 5, "bread timer": 7},
        ),
    ],
)
def test_several_timers_are_set_at_once(here, said, names):
    here.ask("timer_set", said)
    now, timers = here.clock.now(), here.live.snapshot().state.timers
    assert {name: (timer.ends_at - now) / 60 for name, timer in timers.items()} == names


def test_a_timer_is_found_by_its_name_in_the_text(here):
    here.ask("timer_set", "set a timer for ten minutes called eggs")
    here.ask("timer_set", "set a timer for twenty minutes called bread")
    assert here.ask("timer_left", "how long on the eggs").shown == "Timers: eggs timer, 10 min."
    said = "add two minutes to the eggs timer"
    assert here.ask("timer_change", said).shown == "Eggs timer: 12 min now."
    assert here.ask("timer_cancel", "cancel the egg timer").shown == "Cancelled: eggs timer."
    assert here.ask("timer_left", "timers").shown == "Timers: bread timer, 20 min."


def test_of_several_timers_the_one_to_change_is_asked(here):
    here.ask("timer_set", "set two timers, five minutes and ten minutes")
    here.ask("what_time")
    here.ask("report_done", "done")
    reply = here.ask("timer_change", "add two minutes")
    assert reply.shown == "Which one: timer or timer 2?"
    (_, meant) = reply.question.choices[1]
    assert here.meant(meant).shown == "Timer 2: 12 min now."


def test_a_name_is_a_timer_only_where_nothing_else_is_called_so():
    words = Vocabulary.of(load_menu("harbour-supper")).with_timers(["eggs timer", "rice timer"])
    assert {ref.kind for ref in find_refs("how long on the eggs", words)} == {"timer"}
    assert "timer" not in {ref.kind for ref in find_refs("how long on the rice", words)}
    timer = Ref("rice timer", "timer", "rice timer", 1.0, 16, 26)
    assert timer in find_refs("how long on the rice timer", words)
    assert find_refs("cancel the timer", Vocabulary().with_timers(["timer"])) == ()

"""What the terminal shows besides replies: the greeting and the line of what is on."""

from dataclasses import replace

import pytest
from fronts import SIX, running_cook

from assistant.cook import Message
from assistant.learning import Learned, Offer
from assistant.terminal import _print_message, _say, greeting, live_line
from scheduling.events import Event


@pytest.fixture
def running():
    with running_cook() as running:
        yield running


def test_the_greeting_tells_when_we_eat(running):
    lines = list(greeting(running))
    assert lines[0] == "Cooking Harbour supper, for 4, in The kitchen over the net loft."
    assert lines[1] == "We eat at 19:03, in 1 h 3 min."
    assert len(lines) == 3


def test_the_greeting_offers_what_was_learned_and_tells_what_is_in_use(running):
    rice = Offer("white-rice/rinse the rice", 120, 240, 200, 300, 5, 4)
    pears = Offer("honey-pears/halve the pears", 300, 480, 400, 600, 3, 4)
    running.request = replace(running.request, learned=Learned((rice,), (pears,)))
    in_use, offered = list(greeting(running))[2:4]
    assert in_use.startswith("Planned with your own times: halve the pears, 8 min, ")
    assert "rinse the rice, 4 min, written 2 min, from 5 evenings" in offered
    assert offered.endswith("say: use my times.")


def test_a_time_that_cannot_be_is_told_with_the_reason():
    with running_cook(wanted_at=SIX + 600) as running:
        lines = list(greeting(running))
    assert "Service at 18:10 cannot be; 19:03 is the earliest." in lines
    assert "“Roast the chicken” (25 min) alone takes too long for service at 18:10." in lines


def test_the_live_line_has_the_clock_and_service_first(running):
    assert live_line(running.cook.view()) == "18:00 | service 19:03 | heat the oven to 200 12 min"
    running.request.clock.advance(180)
    running.cook.tick()
    assert live_line(running.cook.view()).startswith("18:03 | service 19:03 | cut the fennel ")
    running.request.clock.advance(600)
    assert "cut the fennel (time is up)" in live_line(running.cook.view())
    running.cook.live.apply(Event(running.cook.view().now, "paused"))
    assert " | paused | " in live_line(running.cook.view())


def test_words_that_are_being_said_come_first_in_the_live_line(running):
    line = live_line(running.cook.view(), "what is")
    assert line == "what is … | 18:00 | service 19:03 | heat the oven to 200 12 min"


def test_enter_alone_has_us_listen(running):
    kinds = []
    running.cook.attach(lambda message: kinds.append(message.kind))
    assert _say(running, "\n")
    assert kinds == ["listen"]


def test_the_live_line_tells_what_comes_while_nothing_is_on():
    with running_cook(wanted_at=SIX + 4 * 3600) as running:
        line = live_line(running.cook.view())
    assert line.startswith("18:00 | service 22:00 | at 20:")


def test_what_is_printed_cannot_garble_the_terminal(capsys):
    call = Message(1, SIX, "call", "", "Take it out\x1b[2J\u202e now.\nAt once.")
    _print_message(call)
    _print_message(replace(call, kind="notice", shown="I cannot listen."))
    _print_message(replace(call, kind="stop", shown=""))
    _print_message(replace(call, kind="heard", shown="what now"))  # typed here: it is seen already
    assert capsys.readouterr().out == "» Take it out [2J now.\n» At once.\n* I cannot listen.\n"

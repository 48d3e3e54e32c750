"""A thermometer below what is safe is never taken for done."""

import pytest
from kitchen import kitchen

from assistant.amounts import find_amounts
from assistant.answer import ANSWERS
from assistant.meaning import Understood
from assistant.told_reading import told_reading

CHECK = "chicken-and-fennel/check the chicken"


@pytest.fixture(scope="module")
def checking():
    """The chicken is out, and has to read 74 °C."""
    here = kitchen()
    here.until(CHECK)
    return here


def told(here, text):
    meant = told_reading(Understood(text, None, 0.0, find_amounts(text, "metric")), here.scene())
    return meant


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("it's only reading sixty eight", "report_not_yet"),
        ("the chicken reads seventy", "report_not_yet"),
        ("the thermometer says 160 Fahrenheit", "report_not_yet"),  # 71 °C
        ("now it reads seventy five", "report_gate"),
        ("it reads 74", "report_gate"),
        ("the thermometer says 165 °F", "report_gate"),  # 73.9 °C, the figure in that scale
        ("seventy four now", "report_gate"),
        ("it's at 70 now", "report_not_yet"),
    ],
)
def test_a_reading_is_compared_with_what_is_waited_for(checking, text, intent):
    meant = told(checking, text)
    assert meant is not None
    assert (meant.intent, meant.refs[0].name) == (intent, CHECK)


@pytest.mark.parametrize(
    "text", ["what should it read", "is 68 enough", "it says 3", "read it again", "74 guests"]
)
def test_other_talk_is_no_reading(checking, text):
    assert told(checking, text) is None


def test_a_reading_too_low_is_answered_with_what_it_must_be(checking):
    meant = told(checking, "it's only reading sixty eight")
    reply = ANSWERS[meant.intent](meant, checking.scene())
    assert reply.shown == "Not yet: cook it on until the thickest thigh reads 74 °C."
    assert not reply.events

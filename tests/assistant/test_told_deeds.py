"""Reports in a step's own words are taken for that step, and for nothing else."""

import pytest
from kitchen import kitchen

from assistant.meaning import Understood
from assistant.told_deeds import told_done
from assistant.two_requests import requests


def told(here, text):
    """The intent and the step that are told; () for other talk."""
    meant = told_done(Understood(text, None, 0.0), here.scene())
    return (meant.intent, meant.refs[0].name) if meant else ()


@pytest.fixture
def begun():
    return kitchen()


@pytest.mark.parametrize(
    ("text", "intent", "step"),
    [
        ("Rice is rinsed", "report_done", "white-rice/rinse the rice"),
        ("I've rinsed the rice", "report_done", "white-rice/rinse the rice"),
        ("radishes sliced", "report_done", "radish-leaves/slice the radishes"),
        ("the nuts are chopped", "report_done", "honey-pears/chop the walnuts"),
        ("okay, garlic's chopped now", "report_done", "green-beans/trim the beans"),
        ("fennel's cut", "report_done", "chicken-and-fennel/cut the fennel"),
        ("beans trimmed and garlic chopped", "report_done", "green-beans/trim the beans"),
        ("the oven is on", "report_begun", "oven/heat to 200"),
        ("the oven's heating", "report_begun", "oven/heat to 200"),
    ],
)
def test_a_step_is_told_by_its_own_verb(begun, text, intent, step):
    found = told(begun, text)
    assert found
    assert found[0] == intent
    assert found[1] == step or (step.startswith("oven") and begun.live.snapshot().heats(found[1]))


@pytest.mark.parametrize(
    "text",
    [
        "is the rice rinsed",
        "the rice is rinsed?",
        "rice is nearly rinsed",
        "the rice is not rinsed",
        "cut the fennel",
        "how do I cut it",
        "have the radishes been sliced",
        "slice the radishes",
        "I've burnt the rice",
        "the baked pears",
        "in",
        "on",
        "",
    ],
)
def test_what_says_anything_else_is_left_to_the_understanding(begun, text):
    assert told(begun, text) == ()


def test_what_is_put_somewhere_is_done_when_its_turn_has_come(begun):
    assert told(begun, "pears are in") == ()  # they are not even halved
    begun.until("honey-pears/put the pears in")
    assert told(begun, "pears are in") == ("report_done", "honey-pears/put the pears in")
    assert told(begun, "put the pears in") == ()  # may be what is to be done
    begun.until("honey-pears/bake the pears")
    assert told(begun, "the pears are out now") == ("report_done", "honey-pears/take the pears out")


def test_two_reports_in_one_breath_are_two(begun):
    def understand(text):
        ask = Understood(text, None, 0.0)
        return told_done(ask, begun.scene()) or ask

    assert requests("radishes sliced and the rice is rinsed", understand) == (
        "radishes sliced",
        "the rice is rinsed",
    )

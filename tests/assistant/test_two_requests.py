"""Two requests in one breath are two turns; what may be one stays one."""

import pytest

from assistant.meaning import Understood
from assistant.two_requests import requests

SURELY = {
    "how long left on the rice": "time_left",
    "what next": "what_next",
    "done": "report_done",
    "the beans are boiling": "report_gate",
    "set a timer for five minutes": "timer_set",
    "remind me to stir": "remind_me",
    "how much flour": "how_much",
    "what if the rice takes longer": "what_if",
    "the oven breaks": "equipment_lost",
    "no": "no",
    "and then": "what_next",
    "it burnt": "report_spoilt",
    "what now": "what_now",
}
GUESSED = {"sugar": ("how_much", 0.6)}


def understand(text: str) -> Understood:
    if text in SURELY:
        return Understood(text, SURELY[text], 1.0, by="exact")
    intent, sure = GUESSED.get(text, (None, 0.2))
    return Understood(text, intent, sure, by="server")


@pytest.mark.parametrize(
    ("said", "halves"),
    [
        ("how long left on the rice and what next", ("how long left on the rice", "what next")),
        ("done, what next", ("done", "what next")),
        ("Done. What next", ("Done", "What next")),
        ("done and then the beans are boiling", ("done", "the beans are boiling")),
        (
            "set a timer for five minutes, and remind me to stir",
            ("set a timer for five minutes", "remind me to stir"),
        ),
    ],
)
def test_two_requests_are_parted(said, halves):
    known = {text.lower(): text for text in SURELY}
    assert requests(said, lambda part: understand(known.get(part.lower(), part))) == halves


@pytest.mark.parametrize(
    "said",
    [
        "what next",
        "and then",  # known as one
        "how much flour and sugar",  # the second half is a guess
        "what if the rice takes longer and the oven breaks",  # only supposed
        "done and done",  # the same twice
        "no, what next",  # an answer or a correction
        "set a timer for five minutes and ten seconds",
        "and",
        "",
        ", , and",
    ],
)
def test_one_request_stays_whole(said):
    assert requests(said, understand) == (said,)


def test_trouble_and_what_now_are_one():
    assert requests("it burnt, what now", understand) == ("it burnt, what now",)


def test_what_means_something_else_as_a_whole_stays_whole():
    whole = {"done and what next": ("timer_set", 0.9)}

    def meaning(text: str) -> Understood:
        intent, sure = whole.get(text, (None, 0.0))
        return Understood(text, intent, sure, by="server") if intent else understand(text)

    assert requests("done and what next", meaning) == ("done and what next",)


def test_of_two_equally_sure_partings_the_last_is_taken():
    known = {
        "so the rice": "report_done",
        "the beans are in, what next": "what_next",
        "so the rice and the beans are in": "report_done",
        "what next": "what_next",
    }

    def meaning(text: str) -> Understood:
        sure = 0.95 if text in known else 0.0
        return Understood(text, known.get(text), sure, by="server")

    said = "so the rice and the beans are in, what next"
    assert requests(said, meaning) == ("so the rice and the beans are in", "what next")


@pytest.mark.parametrize(
    "said", ["a, b and " * 1200, "and so on, and on, and then, well, and this, and that, and more"]
)
def test_rambling_talk_costs_few_questions(said):
    asked = []

    def counted(text: str) -> Understood:
        asked.append(text)
        return Understood(text, "what_next", 1.0, by="server")

    requests(said, counted)
    assert len(asked) <= 5  # the whole, and two halves at two places

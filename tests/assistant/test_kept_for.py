"""How long food was or would be kept, by the words of a question asked on a Saturday."""

import pytest
from knowing import SATURDAY

from assistant.amounts import find_amounts
from assistant.kept_for import kept_s
from assistant.meaning import Understood

DAY = 86400


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("rice three days old", 3),
        ("3-day-old rice", 3),
        ("in the fridge for 36 hours", 1.5),
        ("after 4 weeks", 28),
        ("a week old", 7),
        ("a year old", 365),
        ("from last month", 30),
        ("a couple of days", 2),
        ("a few weeks", 21),
        ("since yesterday", 1),
        ("from the day before yesterday", 2),
        ("keep it until tomorrow", 1),
        ("from sunday", 6),
        ("made on thursday", 2),
        ("since saturday", 7),
        ("all right until monday", 2),
        ("it was made today, will it last until friday", 6),
        ("will the chicken be okay on Thursday", 5),
    ],
)
def test_how_long_it_was_kept(text, days):
    ask = Understood(text, "keeps", 1.0, find_amounts(text, "metric", None))
    assert kept_s(ask, SATURDAY) == pytest.approx(days * DAY)


@pytest.mark.parametrize("text", ["is it safe", "how long does rice keep", "two eggs", ""])
def test_nothing_is_told(text):
    ask = Understood(text, "keeps", 1.0, find_amounts(text, "metric", None))
    assert kept_s(ask, SATURDAY) is None


def test_a_time_without_end_is_longer_than_any():
    text = "is rice safe after 100000 days"
    ask = Understood(text, "keeps", 1.0, find_amounts(text, "metric", None))
    assert kept_s(ask, SATURDAY) == float("inf")

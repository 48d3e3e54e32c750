"""For whom words are: the name taken off, and how long we listen for more."""

import pytest

from assistant.addressed import ANSWERS_MS, LISTENS_MS, Addressed, without_name
from assistant.audio import CHUNK_MS


@pytest.mark.parametrize(
    ("text", "rest", "named"),
    [
        ("hobside what's next", "what's next", True),
        ("Hobside, what's next?", "what's next?", True),
        ("hey hobside stop", "stop", True),
        ("what's next, Hobside?", "what's next", True),
        ("hobside", "", True),
        ("what's next", "what's next", False),
        ("hobsiders are done", "hobsiders are done", False),
        ("the hobside is hot", "the hobside is hot", False),
        ("", "", False),
    ],
)
def test_the_name_is_taken_off(text, rest, named):
    assert without_name(text, "hobside") == (rest, named)


def test_a_name_of_two_words():
    assert without_name("miss Mo what now", "miss mo") == ("what now", True)
    assert without_name("miss it", "miss mo") == ("miss it", False)


def passed(address, ms, speaking=False):
    for _ in range(ms // CHUNK_MS):
        address.pass_time(speaking, hearing=False)


def test_an_open_ear_closes_again():
    address = Addressed()
    address.call()
    passed(address, LISTENS_MS + CHUNK_MS)
    address.pass_time(False, hearing=True)
    assert not address.takes(False, "name")


def test_what_began_in_time_may_end_later():
    address = Addressed()
    address.call()
    address.pass_time(False, hearing=True)
    passed(address, 2 * LISTENS_MS)
    assert address.called(named=False)
    address.ended()
    address.pass_time(False, hearing=True)
    assert not address.takes(False, "key")


def test_we_listen_for_an_answer_from_the_end_of_our_question_on():
    address = Addressed()
    address.ask()
    passed(address, 2 * LISTENS_MS, speaking=True)
    address.pass_time(False, hearing=True)
    assert address.takes(False, "name")
    assert not address.called(named=False)


def test_noise_does_not_use_up_the_open_ear():
    address = Addressed()
    address.call()
    address.pass_time(False, hearing=True)
    address.nothing_said()
    address.pass_time(False, hearing=True)
    assert address.takes(False, "key")


def test_stop_is_meant_for_us_while_we_speak_and_shortly_after():
    address = Addressed()
    assert not address.just_spoke
    passed(address, CHUNK_MS, speaking=True)
    passed(address, ANSWERS_MS - CHUNK_MS)
    assert address.just_spoke
    passed(address, 2 * CHUNK_MS)
    assert not address.just_spoke

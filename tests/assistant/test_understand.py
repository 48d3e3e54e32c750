"""From words to meaning, with the server away and with the real one."""

from functools import cache
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from assistant.intent_server import IntentServer
from assistant.known import Known
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook
from assistant.resolve import Vocabulary
from assistant.understand import EMERGENCY_FLOOR, FLOOR, Understander
from domain.cookbook import load_menu
from tests.bench.understanding import intent_right, meant_by

OPEN = Path(__file__).parents[1] / "unseen"


class Scripted:
    """A server that always answers the same, or is away."""

    def __init__(self, *guesses: tuple[str, float]) -> None:
        self.guesses = guesses
        self.asked: list[str] = []

    def parse(self, wording: str) -> tuple[tuple[str, float], ...] | None:
        self.asked.append(wording)
        return self.guesses or None


@pytest.fixture(scope="module")
def names() -> Vocabulary:
    return Vocabulary.of(load_menu("harbour-supper"))


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("stop", "stop"),
        ("Stop!", "stop"),
        ("please stop", "stop"),
        ("next", "what_next"),
        ("what's next?", "what_next"),
        ("done", "report_done"),
        ("repeat", "again"),
        ("pause", "pause_cook"),
        ("yes", "yes"),
        ("no", "no"),
        ("set a timer for twelve minutes", "timer_set"),
        ("set a timer for 12 min", "timer_set"),
        ("how long left on the chicken", "time_left"),
        ("convert 4 oz to grams", "convert"),
    ],
)
def test_the_book_is_understood_with_the_server_away(
    phrase_book: PhraseBook, names: Vocabulary, text: str, intent: str
) -> None:
    understander = Understander(phrase_book, Scripted())
    heard = understander.understand(text, names)
    assert (heard.intent, heard.by, heard.confidence) == (intent, "exact", 1.0)
    assert not understander.needs_server(text, names)


def test_amounts_and_things_are_found_and_masked(
    phrase_book: PhraseBook, names: Vocabulary
) -> None:
    server = Scripted(("report_longer", 0.9))
    heard = Understander(phrase_book, server).understand(
        "crikey, the chicken might want seven minutes extra", names
    )
    assert server.asked == ["crikey xthing might want xduration extra"]
    assert [(a.value, a.unit) for a in heard.amounts] == [(7, "minute")]
    assert [(r.kind, r.name) for r in heard.refs] == [("dish", "chicken-and-fennel")]
    assert (heard.intent, heard.by) == ("report_longer", "server")


def test_the_kind_of_thing_follows_the_question(phrase_book: PhraseBook, names: Vocabulary) -> None:
    understander = Understander(phrase_book, Scripted())
    dish = understander.understand("how long left on the rice", names).refs
    food = understander.understand("how much rice do I need", names).refs
    assert [(r.kind, r.name) for r in dish] == [("dish", "white-rice")]
    assert [r.kind for r in food] == ["ingredient"]


@pytest.mark.parametrize(
    ("guesses", "intent", "by"),
    [
        ([("pace", FLOOR), ("when_eat", 0.2)], "pace", "server"),
        ([("pace", FLOOR - 0.01), ("when_eat", 0.2)], None, "server"),
        ([(OUT_OF_SCOPE, 0.9), ("pace", 0.05)], None, "server"),
        ([("emergency_cut", EMERGENCY_FLOOR)], "emergency_cut", "emergency"),
        ([("emergency_cut", EMERGENCY_FLOOR - 0.01)], None, "server"),
        ([], None, "none"),
    ],
)
def test_nothing_is_done_below_the_floor(
    phrase_book: PhraseBook, guesses: list[tuple[str, float]], intent: str | None, by: str
) -> None:
    server = Scripted(*guesses)
    heard = Understander(phrase_book, server).understand("zorp the flibber")
    assert (heard.intent, heard.by) == (intent, by)
    assert OUT_OF_SCOPE not in dict(heard.guesses)


@pytest.mark.parametrize(
    ("text", "intent"),
    [
        ("where wars I", "where_was_i"),
        ("come a gain", "again"),
        ("un do the last thing", "undo"),
        ("how long left on the chickin", "time_left"),
    ],
)
def test_misspelt_and_misheard_words_need_no_server(
    phrase_book: PhraseBook, names: Vocabulary, text: str, intent: str
) -> None:
    heard = Understander(phrase_book, Scripted()).understand(text, names)
    assert (heard.intent, heard.by) == (intent, "exact")


def test_a_word_that_turns_the_meaning_is_not_misheard() -> None:
    known = Known({"i have finished it": "report_done"}, frozenset())
    assert known.near("I have finish it") == ("report_done", pytest.approx(0.95, abs=0.05))
    assert known.near("I have not finished it") is None


def test_an_emergency_needs_no_server_and_comes_before_all(phrase_book: PhraseBook) -> None:
    server = Scripted(("what_next", 1.0))
    understander = Understander(phrase_book, server)
    heard = understander.understand("stop, the pan is on fire")
    assert (heard.intent, heard.by) == ("emergency_fire", "emergency")
    assert server.asked == []
    assert not understander.needs_server("stop, the pan is on fire")
    assert understander.silences("stop, the pan is on fire")


def test_speech_falls_silent_only_for_stop_and_emergencies(phrase_book: PhraseBook) -> None:
    understander = Understander(phrase_book, Scripted())
    assert understander.silences("okay stop")
    assert not understander.silences("stop the timer")


def test_any_text_is_taken(phrase_book: PhraseBook) -> None:
    understander = Understander(phrase_book, Scripted())

    @given(st.text(max_size=200))
    def is_taken(text: str) -> None:
        assert understander.understand(text).text == text

    is_taken()


def test_a_flood_of_words_is_cut(phrase_book: PhraseBook) -> None:
    server = Scripted()
    Understander(phrase_book, server).understand("blah " * 2000)
    assert len(server.asked[0]) <= 400


def test_the_open_utterances_stay_understood(
    phrase_book: PhraseBook, intent_server: IntentServer
) -> None:
    """A guard against getting worse, no measure: the book was worked on with these."""
    understander = Understander(phrase_book, intent_server)
    vocabulary = cache(lambda name: Vocabulary.of(load_menu(name)))
    inside: dict[bool, list[bool]] = {True: [], False: []}  # by whether they came later
    outside: list[bool] = []
    for file in sorted(OPEN.glob("open-*.yml")):
        later = file.stem in ("open-more", "open-two-requests")
        for line in yaml.safe_load(file.read_text()):
            names = vocabulary(line.get("menu", "harbour-supper"))
            heard = meant_by(
                line["say"], lambda text, names=names: understander.understand(text, names)
            )
            right = intent_right(line, heard)
            (inside[later] if line["intent"] else outside).append(right)
    assert sum(inside[False]) / len(inside[False]) > 0.93
    assert sum(inside[True]) / len(inside[True]) > 0.6
    assert sum(outside) / len(outside) > 0.85

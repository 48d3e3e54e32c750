"""Which change a "what if" supposes, by its words alone."""

import pytest

from assistant.meaning import Understood
from assistant.phrasebook import PhraseBook
from assistant.resolve import Vocabulary
from assistant.supposing import CHANGING, change_told, clause_of
from assistant.understand import Understander
from domain.cookbook import load_menu


class Away:
    """The intent server, away."""

    def parse(self, wording: str) -> None:
        return None


@pytest.mark.parametrize(
    ("wording", "clause"),
    [
        ("what if xthing takes xduration longer", "xthing takes xduration longer"),
        ("suppose that i skip xthing", "i skip xthing"),
        (
            "how late would we be if the oven took xduration longer",
            "the oven took xduration longer",
        ),
        ("if i drop xthing, when do we eat", "i drop xthing"),
    ],
)
def test_the_clause_is_what_is_supposed(wording, clause):
    assert clause_of(wording) == clause


@pytest.mark.parametrize(
    ("text", "change"),
    [
        ("what if the rice takes ten minutes longer", "report_longer"),
        ("what happens if the chicken needs five more minutes", "report_longer"),
        ("what if the oven is twenty minutes late", "report_longer"),
        ("what if I skip the pears", "drop_dish"),
        ("what would happen if we dropped the pears", "drop_dish"),
        ("what if I skip this step", "skip_step"),
        ("what if we eat at eight", "move_service"),
        ("what if the guests are half an hour late", "move_service"),
        ("what if we serve the pears twenty minutes later", "serve_later"),
        ("what if somebody helps me", "cook_joined"),
        ("what if my helper leaves", "cook_left"),
        ("what if I have to do it alone", "cook_left"),
        ("what if a ring breaks", "equipment_lost"),
        ("what if I lose the oven", "equipment_lost"),
        ("what if I'd already started the rice", "report_begun"),
    ],
)
def test_the_change_is_told_by_the_words_with_the_server_away(
    phrase_book: PhraseBook, text: str, change: str
) -> None:
    names = Vocabulary.of(load_menu("harbour-supper"))
    heard = Understander(phrase_book, Away()).understand(text, names)
    assert (heard.intent, heard.supposed) == ("what_if", change)


def test_what_no_words_tell_is_guessed_among_changes_alone(phrase_book: PhraseBook) -> None:
    class Scripted:
        def parse(self, wording: str) -> tuple[tuple[str, float], ...]:
            if wording.startswith("what if"):
                return (("what_if", 0.9),)
            return (("thanks", 0.5), ("cook_joined", 0.2), ("undo", 0.1))

    understander = Understander(phrase_book, Scripted())
    heard = understander.understand("what if a zorp flibbers the snood grievously")
    assert (heard.intent, heard.supposed) == ("what_if", "cook_joined")


def test_only_a_what_if_supposes(phrase_book: PhraseBook) -> None:
    assert Understander(phrase_book, Away()).understand("skip the pears").supposed is None


def test_every_word_rule_names_a_change() -> None:
    words = "skip add too help alone ring lost serve start eat later longer xduration"
    heard = Understood("", "what_if", 1.0)
    told = {change_told(word, heard) for word in (*words.split(), words)}
    assert told - {None} <= CHANGING

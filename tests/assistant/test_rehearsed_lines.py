"""The rehearsed cook's lines: half of them in words that the phrase book does not have."""

import yaml
from kitchen import kitchen

from assistant.answer import ANSWERS
from assistant.phrasebook import read_phrase_book
from assistant.rehearsed_lines import WORDINGS, Lines
from assistant.wiring import PHRASES
from assistant.wording import exact_key, plain

BOOK = read_phrase_book(PHRASES)


def test_no_other_wording_stands_in_the_phrase_book():
    known = {plain(text) for _, text in BOOK.sentences()} | {
        exact_key(text) for _, text in BOOK.sentences()
    }
    others = yaml.safe_load(WORDINGS.read_text())
    fill = {
        "thing": "the rice", "ingredient": "salt", "gate": "it boils", "minutes": "two minutes",
        "mass": "four hundred grams", "unit": "ounces",
    }  # fmt: skip
    met = [
        line
        for lines in others.values()
        for line in lines
        if plain(line.format(**fill)) in known or exact_key(line.format(**fill)) in known
    ]
    assert met == []


def test_every_other_wording_is_of_an_intent_that_is_answered():
    assert set(yaml.safe_load(WORDINGS.read_text())) <= set(ANSWERS)


def test_lines_are_half_from_the_book_and_name_what_they_mean():
    here = kitchen()
    lines = Lines(BOOK, seed=3)
    drawn = [lines.question(here.live.snapshot()) for _ in range(60)]
    from_book = sum(line.from_book for line in drawn)
    assert 25 <= from_book <= 35
    assert all("{" not in line.text and "[" not in line.text for line in drawn)


def test_a_rewording_means_the_same():
    here = kitchen()
    lines = Lines(BOOK, seed=3)
    line = lines.question(here.live.snapshot())
    again = lines.reworded(line)
    assert (again.intent, again.slots, again.names) == (line.intent, line.slots, line.names)
    assert again.from_book != line.from_book

"""What can be said is in the model: examples, amounts, the menu's words, each pronounced."""

import random
import re

import pytest

from assistant.language_model import (
    Amounts,
    compile_model,
    dictionary,
    gate_words,
    menu_words,
    sentences,
    spoken,
    step_words,
)
from assistant.phrasebook import read_phrase_book
from domain.cookbook import load_menu

BOOK = """
version: "3.1"
nlu:
- intent: report_done
  examples: |
    - done
    - the [rice](thing) is done
- intent: convert
  examples: |
    - convert [400 g](mass) to [ounces](unit)
    - set a [ten minute](duration) timer
- intent: order
  examples: |
    - a [large](size) coffee
    - 2 coffees
- lookup: size
  examples: |
    - small
    - extra large
"""


@pytest.fixture
def book(tmp_path):
    file = tmp_path / "book.yml"
    file.write_text(BOOK)
    return read_phrase_book(file)


@pytest.fixture(scope="module")
def menu():
    return load_menu("harbour-supper")


def test_examples_are_drawn_with_other_words_in_their_places(book, menu):
    drawn = sentences(book, menu, count=2000)
    assert drawn.count("done") > 100
    assert {"a small coffee", "an extra large coffee"} <= set(drawn)
    things = {m[1] for s in drawn if (m := re.fullmatch("the (.+) is done", s))}
    assert {"rice", "green beans", "pears"} <= things
    amounts = {m[1] for s in drawn if (m := re.fullmatch("convert (.+) to .+", s))}
    assert len(amounts) > 100


def test_an_amount_after_an_article_is_an_attribute(book):
    said = {s for s in sentences(book, count=3000) if s.endswith("timer")}
    assert "set a ten minute timer" in said
    assert not [s for s in said if re.search(r"set an? (an?|half)\b|minutes|hours", s)]


def test_figures_are_never_in_the_model(book):
    assert not [s for s in sentences(book) if re.search(r"\d|\bg\b", s)]


def test_gates_and_steps_can_be_said(book, menu):
    drawn = set(sentences(book, menu))
    assert set(gate_words(menu)) <= drawn
    assert {f"can i {step}" for step in step_words(menu)} <= drawn


def test_every_word_of_the_menu_is_pronounced(book, menu, tmp_path):
    model = compile_model(book, menu, tmp_path)
    listed = {line.split(" ")[0] for line in model.words.read_text().splitlines()}
    words = {word for name in (*menu_words(menu), *step_words(menu)) for word in name.split()}
    assert words <= listed


def test_same_book_same_model_and_another_menu_another(book, menu, tmp_path):
    first = compile_model(book, menu, tmp_path / "a")
    again = compile_model(book, menu, tmp_path / "b")
    other = compile_model(book, load_menu("ridge-sunday"), tmp_path / "a")
    for file in ("arpa", "words", "drawn"):
        assert getattr(first, file).read_bytes() == getattr(again, file).read_bytes()
    assert first.key != other.key


def test_compiled_once(book, menu, tmp_path):
    model = compile_model(book, menu, tmp_path)
    model.arpa.write_text("kept")
    assert compile_model(book, menu, tmp_path).arpa.read_text() == "kept"


def test_a_book_without_entities_needs_no_menu(tmp_path):
    file = tmp_path / "plain.yml"
    file.write_text("nlu:\n- intent: greet\n  examples: |\n    - hello there\n")
    model = compile_model(read_phrase_book(file), None, tmp_path)
    assert model.phrases() == ["hello there"]


def test_phrases_come_most_frequent_first(book, tmp_path):
    assert compile_model(book, None, tmp_path).phrases()[0] == "done"


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("What’s next?", "what's next"),
        ("sauté-pan (large)", "sauté pan large"),
        ("the beans's water", "the beans water"),
    ],
)
def test_spoken(written, said):
    assert spoken(written) == said


def test_dictionary_prefers_the_recognisers_own():
    lines = list(dictionary({"rice", "bulgur"}))
    assert "rice R AY S\n" in lines
    assert "bulgur B AH L G ER\n" in lines


@pytest.mark.parametrize(
    "kind", ["mass", "volume", "temperature", "length", "duration", "clock", "count", "unit"]
)
def test_every_kind_of_amount_is_drawn_whole(kind):
    amounts = Amounts()
    rng = random.Random(1)
    drawn = [amounts.draw(kind, rng) for _ in range(300)]
    assert len(set(drawn)) > 20
    assert not [text for text in drawn if re.search(r"[<>*\d]|  ", text)]


def test_our_name_may_be_said_alone_and_before_a_command(book):
    drawn = sentences(book, count=2000, called="Hobside")
    assert "hobside" in drawn
    assert "hobside done" in drawn
    unnamed = [s for s in drawn if not s.startswith("hobside")]
    assert len(unnamed) == len(sentences(book, count=2000))


def test_a_name_of_our_own_has_a_model_of_its_own(book, tmp_path):
    models = [compile_model(book, folder=tmp_path, called=name) for name in ("", "hobside", "mo")]
    assert len({model.key for model in models}) == 3
    assert "\nhobside " in models[1].words.read_text()

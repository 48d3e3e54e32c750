"""What can be said is in the model, each word pronounced; compiled once for the same content."""

import pytest

from assistant.drawing import menu_words, step_words
from assistant.language_model import compile_model, dictionary
from assistant.phrasebook import read_phrase_book
from domain.cookbook import load_menu


@pytest.fixture(scope="module")
def menu():
    return load_menu("harbour-supper")


def test_every_word_of_the_menu_is_pronounced(small_book, menu, tmp_path):
    model = compile_model(small_book, menu, tmp_path)
    listed = {line.split(" ")[0] for line in model.words.read_text().splitlines()}
    words = {word for name in (*menu_words(menu), *step_words(menu)) for word in name.split()}
    assert words <= listed


def test_same_book_same_model_and_another_menu_another(small_book, menu, tmp_path):
    first = compile_model(small_book, menu, tmp_path / "a")
    again = compile_model(small_book, menu, tmp_path / "b")
    other = compile_model(small_book, load_menu("ridge-sunday"), tmp_path / "a")
    for file in ("arpa", "words", "drawn"):
        assert getattr(first, file).read_bytes() == getattr(again, file).read_bytes()
    assert first.key != other.key


def test_compiled_once(small_book, menu, tmp_path):
    model = compile_model(small_book, menu, tmp_path)
    model.arpa.write_text("kept")
    assert compile_model(small_book, menu, tmp_path).arpa.read_text() == "kept"


def test_a_book_without_entities_needs_no_menu(tmp_path):
    file = tmp_path / "plain.yml"
    file.write_text("nlu:\n- intent: greet\n  examples: |\n    - hello there\n")
    model = compile_model(read_phrase_book(file), None, tmp_path)
    assert model.phrases() == ["hello there"]


def test_a_name_of_our_own_has_a_model_of_its_own(small_book, tmp_path):
    models = [
        compile_model(small_book, folder=tmp_path, called=name) for name in ("", "hobside", "mo")
    ]
    assert len({model.key for model in models}) == 3
    assert "\nhobside " in models[1].words.read_text()


def test_phrases_come_most_frequent_first(small_book, tmp_path):
    assert compile_model(small_book, None, tmp_path).phrases()[0] == "done"


def test_dictionary_prefers_the_recognisers_own():
    lines = list(dictionary({"rice", "bulgur"}))
    assert "rice R AY S\n" in lines
    assert "bulgur B AH L G ER\n" in lines

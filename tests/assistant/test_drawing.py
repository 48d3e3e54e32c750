"""What can be said is drawn: examples, amounts, the menu's words, in each other's places."""

import random
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.drawing import Amounts, gate_words, sentences, spoken, step_words
from assistant.phrasebook import read_phrase_book
from domain.cookbook import load_menu


@pytest.fixture(scope="module")
def menu():
    return load_menu("harbour-supper")


def test_examples_are_drawn_with_other_words_in_their_places(small_book, menu):
    drawn = sentences(small_book, menu, count=2000)
    assert drawn.count("done") > 100
    assert {"a small coffee", "an extra large coffee"} <= set(drawn)
    things = {m[1] for s in drawn if (m := re.fullmatch("the (.+) is done", s))}
    assert {"rice", "green beans", "pears"} <= things
    amounts = {m[1] for s in drawn if (m := re.fullmatch("convert (.+) to .+", s))}
    assert len(amounts) > 100


def test_an_amount_after_an_article_is_an_attribute(small_book):
    said = {s for s in sentences(small_book, count=3000) if s.endswith("timer")}
    assert "set a ten minute timer" in said
    assert not [s for s in said if re.search(r"set an? (an?|half)\b|minutes|hours", s)]


def test_figures_are_never_in_the_model(small_book):
    assert not [s for s in sentences(small_book) if re.search(r"\d|\bg\b", s)]


def test_gates_and_steps_can_be_said(small_book, menu):
    drawn = set(sentences(small_book, menu))
    assert set(gate_words(menu)) <= drawn
    assert {f"can i {step}" for step in step_words(menu)} <= drawn


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("What’s next?", "what's next"),
        ("sauté-pan (large)", "sauté pan large"),
        ("the beans's water", "the beans water"),
        ("2% milk & 12 ounces", "two percent milk and twelve ounces"),
        ("1,500 at 7:30", "one thousand five hundred at seven thirty"),
        ("channel 5, code 90210", "channel five code nine zero two one zero"),
        ("the 2nd mp3", "the 2nd mp3"),
        ("2½ cups at 7pm", "two and a half cups at seven pm"),
        ("¾ cup", "three quarters cup"),
        ("400g, 2 oz, ½ tsp", "four hundred grams two ounces a half teaspoons"),
        (
            "180°C or 25 mins in ml",
            "one hundred and eighty degrees celsius or twenty five minutes in millilitres",
        ),
        ("a g string, 4 cats, the oven's f", "a g string four cats the oven's f"),
    ],
)
def test_spoken(written, said):
    assert spoken(written) == said


@pytest.mark.parametrize(
    "kind", ["mass", "volume", "temperature", "length", "duration", "clock", "count", "unit"]
)
def test_every_kind_of_amount_is_drawn_whole(kind):
    amounts = Amounts()
    rng = random.Random(1)
    drawn = [amounts.draw(kind, rng) for _ in range(300)]
    assert len(set(drawn)) > 20
    assert not [text for text in drawn if re.search(r"[<>*\d]|  ", text)]


@given(st.text() | st.from_regex(r"[0-9]{0,400}[.,½]?[0-9]{0,400}"))
def test_anything_has_a_spoken_form_or_none(text):
    assert spoken(text) == " ".join(spoken(text).split())


def drawn_of(tmp_path, text, count=500):
    (tmp_path / "theirs.yml").write_text(text, encoding="utf-8")
    return set(sentences(read_phrase_book(tmp_path / "theirs.yml", lenient=True), count=count))


def test_synonyms_are_said_in_the_place_of_what_they_mean(tmp_path):
    drawn = drawn_of(
        tmp_path,
        "nlu:\n- intent: order\n  examples: |\n    - a cup of [tea](drink:TEA)\n"
        "- synonym: TEA\n  examples: |\n    - rosie lee\n"
        "- synonym: OTHER\n  examples: |\n    - nothing of the kind\n",
    )
    assert "a cup of rosie lee" in drawn
    assert not [said for said in drawn if "nothing" in said]


def test_what_examples_annotate_is_said_beside_the_lookup(tmp_path):
    drawn = drawn_of(
        tmp_path,
        "nlu:\n- intent: order\n  examples: |\n    - one [tea](drink)\n    - two [milk](drink)\n"
        "- lookup: drink\n  examples: |\n    - cocoa\n",
    )
    assert {"one milk", "two tea", "one cocoa", "two cocoa"} <= drawn


def test_an_entity_is_an_amount_when_it_is_said_as_one(tmp_path):
    drawn = drawn_of(
        tmp_path,
        "nlu:\n- intent: set\n  examples: |\n    - wait [10 minutes](duration)\n"
        "    - turn it [up](volume)\n    - turn it [down](volume)\n",
    )
    assert {"turn it up", "turn it down"} == {said for said in drawn if said.startswith("turn")}
    assert len({said for said in drawn if said.startswith("wait")}) > 50


def test_our_name_may_be_said_alone_and_before_a_command(small_book):
    drawn = sentences(small_book, count=2000, called="Hobside")
    assert "hobside" in drawn
    assert "hobside done" in drawn
    unnamed = [s for s in drawn if not s.startswith("hobside")]
    assert len(unnamed) == len(sentences(small_book, count=2000))

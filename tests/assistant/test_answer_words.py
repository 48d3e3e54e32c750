"""What a cook's word means, and what an oven's name is in degrees."""

import pytest
from kitchen import kitchen

from domain.kitchen_words import kitchen_words

HERE = kitchen()


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("what does blanching mean", "To blanch is"),
        ("what is a roux", "A roux is"),
        ("what are soft peaks", "Soft peaks"),
        ("what does caramelized mean", "To caramelise is"),
        ("what's a knob", "A knob of butter"),
        ("how big is an australian tablespoon", "An Australian tablespoon is 20 ml."),
        ("how big is a cup", "A metric cup is 250 ml."),
        ("what is a flumph", "I do not know that word."),
        # the widest of the NSW chart and NIST
        (
            "what is a moderate oven",
            "A moderate oven is 180–190 °C (350–375 °F). That is gas mark 4–5.",
        ),
        ("how hot is a very slow oven", "A very slow oven is 120 °C (250 °F)."),
        ("a cool oven", "A cool oven is 90 °C (200 °F)."),
        ("what do you call an oven at 220 celsius", "220 °C is a hot oven."),
    ],
)
def test_the_word_is_explained(text: str, answer: str) -> None:
    assert HERE.ask("explain_word", text).shown.startswith(answer)


def test_an_oven_is_told_in_the_cook_s_own_scale() -> None:
    reply = kitchen(units="us").ask("explain_word", "what is a hot oven")
    assert reply.spoken.startswith("A hot oven is four hundred to four hundred and fifty degrees")


def test_a_difference_is_told_by_both_words() -> None:
    said = HERE.ask("explain_word", "what's the difference between simmering and boiling").spoken
    assert "below boiling" in said
    assert "bubbles hard" in said


def test_every_oven_word_names_its_sources() -> None:
    shown = HERE.ask("explain_word", "what is a slow oven").shown
    assert shown.count("Source: ") == 2


@pytest.mark.parametrize("row", kitchen_words(), ids=lambda row: row.word)
def test_every_word_is_found_and_short(row) -> None:
    assert HERE.ask("explain_word", f"what does {row.word} mean").spoken == row.says
    assert len(row.says.split()) <= 15


@pytest.mark.parametrize("text", ["what's a pinch", "a dash"])
def test_a_rough_measure_alone_is_explained_not_converted(text: str) -> None:
    assert "of a teaspoon" in HERE.ask("scale_amount", text).spoken

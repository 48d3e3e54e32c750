"""Pieces, handfuls and tins in grams, and back: against the published household weights."""

import pytest
from kitchen import SmallKitchen, kitchen


@pytest.fixture
def here() -> SmallKitchen:
    return kitchen()


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        # USDA SR28: a medium onion 110 g, a small one 70; a large egg 50; a clove 3; a stalk 40
        ("how much is two onions in grams", "2 medium onions: about 220 g"),
        ("two small onions in grams", "2 small onions: about 140 g"),
        ("2 to 3 onions in grams", "2–3 medium onions: about 220–330 g"),
        ("half an onion in grams", "½ medium onion: about 55 g"),
        ("a quarter of an onion in grams", "¼ medium onion: about 28 g"),
        ("three large eggs in grams", "3 large eggs: about 150 g"),
        ("a dozen eggs in grams", "12 large eggs: about 600 g"),
        ("a clove of garlic in grams", "1 clove of garlic: about 3 g"),
        ("a stick of celery in grams", "1 stick of celery: about 40 g"),
        ("two rashers of bacon in grams", "2 slices of bacon: about 56 g"),
        # USDA SR28: a lemon yields 48 g, and a cup of the juice is 244 g: 46.5 ml
        ("juice of two lemons in ml", "juice of 2 lemons: about 93 ml"),
        ("how much juice is in a lemon", "juice of 1 lemon: about 47 ml"),
        ("three zucchini in grams", "3 medium zucchini: about 588 g"),
    ],
)
def test_pieces_to_grams(here: SmallKitchen, text: str, answer: str) -> None:
    assert here.ask("convert", text).shown == answer


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("how many onions is 300 grams", "300 g ≈ 2½ medium onions, of 110 g each"),  # 2.73
        ("how many eggs in 250 grams", "250 g ≈ 5 large eggs, of 50 g each"),
        ("how many cloves of garlic is 30 grams", "30 g ≈ 10 cloves of garlic, of 3 g each"),
        ("how many large onions is half a kilo", "0.5 kg ≈ 3½ large onions, of 150 g each"),
        ("two kilos of beetroot is how many", "2 kg ≈ 24 beetroots, of 82 g each"),
        ("how many potatoes is a cup", "1 cup ≈ ½ medium potato, of 213 g each"),  # 158 g
    ],
)
def test_grams_to_pieces(here: SmallKitchen, text: str, answer: str) -> None:
    assert here.ask("convert", text).shown == answer


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("two handfuls of almonds", "2 handfuls of almonds: about 50–70 g (common practice)."),
        ("a knob of butter in grams", "1 knob of butter: about 10–15 g (common practice)."),
        ("grams in a bunch of cilantro", "1 bunch of cilantro: about 25–35 g (common practice)."),
        ("a bunch of spinach in grams", "1 bunch of spinach: about 340 g"),  # USDA SR28 11457
    ],
)
def test_rough_measures_say_what_they_are(here: SmallKitchen, text: str, answer: str) -> None:
    assert here.ask("convert", text).shown.startswith(answer)


@pytest.mark.parametrize(
    "text",
    ["a handful of gravel in grams", "three dragonfruits in grams", "two cloves of flour in grams"],
)
def test_what_has_no_weight_is_not_guessed(here: SmallKitchen, text: str) -> None:
    reply = here.ask("convert", text)
    assert reply.measured is None
    assert "I have no" in reply.shown or "I do not know" in reply.shown


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        # USDA SR28: 448 g of chickpeas in their water, 254 g drained; 254/448 of 400 g is 227 g
        ("how many grams is a can of chickpeas drained", "Chickpea: about 254 g drained"),
        ("a 400 gram tin of chickpeas drained", "Chickpea: about 227 g drained, of about 400 g"),
        ("a 400 gram tin of butter beans how much drained", "Butter bean: about 240 g drained"),
    ],
)
def test_tins_drained(here: SmallKitchen, text: str, answer: str) -> None:
    reply = here.ask("convert", text)
    assert reply.shown.startswith(answer)
    assert "Source: " in reply.shown

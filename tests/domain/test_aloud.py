"""Any text in words alone, and the words a cook would use."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.aloud import aloud


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("400 g flour", "four hundred grams flour"),
        ("1 kg 250 g", "one kilogram two hundred and fifty grams"),
        ("2 x 400 g tins", "two four hundred gram tins"),
        ("2 × 400g tins of tomatoes", "two four hundred gram tins of tomatoes"),
        ("a 20 cm pan", "a twenty centimetre pan"),
        ("in 2 cm cubes", "in two centimetre cubes"),
        ("20 x 30 cm", "twenty by thirty centimetres"),
        ("about 130 g each", "about one hundred and thirty grams each"),
        ("½ tsp salt", "half a teaspoon salt"),
        ("1½ cups", "one and a half cups"),
        ("1 1/2 cups", "one and a half cups"),
        ("2½ tbsp", "two and a half tablespoons"),
        ("⅓ cup", "a third of a cup"),
        ("2/3 cup stock", "two thirds of a cup stock"),
        ("4-5 min", "four to five minutes"),
        ("4–5 minutes", "four to five minutes"),
        ("3 to 4 days", "three to four days"),
        ("14.1 oz", "fourteen point one ounces"),
        ("180 °C", "one hundred and eighty degrees Celsius"),
        ("180°C fan", "one hundred and eighty degrees Celsius in a fan oven"),
        ("180C", "one hundred and eighty degrees Celsius"),
        ("-18 °C (0 °F)", "minus eighteen degrees Celsius, zero degrees Fahrenheit,"),
        ("71.1 degrees Celsius", "seventy-one point one degrees Celsius"),
        ("heat the oven to 180", "heat the oven to one eighty"),
        ("heat the oven to 200.", "heat the oven to two hundred."),
        ("gas mark 4", "gas mark four"),
        ("gas mark ½", "gas mark a half"),
        ("At 18:30, serve.", "At half past six, serve."),
        ("at 19:10", "at ten past seven"),
        ("3,000 feet", "three thousand feet"),
        ("within 0 s; it is 12 min late", "within zero seconds; it is twelve minutes late"),
        ("1 h 15 min", "one hour fifteen minutes"),
        ("Call 112 or 999.", "Call one one two or nine nine nine."),
        ("10% more", "ten per cent more"),
        ("the 3rd tray, the 21st, the 20th", "the third tray, the twenty-first, the twentieth"),
        ("January 2025", "January twenty twenty-five"),
        ("SR28, NDB 20444", "S R twenty-eight, N D B two zero four four four"),
        ("USDA FSIS", "U S D A F S I S"),
        ("salt & pepper", "salt and pepper"),
        ("c. 400 g", "about four hundred grams"),
        ("with vitamin C.", "with vitamin C."),
        ("e.g. a few tbsp. oil", "for example a few tablespoons oil"),
        ("“flat-roast-chicken/check it”", "flat-roast-chicken or check it"),
        ("a 9\" tin", "a nine inch tin"),
        ("-1 people", "minus one people"),
        ("Timer 3 is up.", "Timer three is up."),
        ("it's 5 o’clock", "it's five o'clock"),
        ("", ""),
    ],
)  # fmt: skip
def test_said_as_a_cook_would(written: str, said: str) -> None:
    assert aloud(written) == said


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("half past six", "six thirty"),
        ("2500 & 1", "two thousand five hundred one"),
        ("at 18:30", "at six thirty"),
        ("350 g", "three hundred fifty grams"),
        ("two hundred and the pan", "two hundred and the pan"),
        ("two and a half cups", "two and a half cups"),
    ],
)
def test_american_forms(written: str, said: str) -> None:
    assert aloud(written, "us") == said


_WRITTEN = st.one_of(
    st.integers(0, 10**7).map(str),
    st.floats(0, 5000).map(lambda value: f"{value:.2f}"),
    st.sampled_from(
        ["g", "kg", "ml", "tbsp", "°C", "°F", "C fan", "½", "1¾", "⅞", "x", "×", "-", "–", "/", "%",
         "(", ")", ":", ".", ",", "tins", "min", "h", "s", "oz", "lb", "19:05", "7th", "gas mark",
         "“", "USDA", "Call", "NDB", "²", "٣", "Ⅳ", "1/2", "3/0", "é", "→", "&", "\u202e", "to"]
    ),
)  # fmt: skip
_GAPS = st.sampled_from(["", " "])


@given(st.lists(st.tuples(_WRITTEN | st.text(max_size=4), _GAPS), max_size=12))
def test_no_figure_and_no_sign_is_ever_left(pieces: list[tuple[str, str]]) -> None:
    for english in ("uk", "us"):
        said = aloud("".join(piece + gap for piece, gap in pieces), english)
        signs = {c for c in said if unicodedata.category(c)[0] not in "LM"}
        assert signs <= set(" -'.,;:!?"), said


@given(st.lists(st.tuples(_WRITTEN, _GAPS), max_size=12))
def test_what_is_in_words_stays_as_it_is(pieces: list[tuple[str, str]]) -> None:
    for english in ("uk", "us"):
        said = aloud("".join(piece + gap for piece, gap in pieces), english)
        assert aloud(said, english) == said

"""The amount grammar, typed and spoken."""

from datetime import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.amounts import find_amounts, mask
from assistant.number_words import read_number, tokens_of
from domain.kitchen import UnitSystem
from domain.phrasing import clock_spoken, number_spoken, spoken

NOW = datetime(2026, 11, 24, 18, 0)


def heard(text: str, measures: UnitSystem = "metric") -> list[tuple[object, ...]]:
    """The amounts as (text, value, high, unit, kind), without the empty fields."""
    return [
        (a.text, a.value, *([a.high] if a.high else []), *([a.unit] if a.unit else []), a.kind)
        for a in find_amounts(text, measures, NOW)
    ]


@pytest.mark.parametrize(
    ("text", "value", "unit", "kind"),
    [
        ("four hundred grams", 400, "gram", "mass"),
        ("400 g", 400, "gram", "mass"),
        ("400g", 400, "gram", "mass"),
        ("a million kilos", 1e6, "kilogram", "mass"),
        ("one hundred and fifty five thousand grams", 155_000, "gram", "mass"),
        ("1 lb 4 oz", 20, "ounce", "mass"),
        ("2 and a half pounds", 2.5, "pound", "mass"),
        ("half a kilo", 0.5, "kilogram", "mass"),
        ("two sticks", 2, "stick", "mass"),
        ("a cup and a half", 1.5, "cup", "volume"),
        ("one and a half cups", 1.5, "cup", "volume"),
        ("half a cup", 0.5, "cup", "volume"),
        ("a third of a cup", 1 / 3, "cup", "volume"),
        ("two thirds cup", 2 / 3, "cup", "volume"),
        ("three and three quarter cups", 3.75, "cup", "volume"),
        ("¾ cup", 0.75, "cup", "volume"),
        ("1 1/2 tsp", 1.5, "teaspoon", "volume"),
        ("1½ tsp", 1.5, "teaspoon", "volume"),
        ("an eighth of a teaspoon", 0.125, "teaspoon", "volume"),
        ("two heaped teaspoons", 2, "teaspoon", "volume"),
        ("two point five litres", 2.5, "litre", "volume"),
        ("12 fl. oz", 12, "fluid ounce", "volume"),
        ("2 T", 2, "tablespoon", "volume"),
        ("2 c", 2, "cup", "volume"),
        ("a pinch", 1, "pinch", "volume"),
        ("minus two cups", -2, "cup", "volume"),
        ("-2 cups", -2, "cup", "volume"),
        ("1,000 ml", 1000, "millilitre", "volume"),
        ("1,5 l", 1.5, "litre", "volume"),
        ("180 c", 180, "celsius", "temperature"),
        ("one eighty degrees celsius", 180, "celsius", "temperature"),
        ("350 degrees", 350, "fahrenheit", "temperature"),
        ("-18 °C", -18, "celsius", "temperature"),
        ("180 fan", 180, "fan celsius", "temperature"),
        ("fan 160", 160, "fan celsius", "temperature"),
        ("gas mark five", 5, "gas mark", "temperature"),
        ("gas mark half", 0.5, "gas mark", "temperature"),
        ("23cm", 23, "centimetre", "length"),
        ("nine inch", 9, "inch", "length"),
        ("a couple of minutes", 2, "minute", "duration"),
        ("three quarters of an hour", 0.75, "hour", "duration"),
        ("an hour and a half", 1.5, "hour", "duration"),
        ("an hour and twenty minutes", 80, "minute", "duration"),
        ("1h20", 80, "minute", "duration"),
        ("one minute thirty", 90, "second", "duration"),
        ("five more minutes", 5, "minute", "duration"),
        ("ten past seven", "19:10", None, "clock"),
        ("twelve minutes to eight", "19:48", None, "clock"),
        ("quarter to eight", "19:45", None, "clock"),
        ("half seven", "19:30", None, "clock"),
        ("half past six", "18:30", None, "clock"),
        ("seven thirty pm", "19:30", None, "clock"),
        ("seven oh five", "19:05", None, "clock"),
        ("7pm", "19:00", None, "clock"),
        ("seven o'clock", "19:00", None, "clock"),
        ("seven in the morning", "07:00", None, "clock"),
        ("19:10", "19:10", None, "clock"),
        ("07:10", "07:10", None, "clock"),
        ("5:45", "05:45", None, "clock"),
        ("noon", "12:00", None, "clock"),
        ("a dozen", 12, None, "count"),
        ("half a dozen", 6, None, "count"),
        ("ten", 10, None, "count"),
        ("4 cloves", 4, "clove", "count"),
    ],
)
def test_a_whole_amount(text: str, value: float | str, unit: str | None, kind: str) -> None:
    found = find_amounts(text, "metric", NOW)
    assert [(a.text, a.kind, a.unit) for a in found] == [(text, kind, unit)]
    assert found[0].value == (value if isinstance(value, str) else pytest.approx(value))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2-3 tbsp of oil", [("2-3 tbsp", 2, 3, "tablespoon", "volume")]),
        ("two to three tablespoons", [("two to three tablespoons", 2, 3, "tablespoon", "volume")]),
        (
            "between ten and fifteen minutes",
            [("ten and fifteen minutes", 10, 15, "minute", "duration")],
        ),
        ("an hour or two", [("an hour or two", 1, 2, "hour", "duration")]),
        ("four to six people", [("four to six", 4, 6, "count")]),
        ("ten to twelve minutes", [("ten to twelve minutes", 10, 12, "minute", "duration")]),
    ],
)
def test_ranges(text: str, expected: list[tuple[object, ...]]) -> None:
    assert heard(text) == expected


@pytest.mark.parametrize(
    ("text", "masked"),
    [
        ("convert 400 g to ounces", "convert xmass to xunit"),
        ("convert four hundred grams into ounces", "convert xmass into xunit"),
        ("what is 180 celsius in fahrenheit", "what is xtemperature in xunit"),
        ("what's 350 in celsius", "what's xtemperature in xunit"),
        ("what's 200 in a fan oven", "what's xtemperature in a xunit"),
        ("what gas mark is 180", "what xunit is xtemperature"),
        ("how many grams in a cup", "how many xunit in xvolume"),
        ("400 gram to ounce how much", "xmass to xunit how much"),
        ("how many minutes left", "how many minutes left"),
        ("I want grams not cups", "I want xunit not xunit"),
        ("are the cups clean", "are the cups clean"),
        ("how long per kilo", "how long per xmass"),
        ("only one pan", "only xcount pan"),
        ("one moment please", "one moment please"),
        ("in pounds and ounces please", "in xunit and xunit please"),
        ("put the oven at one eighty", "put the oven at xtemperature"),
        ("preheat to 200 for ten minutes", "preheat to xtemperature for xduration"),
        ("the eggs at two thirty", "the eggs at xclock"),
        ("the oven at two thirty", "the oven at xtemperature"),
        ("dinner for six at seven", "dinner for xcount at xclock"),
        ("push dinner to eight", "push dinner to xclock"),
        ("set a ten minute timer", "set a xduration timer"),
        ("a thirty second timer", "a xduration timer"),
        ("timer one ten minutes", "timer one xduration"),
        ("two onions", "xcount onions"),
        ("one more guest", "xcount more guest"),
        ("three cloves of garlic", "xcount of garlic"),
        ("two 400 g tins", "xcount xmass tins"),
        ("9 by 13 inch tin", "xlength by xlength tin"),
        ("250 ml or 1 cup", "xvolume or xvolume"),
        ("half an onion", "xcount an onion"),
    ],
)
def test_masks(text: str, masked: str) -> None:
    assert mask(text, find_amounts(text, "metric", NOW)) == masked


@pytest.mark.parametrize(
    "text",
    [
        "the other one",
        "the second tray",
        "that one is done",
        "which one can go in now",
        "one is ready",
        "no one is here",
        "where is the cup",
        "hang on a second",
        "wait a minute",
        "tray two is done",
        "what is on ring 3",
        "one can help",
        "it is about to drop",
        "pound the garlic",
        "a tray for the rice",
        "turn on the fan",
        "half of that",
        "half the recipe",
        "the 2nd batch",
        "fifty percent",
        "1/0 cups",
        "1e309 g",
        "stir it in and carry on",
    ],
)
def test_what_is_no_amount(text: str) -> None:
    assert heard(text) == []


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("ten minutes not twenty", [(10, "minute"), (20, "minute")]),
        ("not four hundred, five hundred grams", [(400, "gram"), (500, "gram")]),
        ("a 20 cm tin instead of 23", [(20, "centimetre"), (23, "centimetre")]),
        ("at eight not seven", [("20:00", None), ("19:00", None)]),
        ("two onions, 3 minutes", [(2, None), (3, "minute")]),
    ],
)
def test_a_bare_number_set_against_a_measure(text: str, values: list[object]) -> None:
    assert [(a.value, a.unit) for a in find_amounts(text, "metric", NOW)] == values


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("will we make seven", "clock"),
        ("will we be ready for seven", "clock"),
        ("push it to eight", "clock"),
        ("change dinner to seven", "clock"),
        ("make it ten", "count"),
        ("make it for six", "count"),
        ("we are six tonight", "count"),
        ("I'm cooking for four tonight", "count"),
        ("at six tonight", "clock"),
    ],
)
def test_hours_and_heads(text: str, kind: str) -> None:
    assert [a.kind for a in find_amounts(text, "metric", NOW)] == [kind]


def test_bare_degrees_are_the_cooks_own() -> None:
    assert heard("180 degrees")[0][2] == "celsius"
    assert heard("180 degrees", "us")[0][2] == "fahrenheit"


def test_a_time_without_am_or_pm_is_the_next_one() -> None:
    def at(now: datetime) -> object:
        return find_amounts("ten past seven", "metric", now)[0].value

    assert at(datetime(2026, 11, 24, 6, 0)) == "07:10"
    assert at(datetime(2026, 11, 24, 7, 10)) == "19:10"
    assert at(datetime(2026, 11, 24, 19, 30)) == "07:10"


@given(st.integers(0, 999_999))
def test_number_words_and_back(number: int) -> None:
    found = read_number(tokens_of(number_spoken(number)), 0)
    assert found is not None
    assert found.value == number
    assert found.end == len(tokens_of(number_spoken(number)))


@given(
    st.integers(1, 40),
    st.sampled_from([0, 1 / 4, 1 / 3, 1 / 2, 2 / 3, 3 / 4]),
    st.sampled_from([("us_cup", "cup"), ("metric_tablespoon", "tablespoon"), ("pound", "pound")]),
)
def test_spoken_amounts_are_heard_again(whole: int, part: float, unit: tuple[str, str]) -> None:
    value = whole + part if unit[0] == "us_cup" else whole + (0.5 if part else 0)
    found = find_amounts(spoken(value, unit[0]), "us", NOW)
    assert [(a.unit, a.kind) for a in found] == [(unit[1], found[0].kind)]
    assert found[0].value == pytest.approx(value)


@given(st.integers(1, 11), st.integers(0, 59))
def test_spoken_times_are_heard_again(hour: int, minute: int) -> None:
    said = clock_spoken(datetime(2026, 11, 24, hour + 11, minute))
    found = find_amounts(f"we eat at {said}", "metric", datetime(2026, 11, 24, 10, 59))
    assert [a.value for a in found] == [f"{hour + 11:02}:{minute:02}"]


SCRAPS = """a an one two three half third quarter hundred thousand and of to or at by for in minus
point cup cups gram grams g c f in oven fan gas mark degrees minute minutes second hour past seven
thirty eighty pm o'clock dozen couple 1 1/2 ½ 2-3 / - : . , 1/0 1e309 9 400 the tray ounces
between tbsp °C % x another more"""
KITCHEN_WORDS = st.sampled_from(sorted(set(SCRAPS.split())))


@given(st.lists(KITCHEN_WORDS, max_size=12).map(" ".join) | st.text(max_size=200))
def test_any_text_is_taken_and_spans_are_sound(text: str) -> None:
    found = find_amounts(text, "metric", NOW)
    last = 0
    for amount in found:
        assert last <= amount.start < amount.end <= len(text)
        assert amount.text == text[amount.start : amount.end]
        assert (amount.high is None) or amount.high > float(amount.value or 0)
        last = amount.end
    assert mask(text, ()) == text


@pytest.mark.parametrize(
    "text", ["9" * 10_000, "one " * 2_500, "🍅" * 5_000, "1/" * 5_000, "a " * 5_000]
)
def test_long_nonsense_is_taken(text: str) -> None:
    assert find_amounts(text) is not None

"""Durations, gaps, temperatures and amounts as files write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain import written
from domain.errors import FileProblem
from domain.kitchen import UnitSystem
from domain.menu import Duration
from domain.yamlfile import Entry, parse


def entry(value: str) -> Entry:
    return parse(f"a: {value}\n", "a.yaml").pairs()["a"]


def complaint(caught: pytest.ExceptionInfo[FileProblem]) -> str:
    return str(caught.value).removeprefix("a.yaml:1: a: ")


@pytest.mark.parametrize(
    ("value", "low", "likely", "high"),
    [
        ("12 min", 720, 720, 720),
        ("12min", 720, 720, 720),
        ("1 h 10 min", 4200, 4200, 4200),
        ("1.5 hours", 5400, 5400, 5400),
        ("90 s", 90, 90, 90),
        ("8-12 min", 480, 600, 720),
        ("8 – 12 minutes", 480, 600, 720),
        ("8 to 12 min", 480, 600, 720),
        ("45 min - 1 h 5 min", 2700, 3300, 3900),
        ("30-60 s", 30, 45, 60),
        ("{likely: 10 min, from: 8 min, to: 14 min}", 480, 600, 840),
    ],
)
def test_durations(value: str, low: int, likely: int, high: int) -> None:
    assert written.duration(entry(value)) == Duration(likely_s=likely, low_s=low, high_s=high)


HOW = "write it like “12 min”, “1 h 10 min”, “90 s” or “8-12 min”"


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("0 min", "lasts no time at all; give every step at least a few seconds"),
        ("-5 min", f"“-5 min” is less than nothing; {HOW}"),
        ("2 days", "“2 days” is days long; list what is done the day before under “ahead”"),
        ("25 h", "“25 h” is over a day; split it, or move it under “ahead”"),
        ("12", f"“12” has no unit; {HOW}"),
        ("a while", f"“a while” is not a length of time; {HOW}"),
        ("5 fortnights", f"“fortnights” is not a unit of time; {HOW}"),
        ("1-2-3 min", f"“1-2-3 min” is not a length of time; {HOW}"),
        ("12-8 min", "runs backwards; write the shorter time first, the likely in between"),
        (
            "{likely: 20 min, from: 8 min, to: 14 min}",
            "runs backwards; write the shorter time first, the likely in between",
        ),
    ],
)
def test_impossible_durations(value: str, message: str) -> None:
    with pytest.raises(FileProblem) as caught:
        written.duration(entry(value))
    assert complaint(caught) == message


@given(st.integers(min_value=1, max_value=written.DAY_S))
def test_any_length_of_time_is_read_as_written(total: int) -> None:
    hours, rest = divmod(total, 3600)
    minutes, seconds = divmod(rest, 60)
    parts = [(hours, "h"), (minutes, "min"), (seconds, "s")]
    value = " ".join(f"{number} {unit}" for number, unit in parts if number)
    assert written.seconds(entry(value)) == total


@given(st.integers(1, 700), st.integers(0, 700))
def test_any_range_keeps_its_ends_and_holds_the_likely(low: int, more: int) -> None:
    found = written.duration(entry(f"{low}-{low + more} min"))
    assert (found.low_s, found.high_s) == (low * 60, (low + more) * 60)
    assert found.low_s <= found.likely_s <= found.high_s


NUMBERISH = st.text(st.sampled_from("0123456789 ./-½⅓hming’e"), max_size=30)


def as_entry(text: str) -> Entry:
    quoted = entry('"x"')
    quoted.node.value = text
    return quoted


@given(st.text(max_size=30) | NUMBERISH)
def test_any_text_is_a_duration_or_is_refused(text: str) -> None:
    try:
        found = written.duration(as_entry(text))
    except FileProblem:
        return
    assert 0 < found.low_s <= found.likely_s <= found.high_s <= written.DAY_S


@given(st.text(max_size=30) | NUMBERISH)
def test_any_text_is_an_amount_or_is_refused(text: str) -> None:
    try:
        found = written.amount(as_entry(text), "metric")
    except FileProblem:
        return
    assert found.value is None or 0 < found.value <= 100_000


def test_a_number_with_hundreds_of_digits_is_refused() -> None:
    for read in (written.duration, written.temperature, lambda one: written.amount(one, "metric")):
        with pytest.raises(FileProblem):
            read(entry("9" * 400 + " g"))


@pytest.mark.parametrize(
    ("value", "gap"),
    [
        ("any time", (0, None)),
        ("at once", (0, 0)),
        ("within 5 min", (0, 300)),
        ("at least 10 min", (600, None)),
        ("5-10 min", (300, 600)),
        ("5 min", (300, 300)),
    ],
)
def test_gaps(value: str, gap: tuple[int, int | None]) -> None:
    assert written.gap(entry(value)) == gap


def test_a_least_gap_above_the_most() -> None:
    with pytest.raises(FileProblem) as caught:
        written.gap(entry("10-5 min"))
    assert complaint(caught) == (
        "the least gap is above the most (“10-5 min”); write the shorter time first"
    )


@pytest.mark.parametrize(
    ("value", "celsius"),
    [
        ("180 C", 180.0),
        ("180°C", 180.0),
        ("350 F", 176.7),
        ("160 C fan", 180.0),
        ("gas 4", 176.7),
        ("gas mark 4", 176.7),
        ("gas 1/2", 121.1),
        ("gas ½", 121.1),
    ],
)
def test_oven_temperatures(value: str, celsius: float) -> None:
    assert written.temperature(entry(value)) == celsius


@pytest.mark.parametrize("value", ["hot", "180", "gas 0", "gas 11", "180 K", "20 C", "900 F"])
def test_no_oven_temperature(value: str) -> None:
    with pytest.raises(FileProblem):
        written.temperature(entry(value))


@pytest.mark.parametrize(
    ("value", "measures", "amount"),
    [
        ("400 g", "metric", (400, None, "gram")),
        ("400g", "metric", (400, None, "gram")),
        ("1 1/2 cups", "us", (1.5, None, "us_cup")),
        ("1½ cups", "metric", (1.5, None, "metric_cup")),
        ("½ tsp", "metric", (0.5, None, "metric_teaspoon")),
        ("⅓ cup", "us", (1 / 3, None, "us_cup")),
        ("2", "metric", (2, None, None)),
        ("2-3 tbsp", "metric", (2, 3, "metric_tablespoon")),
        ("2 to 3 tbsp", "us", (2, 3, "us_tablespoon")),
        ("1 pint", "uk", (1, None, "imperial_pint")),
        ("2 cloves", "metric", (2, None, "clove")),
        ("to taste", "metric", (None, None, None)),
    ],
)
def test_amounts(value: str, measures: UnitSystem, amount: tuple[float, float, str]) -> None:
    found = written.amount(entry(value), measures)
    assert (found.value, found.high, found.unit) == pytest.approx(amount)


AMOUNT = "write it like “400 g”, “1 1/2 cups”, “2-3 tbsp”, “2” or “to taste”"


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("some", f"“some” is not an amount; {AMOUNT}"),
        ("-2 cups", f"“-2 cups” is not an amount; {AMOUNT}"),
        ("0 g", f"“0 g” cannot be measured out; {AMOUNT}"),
        ("3-2 tbsp", f"“3-2 tbsp” cannot be measured out; {AMOUNT}"),
        ("1/0 cup", f"“1/0 cup” divides by zero; {AMOUNT}"),
        ("1000000 kg", f"“1000000 kg” cannot be measured out; {AMOUNT}"),
        ("5 min", f"“min” does not measure food; {AMOUNT}"),
        ("2 tabelspoons", "“tabelspoons” is not a unit known here; did you mean tablespoon?"),
    ],
)
def test_impossible_amounts(value: str, message: str) -> None:
    with pytest.raises(FileProblem) as caught:
        written.amount(entry(value), "metric")
    assert complaint(caught) == message


@pytest.mark.parametrize(("value", "metres"), [("15 m", 15), ("2000 ft", 609.6), ("-3 m", -3)])
def test_heights(value: str, metres: float) -> None:
    assert written.altitude_m(entry(value)) == metres


@pytest.mark.parametrize("value", ["high", "15", "9000 m"])
def test_no_height(value: str) -> None:
    with pytest.raises(FileProblem):
        written.altitude_m(entry(value))


@pytest.mark.parametrize(("value", "count"), [("1 serving", 1), ("12 servings", 12)])
def test_servings(value: str, count: int) -> None:
    assert written.servings(entry(value)) == count


@pytest.mark.parametrize("value", ["2", "0 servings", "101 servings", "2.5 servings", "two"])
def test_no_number_of_servings(value: str) -> None:
    with pytest.raises(FileProblem, match="is not a number of servings; write it like"):
        written.servings(entry(value))

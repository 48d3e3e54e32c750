"""Recipes are found wherever a page has them, and what cannot be read is told or kept."""

import html
import json
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.recipe_page import Direction, recipes_in
from domain.errors import FileProblem

RECIPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Ropewalk eggs",
    "recipeYield": "2 servings",
    "recipeIngredient": ["4 eggs", "salt"],
    "recipeInstructions": "Boil the eggs for 8 minutes.",
}


def page(*scripts: str) -> str:
    tags = "".join(f'<script type="application/ld+json">{script}</script>' for script in scripts)
    return f"<!doctype html><html><head>\n{tags}</head><body><p>Eggs</p></body></html>"


def read(tmp_path: Path, text: str | bytes, name: str = "page.html"):
    file = tmp_path / name
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    return recipes_in(file)


@pytest.mark.parametrize(
    "block",
    [
        RECIPE,
        [{"@type": "WebSite"}, RECIPE],
        {"@graph": [{"@type": "BreadcrumbList"}, RECIPE | {"@type": ["Thing", "Recipe"]}]},
        {"@type": "Article", "mainEntity": RECIPE},
        {f"schema:{key}" if key[0] != "@" else key: value for key, value in RECIPE.items()},
        RECIPE | {"@type": "http://schema.org/Recipe"},
    ],
)
def test_a_recipe_is_found_wherever_it_stands(tmp_path, block):
    (found,) = read(tmp_path, page('{"@type": "WebPage"}', json.dumps(block)))
    assert found.title == "Ropewalk eggs"
    assert found.yields == ("2 servings",)
    assert found.ingredients == ("4 eggs", "salt")
    assert found.directions == (Direction("Boil the eggs for 8 minutes."),)
    assert found.line == 2


def test_json_by_itself_and_the_same_recipe_twice_is_one(tmp_path):
    assert len(read(tmp_path, json.dumps([RECIPE, RECIPE]), "eggs.jsonld")) == 1
    assert len(read(tmp_path, page(json.dumps(RECIPE), json.dumps(RECIPE)))) == 1
    assert len(read(tmp_path, json.dumps([RECIPE, RECIPE | {"name": "Others"}]), "a.json")) == 2


@pytest.mark.parametrize(
    ("instructions", "told"),
    [
        ("1. Boil.\n2) Peel.\n\nStep 3: Eat.", ["Boil.", "Peel.", "Eat."]),
        ("<ol><li>Boil.</li><li>Peel &amp;amp; eat.</li></ol>", ["Boil.", "Peel & eat."]),
        (["Boil.", {"@type": "HowToStep", "text": "Peel."}], ["Boil.", "Peel."]),
        ({"@type": "HowToStep", "name": "Boil."}, ["Boil."]),
        ({"@type": "ItemList", "itemListElement": [
            {"@type": "ListItem", "item": {"@type": "HowToStep", "text": "Boil."}}]}, ["Boil."]),
        ({"@type": "HowToStep", "itemListElement": [
            {"@type": "HowToDirection", "text": "Boil."},
            {"@type": "HowToTip", "text": "The older the egg, the easier."}]},
         ["Boil.", "The older the egg, the easier."]),
    ],
)  # fmt: skip
def test_instructions_in_all_their_forms(tmp_path, instructions, told):
    (found,) = read(tmp_path, page(json.dumps(RECIPE | {"recipeInstructions": instructions})))
    assert [one.text for one in found.directions] == told


def test_sections_keep_their_names(tmp_path):
    section = {"@type": "HowToSection", "name": "To finish", "itemListElement": ["Peel."]}
    (found,) = read(tmp_path, page(json.dumps(RECIPE | {"recipeInstructions": ["Boil.", section]})))
    assert found.directions == (Direction("Boil."), Direction("Peel.", "To finish"))


@pytest.mark.parametrize(
    "broken",
    [
        json.dumps(RECIPE)[:-1] + ",}",
        json.dumps(RECIPE)[:-1],
        json.dumps(RECIPE).replace("Boil the", 'Boil "the"'),
    ],
)
def test_broken_json_is_put_right_and_told(tmp_path, broken):
    (found,) = read(tmp_path, page(broken))
    assert found.ingredients == ("4 eggs", "salt")
    assert "put right" in found.unread[0]


@pytest.mark.parametrize(
    "around",
    [
        "/*<![CDATA[*/{}/*]]>*/",
        "//<![CDATA[\n{}\n//]]>",
        "<!--\n{}\n-->",
        "{};",
        "\ufeff{}",
        "\n{}\n",
    ],
)
def test_what_pages_put_around_json_is_no_trouble(tmp_path, around):
    (found,) = read(tmp_path, page(around.replace("{}", json.dumps(RECIPE))))
    assert found.unread == ()


def test_json_with_entities_and_two_values_in_one_script(tmp_path):
    (found,) = read(tmp_path, page(html.escape(json.dumps(RECIPE))))
    assert (found.title, found.unread) == ("Ropewalk eggs", ())
    other = json.dumps(RECIPE | {"name": "Others"})
    assert [one.title for one in read(tmp_path, page(json.dumps(RECIPE) + other))] == [
        "Ropewalk eggs", "Others",
    ]  # fmt: skip


def test_raw_line_breaks_in_texts_are_no_trouble(tmp_path):
    (found,) = read(tmp_path, page(json.dumps(RECIPE).replace("eggs for", "eggs\nfor")))
    assert found.unread == ()


def test_what_is_no_instruction_is_kept_as_text(tmp_path):
    block = RECIPE | {"recipeInstructions": ["Boil.", 5, {"image": "x.jpg"}], "prepTime": "soon"}
    (found,) = read(tmp_path, page(json.dumps(block)))
    assert any("x.jpg" in line for line in found.unread)
    assert any("5" in line for line in found.unread)
    assert "prepTime: soon" in found.unread


@given(st.integers(0, 9), st.integers(0, 47), st.integers(0, 59), st.integers(0, 59))
def test_iso_durations(tmp_path_factory, days, hours, minutes, seconds):
    written = f"P{days}DT{hours}H{minutes}M{seconds}S"
    block = RECIPE | {"totalTime": written}
    (found,) = read(tmp_path_factory.mktemp("iso"), json.dumps(block), "a.json")
    length = timedelta(days=days, hours=hours, minutes=minutes, seconds=seconds)
    assert found.total_s == (round(length.total_seconds()) or None)


@pytest.mark.parametrize(
    ("written", "seconds"),
    [("PT1H30M", 5400), ("pt20m", 1200), ("45 minutes", 2700), ("1 hr 15 mins", 4500),
     ("PT0M", None), ({"@type": "QuantitativeValue", "maxValue": "PT2H"}, 7200)],
)  # fmt: skip
def test_times_as_pages_write_them(tmp_path, written, seconds):
    (found,) = read(tmp_path, json.dumps(RECIPE | {"cookTime": written}), "a.json")
    assert found.cook_s == seconds


@pytest.mark.parametrize(
    ("name", "content", "wrong", "line"),
    [
        ("a.html", page('{"@type": "Article"}'), "holds no schema.org Recipe, only Article", 0),
        ("a.html", "<p>Hello</p>", "holds no JSON-LD", 0),
        ("a.html", '<div itemtype="https://schema.org/Recipe">', "microdata", 0),
        ("a.html", '<meta charset="klingon">', "names a charset that nobody knows", 0),
        ("a.html", '<meta charset="undefined">', "names a charset that nobody knows", 0),
        ("a.json", "[" * 100_000, "is nested too deeply", 1),
        ("a.json", '{"@graph":' * 50_000 + "1" + "}" * 50_000, "is nested too deeply", 1),
        ("a.json", b'{\n"name": "Cr\xe8me"}', "holds bytes that are not UTF-8", 2),
        ("a.json", "{" + '"a" ' * 200_000, "holds broken JSON", 1),
    ],
)
def test_what_is_no_recipe_is_told_plainly(tmp_path, name, content, wrong, line):
    with pytest.raises(FileProblem) as caught:
        read(tmp_path, content, name)
    assert wrong in caught.value.wrong
    assert caught.value.line == line
    assert caught.value.path.endswith(name)
    assert caught.value.remedy


def test_days_are_read_in_words(tmp_path):
    def cooked(written):
        (found,) = read(tmp_path, json.dumps(RECIPE | {"cookTime": written}), "a.json")
        return found.cook_s, found.unread

    assert cooked("2 days") == (2 * 86400, ())
    assert cooked("90 days") == (None, ("cookTime: 90 days",))  # beyond what a kitchen means


def test_a_soft_hyphen_breaks_no_word(tmp_path):
    soft = {"name": "Rope\u00adwalk\u200b eggs", "recipeIngredient": ["4\u00a0eggs\x07"]}
    (found,) = read(tmp_path, page(json.dumps(RECIPE | soft)))
    assert (found.title, found.ingredients) == ("Ropewalk eggs", ("4 eggs",))


def test_a_file_too_large_is_not_even_read(tmp_path):
    huge = tmp_path / "huge.html"
    with huge.open("wb") as file:
        file.truncate(50_000_000)  # a hole: it takes no room
    with pytest.raises(FileProblem, match="is 50 MB"):
        recipes_in(huge)
    with pytest.raises(FileProblem, match="cannot be opened"):
        recipes_in(tmp_path / "none.html")


def test_the_charset_that_a_page_names_is_heeded(tmp_path):
    text = page(json.dumps(RECIPE | {"name": "Crème"}, ensure_ascii=False))
    latin = f'<meta charset="iso-8859-1">{text}'.encode("latin-1")
    (found,) = read(tmp_path, latin)
    assert found.title == "Crème"


@pytest.mark.parametrize("mess", ["<a ", "<!--", "<div>", "<script>", "</", "&#", "<?", "<a a='"])
def test_a_mess_of_tags_around_it_does_no_harm(tmp_path, mess):
    (found,) = read(tmp_path, page(json.dumps(RECIPE)) + mess * 100_000)
    assert found.title == "Ropewalk eggs"

"""The safety tables: typed, cited, and refused at their line when broken."""

from dataclasses import fields

import pytest

from domain import (
    advice,
    baking_tins,
    boiling,
    cooking,
    ingredients,
    kitchen_words,
    rough,
    sources,
    swaps,
    tables,
)
from domain.errors import FileProblem
from domain.units import convert
from domain.yamlfile import parse

READERS = [
    tables.safe_temperatures,
    tables.limits,
    tables.storage,
    tables.cautions,
    cooking.grains,
    cooking.cook_times,
    cooking.oven_words,
    boiling.boiling_points,
    boiling.altitude_changes,
    swaps.swaps,
    ingredients.allergens,
    rough.rough_measures,
    rough.canned,
    baking_tins.loaf_tins,
    kitchen_words.kitchen_words,
]
WORDED = ("eating", "handling", "mishaps")
ROWS = [(reader.__name__, row) for reader in READERS for row in reader()]
ROWS += [(table, row) for table in WORDED for row in advice.advice(table)]


@pytest.mark.parametrize(("table", "row"), ROWS)
def test_every_row_has_its_source(table, row):
    source = row.source
    for field in ("short", "body", "document", "section"):
        assert getattr(source, field).strip(), f"{table}: {row}"
    assert source.status in ("published", "common practice", "from memory")
    text = " ".join(str(getattr(source, field.name)) for field in fields(source))
    assert "://" not in text
    assert "www." not in text
    assert "[" not in text


def test_every_table_file_is_read():
    read = {
        "safe_temperatures", "holding", "storage", "cautions", "grains", "cook_times", "ovens",
        "altitude", "substitutions", "allergens", "ingredients", "names", "sources",
        "rough_measures", "canned", "loaf_tins", "kitchen_words",
    }  # fmt: skip
    read |= set(WORDED)
    others = {"densities", "emergencies", "recipe_words"}  # read by their own modules
    assert {path.stem for path in sources.TABLES.glob("*.yaml")} <= read | others


def test_every_source_is_used():
    used = {row.source.document for _, row in ROWS}
    listed = parse((sources.TABLES / "sources.yaml").read_text(), "sources.yaml").pairs()
    documents = {key: entry.pairs()["document"].text() for key, entry in listed.items()}
    unused = {key for key, document in documents.items() if document not in used}
    assert unused <= {"ingredient-knowledge", "fda-allergens"}


def test_safety_answers_leave_out_what_is_from_memory():
    for index in (tables.safe_temperature_index(), tables.storage_index(), tables.caution_index()):
        for name in index.names:
            (match,) = index.within(name)
            assert all(row.source.status != "from memory" for row in match.rows)


@pytest.mark.parametrize(
    ("one", "other"),
    [("ground beef", "minced beef"), ("shrimp", "prawns"), ("omelet", "omelettes")],
)
def test_safe_temperatures_by_both_names(one, other):
    index = tables.safe_temperature_index()
    assert index.within(one)[0].rows == index.within(other)[0].rows


def test_limits_of_a_food_come_before_those_of_any_food():
    rice, anything = tables.limits_on("left out", "some cooked rice")
    assert (rice.about, anything.about) == ("cooked rice", "any food")
    assert [row.about for row in tables.limits_on("left out", "stew")] == ["any food"]


def test_an_unknown_caution_is_a_key_error():
    with pytest.raises(KeyError):
        tables.caution("dragons")


@pytest.mark.parametrize("row", [row for row in cooking.grains() if row.weigh_as])
def test_grains_are_weighed_by_a_density_on_file(row):
    cup = convert(1, "us_cup", "gram", ingredient=row.weigh_as)
    assert 80 < cup.value < 260


GOOD = """
- food: poultry
  celsius: 73.9
  fahrenheit: 165
  source: fsis-temperatures
  section: poultry row
  status: published
"""


@pytest.mark.parametrize(
    ("change", "line", "says"),
    [
        (("celsius: 73.9", "celsius: 63"), 3, "is not"),
        (("source: fsis-temperatures", "source: fsis-temperature"), 5, "did you mean"),
        (("status: published", "status: verified"), 7, "is not known"),
        (("  section: poultry row\n", ""), 2, "is missing"),
        (("celsius: 73.9", "celsius: hot"), 3, "not a number"),
        (("food:", "foods:"), 2, "not a field"),
    ],
)
def test_a_broken_row_is_refused_at_its_line(tmp_path, monkeypatch, change, line, says):
    for name in ("sources.yaml",):
        (tmp_path / name).write_text((sources.TABLES / name).read_text())
    broken = GOOD.replace(*change)
    assert broken != GOOD
    (tmp_path / "safe_temperatures.yaml").write_text(broken)
    monkeypatch.setattr(tables, "TABLES", tmp_path)
    with pytest.raises(FileProblem) as problem:
        tables.safe_temperatures.__wrapped__()
    assert problem.value.line == line
    assert says in str(problem.value)

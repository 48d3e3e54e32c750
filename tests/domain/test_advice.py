"""Advice by wording: read from its tables, tried in order, refused at its line when broken."""

import pytest

from domain import advice
from domain.advice import advised
from domain.errors import FileProblem
from domain.sources import TABLES


def test_the_first_row_that_fits_is_taken():
    row = advised("eating", "can my baby have honey", weak=False)
    assert row is not None
    assert row.name == "honey for a baby"  # before "food for a baby"


def test_weak_rows_give_way():
    assert advised("eating", "it smells odd", weak=False) is None
    assert advised("eating", "it smells odd", weak=True).name == "smells or looks off"


def test_what_no_row_fits_is_none():
    assert advised("handling", "what is next", weak=True) is None


@pytest.mark.parametrize("table", ["eating", "handling", "mishaps"])
def test_names_are_given_once_and_sentences_are_short(table):
    rows = advice.advice(table)
    assert len({row.name for row in rows}) == len(rows)
    assert [row.say for row in rows if len(row.say.split()) > 15 or row.say.endswith(".")] == []


def test_a_broken_pattern_is_refused_at_its_line(tmp_path, monkeypatch):
    (tmp_path / "sources.yaml").write_text((TABLES / "sources.yaml").read_text())
    (tmp_path / "eating.yaml").write_text(
        "- advice: x\n  patterns: ['(']\n  say: No\n  source: practice\n"
        "  section: y\n  status: common practice\n"
    )
    monkeypatch.setattr(advice, "TABLES", tmp_path)
    with pytest.raises(FileProblem) as problem:
        advice.advice.__wrapped__("eating")
    assert problem.value.line == 2
    assert "regular expression" in str(problem.value)

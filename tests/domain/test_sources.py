"""The fields that table rows share: spans of time, ranges, citations."""

import pytest

from domain.errors import FileProblem
from domain.sources import Span, cited, span, span_of_numbers
from domain.yamlfile import parse

DAY = 86400


def entry(text: str):
    return parse(f"- {text}", "t.yaml").items()[0]


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("3-4 days", Span(3 * DAY, 4 * DAY, "3 to 4 days")),
        ("15 min", Span(900, 900, "15 minutes")),
        ("1 week", Span(7 * DAY, 7 * DAY, "1 week")),
        ("2 h", Span(7200, 7200, "2 h")),
        ("30 s", Span(30, 30, "30 s")),
    ],
)
def test_spans(written, expected):
    assert span(entry(written)) == expected


@pytest.mark.parametrize("written", ["soon", "3 moons", "days", "x days", "1/0 days"])
def test_spans_that_are_none(written):
    with pytest.raises(FileProblem):
        span(entry(written))


def test_ranges():
    assert span_of_numbers(entry("2-2.5")) == (2.0, 2.5)
    assert span_of_numbers(entry("3")) == (3.0, 3.0)
    for wrong in ("3-2", "1-2-3", "many"):
        with pytest.raises(FileProblem):
            span_of_numbers(entry(wrong))


def test_a_citation_joins_the_source_and_the_row():
    row = entry("{source: food-code, section: 3-501.14, status: published}").pairs()
    source = cited(row)
    assert (source.document, source.section, source.where) == ("Food Code 2022", "3-501.14", "us")

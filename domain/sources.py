"""Sources of the tables' rows, and the fields that rows share.

Every reader raises FileProblem with file, line and field.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Literal, TypeVar, cast, get_args

from domain.yamlfile import Entry, read

TABLES = Path(__file__).with_name("tables")
Status = Literal["published", "common practice", "from memory"]
Audience = Literal["home", "food service"]
CITED = ("source", "section", "status")
# What tables and questions call lengths of time, in seconds; a month is taken as 30 days.
TIMES_S = {"s": 1, "min": 60, "h": 3600, "day": 86400, "week": 604800, "fortnight": 1209600}
TIMES_S |= {"month": 2592000, "year": 31536000}
_TIME_REMEDY = "write it like “3-4 days”, “2 h” or “1 month”"
Row = TypeVar("Row")


@dataclass(frozen=True)
class Source:
    """Who says so. short: how an answer names it; section: the row, section or number.

    where: "us", "uk", or "" for no country's rules.
    """

    short: str
    body: str
    document: str
    section: str
    status: Status
    where: str = ""


@dataclass(frozen=True)
class Span:
    """A length of time as its source gives it. low_s, high_s in seconds; shown: "3 to 4 days"."""

    low_s: int
    high_s: int
    shown: str


def cited(fields: dict[str, Entry]) -> Source:
    """The source that a row names, with the row's own section and status."""
    known = _sources()
    short, body, document, where = known[fields["source"].choice(known)]
    status = cast(Status, fields["status"].choice(get_args(Status)))
    return Source(short, body, document, fields["section"].text(), status, where)


@cache
def _sources() -> dict[str, tuple[str, str, str, str]]:
    found: dict[str, tuple[str, str, str, str]] = {}
    for key, entry in read(TABLES / "sources.yaml").pairs().items():
        row = entry.fields(("short", "body", "document"), ("where",))
        where = row["where"].choice(("us", "uk")) if "where" in row else ""
        found[key] = (row["short"].text(), row["body"].text(), row["document"].text(), where)
    return found


def _fraction(entry: Entry, written: str) -> float:
    try:
        return float(sum(Fraction(part) for part in written.split()))
    except (ValueError, ZeroDivisionError):
        raise entry.problem(f"“{written}” is not a number", "write it like 2, 1.5 or 1/2") from None


def span_of_numbers(entry: Entry) -> tuple[float, float]:
    """ "2-2.5" as (2.0, 2.5); a single number twice. Raises FileProblem."""
    ends = [_fraction(entry, part) for part in entry.text().split("-")]
    if len(ends) > 2 or ends[0] > ends[-1]:
        raise entry.problem(f"“{entry.text()}” is not a range", "write it like 2-2.5")
    return ends[0], ends[-1]


def span(entry: Entry) -> Span:
    """ "3-4 days" as a span. A month is taken as 30 days. Raises FileProblem."""
    number, _, unit = entry.text().rpartition(" ")
    size = TIMES_S.get(unit) or TIMES_S.get(unit.removesuffix("s"))
    if size is None or not number:
        raise entry.problem(f"“{entry.text()}” is not a length of time", _TIME_REMEDY)
    low, _, high = number.partition("-")
    ends = [round(_fraction(entry, part) * size) for part in (low, high or low)]
    shown = entry.text().replace("-", " to ").replace(" min", " minutes")
    return Span(ends[0], ends[1], shown)


def seconds(fields: dict[str, Entry], name: str) -> int | None:
    return span(fields[name]).low_s if name in fields else None


def degrees(fields: dict[str, Entry], name: str) -> float | None:
    return fields[name].number(-60, 600) if name in fields else None


def text(fields: dict[str, Entry], name: str) -> str:
    return fields[name].text() if name in fields else ""


def also(fields: dict[str, Entry]) -> tuple[str, ...]:
    return fields["also"].texts() if "also" in fields else ()


def flag(fields: dict[str, Entry], name: str) -> bool:
    return name in fields and fields[name].yes()


def audience(fields: dict[str, Entry]) -> Audience:
    if "audience" not in fields:
        return "home"
    return cast(Audience, fields["audience"].choice(get_args(Audience)))


def same_degrees(fields: dict[str, Entry], celsius: float | None, fahrenheit: float | None) -> None:
    """Refuse two scales that are more than their rounding apart."""
    if celsius is not None and (fahrenheit is None or abs(celsius * 9 / 5 + 32 - fahrenheit) > 1):
        wrong = f"{celsius:g} °C is not {fahrenheit} °F"
        raise fields["celsius"].problem(wrong, "write both as the source does")


def rows(entry: Entry, build: Callable[[Entry], Row]) -> tuple[Row, ...]:
    return tuple(build(item) for item in entry.items())

"""Food safety: inside temperatures, limits of temperature and time, storage, cautions.

A row "from memory" is in its table, and left out of what answers may say.
Every reader raises FileProblem with file, line and field.
"""

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast, get_args

from domain.names import Index, canonical
from domain.sources import (
    CITED,
    TABLES,
    Audience,
    Source,
    Span,
    also,
    audience,
    cited,
    degrees,
    flag,
    rows,
    same_degrees,
    seconds,
    span,
    text,
)
from domain.yamlfile import Entry, read

Topic = Literal[
    "danger zone",
    "left out",
    "power cut",
    "cool",
    "cooling method",
    "fridge",
    "freezer",
    "kept frozen",
    "cold holding",
    "hot holding",
    "reheat",
    "reheat in a microwave",
]


@dataclass(frozen=True)
class Hold:
    """A temperature held for a time: what a source counts as good as its figure."""

    celsius: float
    fahrenheit: float
    hold_s: int


@dataclass(frozen=True)
class SafeTemperature:
    """The least inside temperature of a food; hold_s: how long it must stay there; rest_s: off
    the heat afterwards. Both scales as published, or the other worked out to a tenth."""

    food: str
    also: tuple[str, ...]
    celsius: float
    fahrenheit: float
    hold_s: int
    rest_s: int
    equals: tuple[Hold, ...]
    audience: Audience
    note: str
    source: Source


@dataclass(frozen=True)
class Limit:
    """A limit of temperature and time for keeping, cooling, holding or reheating.

    celsius, fahrenheit: the limit, None for a limit of time alone; from_*: where a span begins.
    within_s: the time allowed (upto_s for a range), within_warm_s where it is above above_celsius.
    """

    topic: Topic
    about: str
    celsius: float | None
    fahrenheit: float | None
    from_celsius: float | None
    from_fahrenheit: float | None
    within_s: int | None
    upto_s: int | None
    above_celsius: float | None
    above_fahrenheit: float | None
    within_warm_s: int | None
    hold_s: int
    bound: str
    rule: str
    audience: Audience
    source: Source


@dataclass(frozen=True)
class Storage:
    """How long a food keeps. None: the source does not say; freezer_no: it advises against it."""

    food: str
    also: tuple[str, ...]
    fridge: Span | None
    freezer: Span | None
    freezer_no: bool
    pantry: Span | None
    cooked: bool
    audience: Audience
    note: str
    source: Source


@dataclass(frozen=True)
class Caution:
    """What can hurt: said where one of its words is met."""

    name: str
    words: tuple[str, ...]
    say: str
    source: Source


@cache
def safe_temperatures() -> tuple[SafeTemperature, ...]:
    """The least inside temperatures."""
    return rows(read(TABLES / "safe_temperatures.yaml"), _safe_temperature)


def _safe_temperature(entry: Entry) -> SafeTemperature:
    row = entry.fields(
        ("food", "celsius", "fahrenheit", *CITED),
        ("also", "hold", "rest", "equals", "audience", "note"),
    )
    own = _hold(row)
    return SafeTemperature(
        food=row["food"].text(),
        also=also(row),
        celsius=own.celsius,
        fahrenheit=own.fahrenheit,
        hold_s=own.hold_s,
        rest_s=seconds(row, "rest") or 0,
        equals=tuple(
            _hold(item.fields(("celsius", "fahrenheit", "hold")))
            for item in (row["equals"].items() if "equals" in row else ())
        ),
        audience=audience(row),
        note=text(row, "note"),
        source=cited(row),
    )


def _hold(row: dict[str, Entry]) -> Hold:
    celsius, fahrenheit = row["celsius"].number(40, 120), row["fahrenheit"].number(100, 250)
    same_degrees(row, celsius, fahrenheit)
    return Hold(celsius, fahrenheit, seconds(row, "hold") or 0)


@cache
def limits() -> tuple[Limit, ...]:
    """The limits for keeping, cooling, holding and reheating."""
    return rows(read(TABLES / "holding.yaml"), _limit)


def _limit(entry: Entry) -> Limit:
    scales = ("celsius", "fahrenheit", "from_celsius", "from_fahrenheit")
    warm = ("above_celsius", "above_fahrenheit", "within_warm")
    others = ("within", "upto", "hold", "bound", "rule", "audience")
    row = entry.fields(("topic", "about", *CITED), (*scales, *warm, *others))
    same_degrees(row, degrees(row, "celsius"), degrees(row, "fahrenheit"))
    return Limit(
        topic=cast(Topic, row["topic"].choice(get_args(Topic))),
        about=row["about"].text(),
        celsius=degrees(row, "celsius"),
        fahrenheit=degrees(row, "fahrenheit"),
        from_celsius=degrees(row, "from_celsius"),
        from_fahrenheit=degrees(row, "from_fahrenheit"),
        within_s=seconds(row, "within"),
        upto_s=seconds(row, "upto"),
        above_celsius=degrees(row, "above_celsius"),
        above_fahrenheit=degrees(row, "above_fahrenheit"),
        within_warm_s=seconds(row, "within_warm"),
        hold_s=seconds(row, "hold") or 0,
        bound=row["bound"].choice(("least", "most")) if "bound" in row else "",
        rule=text(row, "rule"),
        audience=audience(row),
        source=cited(row),
    )


@cache
def storage() -> tuple[Storage, ...]:
    """How long foods keep."""
    return rows(read(TABLES / "storage.yaml"), _storage)


def _storage(entry: Entry) -> Storage:
    places = ("fridge", "freezer", "pantry")
    row = entry.fields(("food", *CITED), ("also", *places, "cooked", "audience", "note"))
    freezer_no = text(row, "freezer") == "not recommended"
    return Storage(
        food=row["food"].text(),
        also=also(row),
        fridge=span(row["fridge"]) if "fridge" in row else None,
        freezer=span(row["freezer"]) if "freezer" in row and not freezer_no else None,
        freezer_no=freezer_no,
        pantry=span(row["pantry"]) if "pantry" in row else None,
        cooked=flag(row, "cooked"),
        audience=audience(row),
        note=text(row, "note"),
        source=cited(row),
    )


@cache
def cautions() -> tuple[Caution, ...]:
    """What can hurt, and what to say before it can."""
    return rows(read(TABLES / "cautions.yaml"), _caution)


def _caution(entry: Entry) -> Caution:
    row = entry.fields(("caution", "words", "say", *CITED))
    return Caution(row["caution"].text(), row["words"].texts(), row["say"].text(), cited(row))


@cache
def safe_temperature_index() -> Index[SafeTemperature]:
    """Safe temperatures by food."""
    known = (row for row in safe_temperatures() if row.source.status != "from memory")
    return Index((name, row) for row in known for name in (row.food, *row.also))


@cache
def storage_index() -> Index[Storage]:
    """Storage times by food."""
    known = (row for row in storage() if row.source.status != "from memory")
    return Index((name, row) for row in known for name in (row.food, *row.also))


@cache
def caution_index() -> Index[Caution]:
    """Cautions by the words that call for them."""
    known = (row for row in cautions() if row.source.status != "from memory")
    return Index((word, row) for row in known for word in row.words)


def caution(name: str) -> Caution:
    """The caution of this name. Raises KeyError."""
    for row in cautions():
        if row.name == name:
            return row
    raise KeyError(name)


def limits_on(topic: Topic, food: str = "") -> tuple[Limit, ...]:
    """The limits on a topic for a food: its own first, then those for any food."""
    words = set(canonical(food))
    known = [row for row in limits() if row.topic == topic and row.source.status != "from memory"]
    own = [row for row in known if row.about != "any food" and set(canonical(row.about)) <= words]
    return (*own, *(row for row in known if row.about == "any food"))

"""What an utterance was taken to mean: the values that pass from understanding to answering."""

from dataclasses import dataclass
from typing import Literal

AmountKind = Literal["mass", "volume", "temperature", "length", "duration", "clock", "count"]
RefKind = Literal["dish", "step", "ingredient", "equipment", "timer"]


@dataclass(frozen=True)
class AmountHeard:
    """An amount in an utterance. value None for a bare target unit; high only for a range.

    unit is a `domain.units` name ("gram", "cup", "celsius", "gas mark", "minute"); None for a
    count and for a clock time, whose value is "HH:MM" (24 h). start, end: character span.
    """

    text: str
    value: float | str | None
    high: float | None
    unit: str | None
    kind: AmountKind
    start: int
    end: int


@dataclass(frozen=True)
class Ref:
    """A thing of the live menu named in an utterance. name: step key, dish name, ..."""

    text: str
    kind: RefKind
    name: str
    score: float
    start: int
    end: int


@dataclass(frozen=True)
class Understood:
    """What an utterance was taken to mean; intent None when it would not be acted upon.

    guesses: (intent, confidence), best first, for asking back. supposed: the intent of the change
    that a "what if" is about, None when that is not known.
    """

    text: str
    intent: str | None
    confidence: float
    amounts: tuple[AmountHeard, ...] = ()
    refs: tuple[Ref, ...] = ()
    guesses: tuple[tuple[str, float], ...] = ()
    by: Literal["exact", "server", "emergency", "confirmed", "none"] = "none"
    supposed: str | None = None

"""A call, and what has been said so far: what repeats, what the cook has heard."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from assistant.measures import capital
from assistant.two_forms import to_say, to_show

Urgency = Literal["heat", "due", "soon", "news"]
FRESH_S = 300.0  # a moment longer ago than this (after a restart) is no news
ASK_EVERY_S = (60.0, 120.0, 240.0)  # what only the cook can tell is asked less and less often


@dataclass(frozen=True)
class Call:
    """Something to say unasked. key: what it is about; covers: other keys it says as well.

    repeats: how often it was said before. value: what was told, for calls about a time that
    moves (POSIX seconds).
    """

    key: str
    urgency: Urgency
    spoken: str
    shown: str
    repeats: int = 0
    covers: tuple[str, ...] = ()
    value: float | None = None


@dataclass(frozen=True)
class Said:
    """How often a call was said, and when last (POSIX seconds). heard: the cook knows."""

    times: int
    at: float
    heard: bool = False
    value: float | None = None


def noted(said: Mapping[str, Said], made: Iterable[Call], now: float) -> dict[str, Said]:
    """What has been said, with these calls said now."""
    after = dict(said)
    for one in made:
        for key in (one.key, *one.covers):
            before = after.get(key, Said(0, now))
            after[key] = Said(before.times + 1, now, before.heard, one.value)
    return after


def acknowledged(said: Mapping[str, Said], keys: Iterable[str] | None = None) -> dict[str, Said]:
    """The cook has heard these calls (all of them by default): they do not repeat."""
    chosen = set(said if keys is None else keys)
    return {key: replace(one, heard=True) if key in chosen else one for key, one in said.items()}


def call(
    key: str,
    urgency: Urgency,
    words: str,
    repeats: int = 0,
    covers: tuple[str, ...] = (),
    value: float | None = None,
) -> Call:
    """A call in words that may hold values in two forms."""
    words = capital(words)
    return Call(key, urgency, to_say(words), to_show(words), repeats, covers, value)


def is_due(said: Mapping[str, Said], key: str, now: float, every: tuple[float, ...] = ()) -> bool:
    """Not said yet, or said long enough ago, not heard, and to be repeated."""
    before = said.get(key)
    if before is None:
        return True
    if before.heard or not every:
        return False
    return now >= before.at + every[min(before.times, len(every)) - 1]


def times_said(said: Mapping[str, Said], key: str) -> int:
    """How often this was called."""
    return said[key].times if key in said else 0

"""Where a cook's events are kept: what a store must do, and one that only remembers."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Protocol

from scheduling.events import Event


class EventStore(Protocol):
    """Where a cook's events are kept. `append` returns only once they are safe."""

    def append(self, events: Sequence[Event]) -> tuple[Event, ...]:
        """Keep the events, all or none, and return them with their seq."""
        ...

    def read(self) -> list[Event]:
        """Every event kept, in order of seq."""
        ...

    def keep_plan(self, text: str) -> None:
        """Keep the latest plan, so that a restart goes on with it."""
        ...

    def plan(self) -> str | None:
        """The plan kept last."""
        ...


class MemoryStore:
    """Keeps events as long as the process lives: for simulations and trials."""

    def __init__(self) -> None:
        self._events: list[Event] = []
        self._plan: str | None = None

    def append(self, events: Sequence[Event]) -> tuple[Event, ...]:
        first = len(self._events) + 1
        stored = tuple(replace(event, seq=first + i) for i, event in enumerate(events))
        self._events += stored
        return stored

    def read(self) -> list[Event]:
        return list(self._events)

    def keep_plan(self, text: str) -> None:
        self._plan = text

    def plan(self) -> str | None:
        return self._plan

"""Which of the stored events count, and which of them "undo" takes back."""

from collections.abc import Iterable, Sequence

from scheduling.events import Event

# What only ends something else: there is nothing of the food in it to take back, nor in what it
# has ended. A pause or a rung timer that is over stays over.
ENDS = {"resumed": "paused", "timer_acknowledged": "timer_set"}


def effective(events: Iterable[Event]) -> list[Event]:
    """The events in order of seq, each once, without "undone" ones and what they took back."""
    ordered = sorted({event.seq: event for event in events}.values(), key=lambda e: e.seq)
    kept: list[Event] = []
    taken_back: set[float] = set()
    for event in reversed(ordered):
        if event.seq in taken_back:
            continue
        if event.kind == "undone" and event.value is not None:
            taken_back.add(event.value)
        else:
            kept.append(event)
    return kept[::-1]


def last_told(log: Sequence[Event]) -> tuple[Event, ...]:
    """What "undo" takes back of a log (`effective`): all that the cook told in the latest words.

    In order; () when nothing was told. What is told in one breath has one and the same moment.
    """
    over: set[tuple[str, str]] = set()
    latest: list[Event] = []
    for event in reversed(log):
        if event.by != "cook" or event.kind == "cook_started":
            continue
        if latest and event.at != latest[0].at:
            break
        if event.kind in ENDS:
            over.add((ENDS[event.kind], event.subject))
        elif (event.kind, event.subject) not in over:
            latest.append(event)
    return tuple(reversed(latest))

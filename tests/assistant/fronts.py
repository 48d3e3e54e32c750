"""A running cook for the fronts' tests: real parts, no intent server, a clock moved by hand."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from assistant.cook import Message
from assistant.running import Running, kitchen_of
from assistant.wiring import Request
from domain.cookbook import load_kitchen, load_menu
from domain.settings import Settings
from scheduling.clock import SimulatedClock

SIX = datetime(2026, 3, 14, 18, 0).timestamp()


@contextmanager
def running_cook(wanted_at: float | None = None) -> Iterator[Running]:
    """The sample supper, begun at six o'clock; exact matches of the phrase book are understood."""
    menu = load_menu("harbour-supper")
    kitchen, clock = load_kitchen("home"), SimulatedClock(SIX)
    with kitchen_of(Request(menu, kitchen, Settings(), clock, wanted_at), keep=False) as running:
        running.start()
        yield running


def told(running: Running) -> list[Message]:
    """Every message from now on, as it is told."""
    messages: list[Message] = []
    running.cook.attach(messages.append)
    return messages

"""A sentence to sound: the `Speaker` protocol."""

from collections.abc import Iterator
from typing import Protocol


class Speaker(Protocol):
    """A voice. pcm: mono 16-bit at rate_hz."""

    rate_hz: int

    def say(self, sentence: str) -> Iterator[bytes]:
        """Yield the sentence's sound, clause by clause."""
        ...

"""Sound to words: the `Recogniser` protocol and what it returns."""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Heard:
    """Words recognised. confidence: 0 to 1, probability that the words are right (final only)."""

    text: str
    confidence: float
    final: bool


class Recogniser(Protocol):
    """Streaming recogniser of one utterance at a time; 16 kHz mono 16-bit PCM."""

    def feed(self, pcm: bytes) -> Heard | None:
        """Take a chunk; return a partial, or a final at an utterance's end, or None."""
        ...

    def finish(self) -> Heard | None:
        """End of sound: return the final of what is pending, None when nothing was said."""
        ...

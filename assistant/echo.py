"""Our own voice, come back through the microphone: taken out of the sound, and told by its words.

The canceller is SpeexDSP's (Valin 2007, "On Adjusting the Learning Rate in Frequency Domain Echo
Cancellation With Double-Talk"), by way of the package `pyaec`. It lets what is said over our
speech through, where stronger ones take it away with the echo.
"""

import threading
from collections import deque
from collections.abc import Iterable, Iterator

import numpy as np
import soxr

from assistant.audio import CHUNK_MS, RATE_HZ, from_pcm, to_pcm
from assistant.endpoint import END_MS
from assistant.hear import Heard
from assistant.speech_queue import Play
from assistant.wording import plain

# Words that were begun so soon after our own speech are still its echo: our own choice.
_ECHO_MS = 300
# A cook of whom nothing more is heard for so long has stopped speaking: our own choice.
LULL_MS = 1500

_FRAME = RATE_HZ // 100
# The card's delay and the room's echo must both fit in: our own choice.
TAIL_MS = 400


class EchoCanceller:
    """Takes what is played out of what the microphone hears; learns the room as it goes.

    `played` is called by the thread that speaks, `clean` by the one that reads the microphone,
    which must not fall behind: the two are laid side by side as they come.
    """

    def __init__(self) -> None:
        import pyaec

        self._aec = pyaec.Aec(_FRAME, RATE_HZ * TAIL_MS // 1000, RATE_HZ, False)
        self._ours = bytearray()
        self._lock = threading.Lock()
        self._since_ours_ms = TAIL_MS

    def through(self, play: Play) -> Play:
        """`play`, whose sound is known here as it goes to the card."""

        def known(pcm: Iterable[bytes], rate_hz: int) -> None:
            play(self._noted(pcm, rate_hz), rate_hz)

        return known

    def _noted(self, pcm: Iterable[bytes], rate_hz: int) -> Iterator[bytes]:
        convert = soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="float32", quality="LQ")
        for piece in pcm:
            sound = to_pcm(convert.resample_chunk(from_pcm(piece)))
            with self._lock:
                self._ours += sound
            yield piece

    def clean(self, chunk: bytes) -> bytes:
        """The chunk without our voice; as it is while we are silent."""
        with self._lock:
            ours = bytes(self._ours[: len(chunk)])
            del self._ours[: len(chunk)]
        self._since_ours_ms = 0 if ours else self._since_ours_ms + CHUNK_MS
        if self._since_ours_ms > TAIL_MS:
            return chunk
        heard = np.frombuffer(chunk, "<i2")
        played = np.frombuffer(ours.ljust(len(chunk), b"\0"), "<i2")
        clean = heard.copy()
        for at in range(0, len(heard) - _FRAME + 1, _FRAME):
            frame = slice(at, at + _FRAME)
            clean[frame] = self._aec.cancel_echo(heard[frame].tolist(), played[frame].tolist())
        return clean.tobytes()


def echo_canceller() -> EchoCanceller | None:
    """The canceller; None where its library cannot be had."""
    try:
        return EchoCanceller()
    except (ImportError, OSError, AttributeError, RuntimeError):  # as its package fails to load
        return None


class Echo:
    """Tells the cook's words from what is left of our own, by when they came and what they are.

    lull_ms: since something was heard.
    """

    def __init__(self) -> None:
        self._said: deque[str] = deque(maxlen=6)
        self._since_ours_ms = float("inf")
        self._over_ours = False
        self.lull_ms = 0

    def said(self, words: str) -> None:
        """Note what we are about to say."""
        self._said.append(f" {plain(words)} ")

    def pass_time(self, speaking: bool, heard: Heard | None) -> None:
        """One chunk of sound later. speaking: whether we are; heard: what the recogniser tells."""
        self._since_ours_ms = 0 if speaking else self._since_ours_ms + CHUNK_MS
        self.lull_ms = 0 if heard else self.lull_ms + CHUNK_MS
        if heard and not heard.final:
            self._over_ours = self._over_ours or self._since_ours_ms <= _ECHO_MS
        elif self.lull_ms > LULL_MS:
            self._over_ours = False

    @property
    def heard(self) -> bool:
        """Whether the utterance under way was begun while we spoke, or right after."""
        return self._over_ours

    def ended(self) -> bool:
        """Whether the utterance that ends here was begun while we spoke, or right after."""
        over_ours = self._over_ours or self._since_ours_ms <= END_MS + _ECHO_MS
        self._over_ours = False
        return over_ours

    def repeats(self, words: str) -> bool:
        """Whether these words are a part of what we said lately."""
        return any(f" {plain(words)} " in said for said in self._said)

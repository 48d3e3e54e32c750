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
from numpy.typing import NDArray

from assistant.audio import CHUNK_BYTES, CHUNK_MS, RATE_HZ, from_pcm, to_pcm
from assistant.endpoint import END_MS
from assistant.hear import Heard
from assistant.speech_queue import Play
from assistant.wording import plain

# Words that were begun so soon after our own speech are still its echo, which comes later by what
# is held back below: our own choice.
_ECHO_MS = 420
# A cook of whom nothing more is heard for so long has stopped speaking: our own choice.
LULL_MS = 1500

_Samples = NDArray[np.int16]
_FRAME = RATE_HZ // 100
# The room's echo must fit in, after the way straight from loudspeaker to microphone, which is laid
# a little after its beginning: our own choices.
TAIL_MS, _STRAIGHT_MS = 200, 5
# The microphone's sound is held back by so many chunks while we speak: what is played is known
# a little before it is heard, but comes in bursts.
_HELD = 4
# The card's delay is sought up to so much, in so much of the latest sound (at least in so much of
# a saying), after every so many chunks.
_LONGEST_DELAY_MS, _SOUGHT_MS, _LEAST_MS, _SEEK_EVERY = 600, 1000, 400, 5
# The room is known once so much is usually taken out while we speak (mean square of 16-bit samples
# above this); so much less, lately, and somebody else speaks. What is usual follows what is lately
# by these shares: a cook who talks over us does not change it much. Our own choices.
_ENOUGH_DB, _LESS_DB, _LATELY_MS, _SPOKEN = 15.0, 10.0, 300, 100.0**2
_QUICKLY, _SLOWLY = 0.5, 0.05
# So far must the peak of the correlation stand above the rest (in trials 12 to 60 with an echo,
# below 6 without).
_PEAK = 8.0


class EchoCanceller:
    """Takes what is played out of what the microphone hears; learns the room as it goes.

    `played` is noted by the thread that speaks, `clean` called by the one that reads the
    microphone, which must not fall behind. The card's delay, another each time it is opened, is
    found from the sound itself: until then our voice is not taken out.
    """

    def __init__(self) -> None:
        import pyaec

        self._aec = pyaec.Aec(_FRAME, RATE_HZ * TAIL_MS // 1000, RATE_HZ, False)
        self._lock = threading.Lock()
        self._playing = False
        self._taken = _Taken()
        self._forget()

    def _forget(self) -> None:
        """Begin anew: `_ours` and `_heard` are side by side from the first sound played."""
        self._ours, self._heard = bytearray(), bytearray()
        self._begun = self._cleaned = 0  # bytes
        self._delay: int | None = None  # samples
        self._taken.begin()

    @property
    def clear(self) -> bool:
        """Whether our voice is known well enough that others are heard over it."""
        return self._delay is not None and self._taken.enough

    @property
    def others(self) -> bool:
        """Whether somebody else than we is speaking in what was last returned, as it seems."""
        return self._taken.less

    def through(self, play: Play) -> Play:
        """`play`, whose sound is known here as it goes to the card."""

        def known(pcm: Iterable[bytes], rate_hz: int) -> None:
            self._playing = True
            try:
                play(self._noted(pcm, rate_hz), rate_hz)
            finally:
                self._playing = False

        return known

    def _noted(self, pcm: Iterable[bytes], rate_hz: int) -> Iterator[bytes]:
        convert = soxr.ResampleStream(rate_hz, RATE_HZ, 1, dtype="float32", quality="LQ")
        begun = False
        for piece in pcm:
            sound = to_pcm(convert.resample_chunk(from_pcm(piece)))
            with self._lock:
                # What goes to the card now cannot have been heard before now.
                self._ours += bytes(max(0, len(self._heard) - len(self._ours))) + sound
                if not begun:
                    self._delay, self._begun, begun = None, len(self._ours) - len(sound), True
            yield piece

    def clean(self, chunk: bytes) -> list[bytes]:
        """What is ready of the sound, without our voice; while we are silent the chunk itself."""
        with self._lock:
            if not self._ours:
                return [chunk]
            self._heard += chunk
            if len(self._heard) // CHUNK_BYTES % _SEEK_EVERY == 0:
                self._seek()
            if len(self._heard) - self._cleaned <= _HELD * CHUNK_BYTES:
                return []
            ready = [self._next()]
            if not self._playing and self._cleaned > len(self._ours) + _TAIL_BYTES:
                left = bytes(self._heard[self._cleaned :])
                ready += [left[at : at + CHUNK_BYTES] for at in range(0, len(left), CHUNK_BYTES)]
                self._forget()
            return ready

    def _next(self) -> bytes:
        """The next chunk, which leaves."""
        at = self._cleaned
        self._cleaned += CHUNK_BYTES
        heard = np.frombuffer(bytes(self._heard[at : at + CHUNK_BYTES]), "<i2")
        if self._delay is None:
            return heard.tobytes()
        first = at // 2 - self._delay + _STRAIGHT_MS * RATE_HZ // 1000
        ours = _piece(self._ours, first, len(heard))
        clean = heard.copy()
        for start in range(0, len(heard) - _FRAME + 1, _FRAME):
            frame = slice(start, start + _FRAME)
            clean[frame] = self._aec.cancel_echo(heard[frame].tolist(), ours[frame].tolist())
        self._taken.note(ours, heard, clean)
        return clean.tobytes()

    def _seek(self) -> None:
        """Find by how much what is heard is behind what is played, if it can be told."""
        end = len(self._heard) // 2
        size = min(end - self._begun // 2, _SOUGHT_MS * RATE_HZ // 1000)
        if size < _LEAST_MS * RATE_HZ // 1000 or end > len(self._ours) // 2:
            return
        longest = _LONGEST_DELAY_MS * RATE_HZ // 1000
        heard = _piece(self._heard, end - size, size)
        ours = _piece(self._ours, end - size - longest, size + longest)
        found = _delay_of(heard, ours, longest)
        if found is not None:
            self._delay = found


class _Taken:
    """How much of what is heard while we speak is taken out, in dB: usually, and just now.

    What a cook says over us is not taken out: then it is less than usual.
    """

    def __init__(self) -> None:
        self._usual_db = 0.0
        self._lately: deque[tuple[float, float]] = deque(maxlen=_LATELY_MS // CHUNK_MS)
        self._judged = 0

    def begin(self) -> None:
        """Another saying: what was just now is over."""
        self._lately.clear()

    def note(self, ours: _Samples, heard: _Samples, clean: _Samples) -> None:
        """Of one chunk: what we said, what came of it, and what was left."""
        if _power(ours) < _SPOKEN:
            return
        self._lately.append((_power(heard), _power(clean)))
        self._judged += 1
        if self._judged % (_LATELY_MS // CHUNK_MS) == 0:
            change = self._now_db - self._usual_db
            self._usual_db += change * (_QUICKLY if change > 0 else _SLOWLY)

    @property
    def _now_db(self) -> float:
        heard, clean = (sum(powers) for powers in zip(*self._lately, strict=True))
        return float(10 * np.log10((heard + 1) / (clean + 1)))

    @property
    def enough(self) -> bool:
        """Whether the room is known."""
        return self._usual_db >= _ENOUGH_DB

    @property
    def less(self) -> bool:
        """Whether somebody speaks over us."""
        return bool(self._lately) and self._now_db < self._usual_db - _LESS_DB


def _power(sound: _Samples) -> float:
    return float(np.mean(np.square(sound, dtype=np.float64)))


_TAIL_BYTES = TAIL_MS * RATE_HZ // 1000 * 2


def _piece(sound: bytearray, first: int, size: int) -> _Samples:
    """Samples `first` to `first + size` of the sound, silent where there are none."""
    start, stop = max(0, first), max(0, first + size)
    there = np.frombuffer(bytes(sound[2 * start : 2 * stop]), "<i2")
    before = min(size, start - first)
    return np.pad(there, (before, size - before - len(there)))


def _delay_of(heard: _Samples, ours: _Samples, longest: int) -> int | None:
    """By how many samples `heard` is behind `ours`, which begins `longest` samples earlier.

    Generalized cross-correlation with phase transform (Knapp and Carter 1976, "The Generalized
    Correlation Method for Estimation of Time Delay"). None where no peak stands out.
    """
    size = len(ours) + len(heard)
    cross = np.fft.rfft(heard, size) * np.conj(np.fft.rfft(ours, size))
    size_of = np.abs(cross)
    # Earlier by `longest` (no delay) to by nothing (the longest delay).
    by_delay = np.abs(np.fft.irfft(cross / (size_of + 1e-3 * size_of.max() + 1e-9), size))
    by_delay = np.concatenate([by_delay[-longest:], by_delay[:1]])
    peak = int(np.argmax(by_delay))
    return peak if by_delay[peak] > _PEAK * np.sqrt(np.mean(by_delay**2)) else None


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

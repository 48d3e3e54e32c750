"""What is said aloud, in which order, and when: never over the cook, silent at once on "stop".

The queue decides; `speak_next` says one thing; `run` does so until closed, on a thread of its own.
"""

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from enum import IntEnum
from itertools import chain

from assistant.ahead import made_ahead
from assistant.audio import from_pcm
from assistant.chimes import Chime, sound_of
from assistant.loudness import AS_MADE, at_volume
from assistant.speak import Speaker, clauses
from domain.errors import KitchenError

# Plays mono 16-bit PCM at the rate in Hz, and returns when it was played or the sound ended.
Play = Callable[[Iterable[bytes], int], None]

_PIECE_MS = 20  # "stop" is heeded between pieces
_GAP_S = 0.3  # of the cook's silence, before anything starts unasked
# Pieces made before they are played: some seconds, so that one clause follows the other at once.
_AHEAD = 12
_LOUDER = 0.15  # of the volume, each time something is said again


class Urgency(IntEnum):
    """What goes first. A reply is awaited and short: only danger and heat go before it."""

    EMERGENCY = 0
    HEAT = 1  # something on the heat must be seen to
    REPLY = 2  # what the cook has asked
    DUE = 3  # a step or timer is due
    SOON = 4
    NEWS = 5


# How long, in seconds, each waits for a cook who goes on speaking: a radio sounds like one too.
_PATIENCE_S = {
    Urgency.EMERGENCY: 1.0,
    Urgency.HEAT: 4.0,
    Urgency.REPLY: 4.0,
    Urgency.DUE: 15.0,
    Urgency.SOON: 30.0,
    Urgency.NEWS: 60.0,
}


@dataclass(frozen=True)
class Saying:
    """Something to say. key: what it is about; a later one of that key takes its place.

    chime: the sound before it. repeats: how often it was said before; each time it is louder.
    """

    words: str
    urgency: Urgency
    key: str = ""
    chime: Chime | None = None
    repeats: int = 0


class SpeechQueue:
    """Says replies and calls one at a time; every method may be called from any thread.

    speaker: None when there is no voice: then nothing is said, what is printed must do.
    now: seconds, of any origin. trouble: told once when the sound card fails, until it works again.
    """

    def __init__(
        self,
        speaker: Speaker | None,
        play: Play,
        now: Callable[[], float],
        trouble: Callable[[str], None],
    ) -> None:
        self.speaker = speaker
        self._play, self._now, self._trouble = play, now, trouble
        self._waiting: list[Saying] = []
        self._current: Saying | None = None
        self._stopped = False
        self._closed = False
        self._cook_speaking = False
        self._cook_changed_at = float("-inf")
        self._told_trouble = False
        self._change = threading.Condition()

    @property
    def speaking(self) -> bool:
        """Whether something is being said at this moment."""
        return self._current is not None

    def say(
        self,
        words: str,
        urgency: Urgency,
        key: str = "",
        chime: Chime | None = None,
        repeats: int = 0,
    ) -> None:
        """Have it said in its turn; the fields are those of `Saying`."""
        with self._change:
            if self.speaker is None or not (words.strip() or chime):
                return
            if key:
                self._waiting = [other for other in self._waiting if other.key != key]
            self._waiting.append(Saying(words, urgency, key, chime, repeats))
            self._change.notify_all()

    def prepare(self, words: str) -> None:
        """Have the sound of words that will be said soon made, unless something is being said."""
        speaker = self.speaker
        if speaker is not None and not self.speaking:
            with suppress(KitchenError):  # told when they are to be said
                speaker.prepare(words)

    def stop(self) -> None:
        """Fall silent at once and forget what was waiting; heat is called again by its owner."""
        with self._change:
            self._waiting.clear()
            self._stopped = self._current is not None
            self._change.notify_all()

    def cook_speaks(self, speaking: bool) -> None:
        """Tell whether the cook is speaking: nothing starts, and no new clause, until a gap."""
        with self._change:
            self._cook_speaking = speaking
            self._cook_changed_at = self._now()
            self._change.notify_all()

    def run(self) -> None:
        """Say what comes, until closed."""
        while not self._closed:
            if self.speak_next():
                continue
            with self._change:
                if not self._closed:
                    self._change.wait(timeout=_GAP_S / 3 if self._waiting else None)

    def close(self) -> None:
        """Fall silent and end `run`."""
        self.stop()
        with self._change:
            self._closed = True
            self._change.notify_all()

    def speak_next(self) -> bool:
        """Say the most urgent thing, if it may be said now; returns whether anything was said."""
        with self._change:
            saying, speaker = self._take(), self.speaker
            if saying is None or speaker is None:
                return False
            self._current, self._stopped = saying, False
        try:
            with made_ahead(lambda: _sound(speaker, saying), _AHEAD) as sound:
                self._play(self._pieces(sound, saying, speaker), speaker.rate_hz)
            self._told_trouble = False
        except KitchenError as trouble:
            if not self._told_trouble:
                self._trouble(str(trouble))
            self._told_trouble = True
        finally:
            with self._change:
                self._current = None
        return True

    def _take(self) -> Saying | None:
        """The most urgent saying; calls of one urgency that fell together are one saying."""
        if not self._waiting or self._closed:
            return None
        first = min(self._waiting, key=lambda saying: saying.urgency)
        if not self._may_speak(first.urgency):
            return None
        together = [first]
        if first.urgency != Urgency.REPLY:
            together = [other for other in self._waiting if other.urgency == first.urgency]
        self._waiting = [other for other in self._waiting if other not in together]
        words = dict.fromkeys(saying.words for saying in together)
        repeats = max(saying.repeats for saying in together)
        return replace(first, words=_merged(list(words)), repeats=repeats)

    def _may_speak(self, urgency: Urgency) -> bool:
        unchanged_for = self._now() - self._cook_changed_at
        if self._cook_speaking:
            return unchanged_for >= _PATIENCE_S[urgency]
        return urgency <= Urgency.REPLY or unchanged_for >= _GAP_S

    def _pieces(
        self, sound: Iterator[tuple[int, bytes]], saying: Saying, speaker: Speaker
    ) -> Iterator[bytes]:
        """The sound in short pieces, which ends early when stopped or something worse turns up."""
        size = speaker.rate_hz * _PIECE_MS // 1000 * 2
        in_clause = 0
        if saying.chime is not None:
            sound = chain([(0, sound_of(saying.chime, speaker.rate_hz, speaker.volume))], sound)
        for nth, pcm in sound:
            if nth > in_clause and self._breaks_off(saying):
                return
            in_clause = nth
            if saying.repeats:
                pcm = at_volume(from_pcm(pcm), AS_MADE + _LOUDER * saying.repeats)
            for start in range(0, len(pcm), size):
                if self._stopped:
                    return
                yield pcm[start : start + size]

    def _breaks_off(self, saying: Saying) -> bool:
        """Between clauses: wait while the cook speaks; return whether the rest is not to be said.

        What gives way to danger or heat is put back, to be said again from its start.
        """
        with self._change:
            while not self._stopped and not self._may_speak(saying.urgency):
                self._change.wait(timeout=_GAP_S / 3)
            if self._stopped or saying.urgency <= Urgency.HEAT:
                return self._stopped
            worse = any(other.urgency <= Urgency.HEAT for other in self._waiting)
            if worse:
                self._waiting.insert(0, saying)
            return worse


def _sound(speaker: Speaker, saying: Saying) -> Iterator[tuple[int, bytes]]:
    """The sound as it is made, with the number of its clause."""
    for nth, clause in enumerate(clauses(saying.words)):
        for pcm in speaker.say(clause):
            yield nth, pcm


def _merged(sentences: list[str]) -> str:
    if len(sentences) == 1:
        return sentences[0]
    count = {2: "Two", 3: "Three", 4: "Four"}.get(len(sentences), "Several")
    return f"{count} things. " + " ".join(sentences)

"""What a microphone hears, chunk by chunk, and what of it is for us.

All time is that of the sound: nothing here waits, or looks at a clock.
"""

from typing import Protocol

from assistant.addressed import Addressed, without_name
from assistant.audio import CHUNK_MS
from assistant.echo import LULL_MS, Echo
from assistant.emergencies import told
from assistant.hear import Heard, Recogniser, StopEar
from assistant.running import Running
from assistant.wording import plain

# Whether another voice speaks is told late, and of a "stop" that is over: it counts for so long
# after (our own estimate).
_OTHERS_MS = 800


class Mouth(Protocol):
    """What listening asks of whoever speaks."""

    @property
    def speaking(self) -> bool: ...

    def stop(self) -> None: ...

    def cook_speaks(self, speaking: bool) -> None: ...


class Listening:
    """One microphone of a running cook.

    ear: hears everything that can be said. over: hears "stop" over our own speech, to which the
    sound goes while we speak; None where one ear must do for both.
    """

    def __init__(
        self,
        running: Running,
        mouth: Mouth,
        ours: Echo,
        address: Addressed,
        ear: Recogniser,
        over: StopEar | None = None,
    ) -> None:
        self._running, self._cook, self._mouth = running, running.cook, mouth
        self._ours, self._address = ours, address
        self._ear, self._over = ear, over
        self._over_hears = self._stopped = False
        self._others_ms = 0

    @property
    def lull(self) -> bool:
        """Whether nobody has said anything for a while."""
        return self._ours.lull_ms >= LULL_MS

    def take(self, chunk: bytes, clear: bool = True, others: bool = True) -> None:
        """Hear the next chunk; what is heard surely enough, and is for us, is said.

        clear: our own voice is not in it. others: another voice seems to be.
        """
        speaking = self._mouth.speaking
        self._others_ms = 0 if others else self._others_ms + CHUNK_MS
        if self._over is not None:
            self._listen_over_ours(self._over, chunk, speaking and clear)
        heard = self._ear.feed(chunk)
        self._ours.pass_time(speaking, heard)
        self._address.pass_time(speaking, heard is not None)
        if heard is None:
            if self._ours.lull_ms == LULL_MS:
                self._mouth.cook_speaks(False)
                self._address.nothing_said()
        elif heard.final:
            self._mouth.cook_speaks(False)
            self._take_final(heard)
        else:
            self._take_partial(heard.text)

    def hear_with(self, ear: Recogniser) -> None:
        """Hear with another ear from here on; what the one before has still to tell is heeded."""
        last, self._ear = self._ear.finish(), ear
        if last is not None:
            self._take_final(last)

    def _listen_over_ours(self, over: StopEar, chunk: bytes, speaking: bool) -> None:
        """While we speak, "stop" is heeded as soon as it is heard."""
        if not speaking:
            if self._over_hears:
                over.finish()
            self._over_hears = False
            return
        if not self._over_hears:
            self._over_hears, self._stopped = True, False
        sure = over.take(chunk, self._others_ms <= _OTHERS_MS)
        if sure is not None and not self._stopped:
            self._stopped = True
            self._mouth.stop()
            self._running.say("stop", sure, wait=False, addressed=False)

    def _take_partial(self, words: str) -> None:
        """Words as they come: nothing is said over the cook, and every front is told."""
        rest, named = without_name(words, self._cook.settings.called)
        if self._over is None and self._mouth.speaking and plain(rest) == "stop":
            self._mouth.stop()
        if self._ours.repeats(words):
            return
        self._mouth.cook_speaks(True)
        if self._address.takes(named, self._cook.settings.listening) and not self._ours.heard:
            self._cook.hearing(words)

    def _take_final(self, heard: Heard) -> None:
        """What was said, to be answered if it is for us and not our own echo."""
        settings = self._cook.settings
        rest, named = without_name(heard.text, settings.called)
        called = self._address.called(named)
        for_us = self._address.takes(named, settings.listening) or self._always_heeded(rest)
        self._address.ended()
        ours = self._ours.ended() and not self._gets_through(rest, called)
        self._cook.hearing("")
        if not for_us or ours:
            return
        if rest:
            self._running.say(heard.text, heard.confidence, wait=False, addressed=called)
        else:
            self._cook.listen()

    def _always_heeded(self, words: str) -> bool:
        """Whether this is for us in every mode: danger, and "stop" said to what we just said."""
        danger = told(words) is not None
        return danger or (self._address.just_spoke and self._running.silences(words))

    def _gets_through(self, words: str, called: bool) -> bool:
        """Whether this is heeded though we were speaking: "stop", danger, what was said to us."""
        if plain(words) == "stop":
            return not self._stopped  # else it has been heeded
        return (called or self._running.silences(words)) and not self._ours.repeats(words)

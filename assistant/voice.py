"""Ear and mouth of a cook on this machine: microphone to utterances, messages to speech."""

import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from queue import SimpleQueue

from assistant.addressed import Addressed, without_name
from assistant.audio import CHUNK_MS
from assistant.chimes import Chime
from assistant.cook import Message
from assistant.emergencies import told
from assistant.endpoint import END_MS
from assistant.hear import Heard, Recogniser
from assistant.running import Running
from assistant.sound_card import microphone, play, through_gaps
from assistant.speak import choose_speaker
from assistant.speech_queue import Play, SpeechQueue, Urgency
from assistant.wiring import recogniser
from assistant.wording import plain
from domain.errors import KitchenError
from domain.menu import Menu

# Words that were begun so soon after our own speech are still its echo: our own choice.
_ECHO_MS = 300
# A cook of whom nothing more is heard for so long has stopped speaking: our own choice.
_LULL_MS = 1500
# Calls that will fall due so soon are looked for so often.
_FORESEEN_S, _LOOK_EVERY_S = 60.0, 10.0
_URGENCIES = {
    "emergency": Urgency.EMERGENCY,
    "heat": Urgency.HEAT,
    "due": Urgency.DUE,
    "soon": Urgency.SOON,
    "news": Urgency.NEWS,
}
_CHIMES = {"heat": Chime.ON_THE_HEAT, "due": Chime.TIME_UP}


class Voice:
    """Listens and speaks for one running cook until left (`with Voice(running): ...`).

    What cannot be had (no microphone, no loudspeaker) is said once, and the rest goes on.
    sound: chunks from the microphone; to_card: plays sound; ear: makes the recogniser of a menu.
    A menu that changes has a new one made beside the one that listens, which takes over as soon
    as it is made and nobody is speaking; until then the words of an added dish are not heard.
    """

    def __init__(
        self,
        running: Running,
        sound: Callable[[], Iterator[bytes]] | None = None,
        to_card: Play | None = None,
        ear: Callable[[Menu], Recogniser] | None = None,
    ) -> None:
        self._running, self._cook = running, running.cook
        settings = self._cook.settings
        self._sound = sound or (lambda: microphone(settings.microphone))
        to_card = to_card or (lambda pcm, rate_hz: play(pcm, rate_hz, settings.loudspeaker))
        self._ear = ear or (lambda menu: recogniser(menu, None, settings.called))
        self._menu = running.menu
        self._making = ThreadPoolExecutor(1, "new ear")
        self._made: SimpleQueue[Recogniser] = SimpleQueue()
        self._over = threading.Event()
        wanted = self._cook.settings.voice
        self._speaker, self._why_not_wanted = choose_speaker(wanted, self._trouble)
        self._queue = SpeechQueue(self._speaker, to_card, time.monotonic, self._trouble)
        self._heed_settings()
        self._ours, self._address = Echo(), Addressed()
        self._threads = [
            threading.Thread(target=self._queue.run, name="mouth", daemon=True),
            threading.Thread(target=self._listen, name="ear", daemon=True),
            threading.Thread(target=self._prepare, name="preparing", daemon=True),
        ]

    def __enter__(self) -> "Voice":
        self._detach = self._cook.attach(self._on_message)
        if self._why_not_wanted:
            self._trouble(self._why_not_wanted)
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._detach()
        self._queue.close()
        self._making.shutdown(wait=False, cancel_futures=True)

    def _trouble(self, words: str) -> None:
        self._cook.notice(f"{words}.")

    def _heed_settings(self) -> None:
        if self._speaker is not None:
            self._speaker.speed = self._cook.settings.speed
            self._speaker.volume = self._cook.settings.volume
            self._speaker.voice = self._cook.settings.voice

    def _on_message(self, message: Message) -> None:
        if message.kind in ("stop", "listen"):
            self._queue.stop()
        if message.kind == "listen":
            self._address.call()
        if message.kind == "reply" and self._cook.asks:
            self._address.ask()
        if message.kind in ("call", "reply", "notice"):
            self._heed_settings()
            self._ours.said(message.spoken)
            usual = Urgency.REPLY if message.kind == "reply" else Urgency.NEWS
            urgency = _URGENCIES.get(message.urgency, usual)
            chime = self._chime(message) if self._cook.settings.sounds else None
            self._queue.say(message.spoken, urgency, message.key, chime, message.repeats)
            self._heed_menu()

    def _chime(self, message: Message) -> Chime | None:
        """The sound before a message: of a call by its urgency, of a reply to what was heard."""
        if message.kind == "call":
            return _CHIMES.get(message.urgency)
        by_voice = threading.current_thread() is self._threads[1]
        if message.kind != "reply" or message.urgency == "emergency" or not by_voice:
            return None
        understood = self._cook.understood
        known = understood is not None and understood.intent is not None
        return Chime.HEARD if known else Chime.NOT_UNDERSTOOD

    def _prepare(self) -> None:
        """Make the sound of calls before they fall due."""
        while not self._over.is_set():
            for words in self._cook.foreseen(_FORESEEN_S):
                self._queue.prepare(words)
            self._over.wait(_LOOK_EVERY_S)

    def _heed_menu(self) -> None:
        menu = self._running.menu
        if menu != self._menu:
            self._menu = menu
            self._making.submit(self._make_ear, menu)

    def _make_ear(self, menu: Menu) -> None:
        try:
            self._made.put(self._ear(menu))
        except KitchenError as trouble:
            self._trouble(str(trouble))

    def _listen(self) -> None:
        """Feed the microphone to the recogniser; what is heard surely enough is said."""
        try:
            ear = self._ear(self._menu)
            for chunk in through_gaps(self._sound, self._trouble, self._over):
                if self._over.is_set():
                    return
                self._take(ear.feed(chunk))
                while self._ours.lull_ms >= _LULL_MS and not self._made.empty():
                    ear = self._made.get()
        except KitchenError as trouble:
            self._trouble(str(trouble))

    def _take(self, heard: Heard | None) -> None:
        speaking = self._queue.speaking
        self._ours.pass_time(speaking, heard)
        self._address.pass_time(speaking, heard is not None)
        if heard is None:
            if self._ours.lull_ms == _LULL_MS:
                self._queue.cook_speaks(False)
                self._address.nothing_said()
        elif heard.final:
            self._queue.cook_speaks(False)
            self._take_final(heard)
        else:
            self._take_partial(heard.text)

    def _take_partial(self, words: str) -> None:
        """Words as they come: "stop" is heeded at once, and nothing is said over the cook."""
        rest, named = without_name(words, self._cook.settings.called)
        if self._queue.speaking and plain(rest) == "stop":
            self._queue.stop()
        if self._ours.repeats(words):
            return
        self._queue.cook_speaks(True)
        if self._address.takes(named, self._cook.settings.listening) and not self._ours.heard:
            self._cook.hearing(words)

    def _take_final(self, heard: Heard) -> None:
        """What was said, to be answered if it is for us and not our own echo."""
        settings = self._cook.settings
        rest, named = without_name(heard.text, settings.called)
        called = self._address.called(named)
        for_us = self._address.takes(named, settings.listening) or self._always_heeded(rest)
        self._address.ended()
        ours = self._ours.ended() and not self._gets_through(rest, named)
        self._cook.hearing("")
        if not for_us or ours:
            return
        if rest:
            self._running.say(heard.text, heard.confidence, wait=False, addressed=called)
        else:
            self._address.call()
            self._queue.say("Yes?", Urgency.REPLY)

    def _always_heeded(self, words: str) -> bool:
        """Whether this is for us in every mode: danger, and "stop" said to what we just said."""
        danger = told(words) is not None
        return danger or (self._address.just_spoke and self._running.silences(words))

    def _gets_through(self, words: str, named: bool) -> bool:
        """Whether this is heeded though we were speaking: "stop", our name, or danger."""
        asked = named or self._running.silences(words)
        return plain(words) == "stop" or (asked and not self._ours.repeats(words))


class Echo:
    """Tells the cook's words from our own, come back through the microphone.

    Without echo cancellation nothing that is heard while we speak can be trusted, except a call
    for silence that is no part of what we said ourselves. lull_ms: since something was heard.
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
        elif self.lull_ms > _LULL_MS:
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

"""Ear and mouth of a cook on this machine: microphone to utterances, messages to speech."""

import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from queue import Queue, SimpleQueue

from assistant.addressed import Addressed
from assistant.audio import CHUNK_MS
from assistant.chimes import Chime
from assistant.cook import Message
from assistant.echo import Echo, echo_canceller
from assistant.hear import Recogniser, StopEar
from assistant.listening import Listening
from assistant.running import Running
from assistant.sound_card import microphone, play, through_gaps
from assistant.speak import choose_speaker
from assistant.speech_queue import Play, SpeechQueue, Urgency
from assistant.wiring import recogniser, stop_ear
from domain.errors import KitchenError
from domain.menu import Menu

# So much sound at most waits for the recogniser.
_BACKLOG_S = 10
# Calls that will fall due so soon are looked for so often.
_FORESEEN_S, _LOOK_EVERY_S = 60.0, 10.0
_NO_CANCELLER = (
    "While I speak I hear only stop and danger: nothing takes my voice out of the sound here"
)
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
    sound: chunks from the microphone; to_card: plays sound; ear: makes the recogniser of a menu;
    over: makes the one that hears "stop" over our own speech.
    A menu that changes has a new one made beside the one that listens, which takes over as soon
    as it is made and nobody is speaking; until then the words of an added dish are not heard.
    """

    def __init__(
        self,
        running: Running,
        sound: Callable[[], Iterator[bytes]] | None = None,
        to_card: Play | None = None,
        ear: Callable[[Menu], Recogniser] | None = None,
        over: Callable[[], StopEar | None] | None = None,
    ) -> None:
        self._running, self._cook = running, running.cook
        settings = self._cook.settings
        self._sound = sound or (lambda: microphone(settings.microphone))
        to_card = to_card or (lambda pcm, rate_hz: play(pcm, rate_hz, settings.loudspeaker))
        self._canceller = echo_canceller()
        if self._canceller is not None:
            to_card = self._canceller.through(to_card)
        self._ear = ear or self._best_ear
        self._lacks = ""
        self._over_ours = over or (lambda: self._made_for_stop() if ear is None else None)
        self._menu = running.menu
        self._making = ThreadPoolExecutor(1, "new ear")
        self._made: SimpleQueue[Recogniser] = SimpleQueue()
        self._chunks: Queue[tuple[bytes, bool, bool] | None] = Queue(_BACKLOG_S * 1000 // CHUNK_MS)
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
        if self._canceller is None:
            self._trouble(_NO_CANCELLER)
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._detach()
        self._queue.close()
        self._making.shutdown(wait=False, cancel_futures=True)

    def _made_for_stop(self) -> StopEar | None:
        """Only where our own voice is taken out: it would hear "stop" in it."""
        return stop_ear(self._cook.settings.called) if self._canceller else None

    def _best_ear(self, menu: Menu) -> Recogniser:
        return recogniser(menu, None, self._cook.settings.called, self._lacking)

    def _lacking(self, words: str) -> None:
        """What we go without is told once, not again with every ear for a changed menu."""
        if words != self._lacks:
            self._lacks = words
            self._trouble(words)

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
            self._answer_call()
        if message.kind == "reply" and self._cook.asks:
            self._address.ask()
        if message.kind in ("call", "reply", "notice"):
            self._heed_settings()
            self._ours.said(message.spoken)
            usual = Urgency.REPLY if message.kind == "reply" else Urgency.NEWS
            urgency = _URGENCIES.get(message.urgency, usual)
            chime = self._chime(message) if self._cook.settings.sounds else None
            insists = message.repeats if urgency == Urgency.HEAT else 0
            self._queue.say(message.spoken, urgency, message.key, chime, insists)
            self._heed_menu()

    def _answer_call(self) -> None:
        """Let a cook who called know that we listen; one who pressed a key knows."""
        by_voice = threading.current_thread() is self._threads[1]
        if self._cook.settings.sounds:
            self._queue.say("", Urgency.REPLY, chime=Chime.HEARD)
        elif by_voice:
            self._queue.say("Yes?", Urgency.REPLY)

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
        """Have what the microphone hears understood, until there is no more of it."""
        try:
            ear, over = self._ear(self._menu), self._over_ours()
        except KitchenError as trouble:
            self._trouble(str(trouble))
            return
        listening = Listening(self._running, self._queue, self._ours, self._address, ear, over)
        threading.Thread(target=self._read_card, name="microphone", daemon=True).start()
        for chunk, clear, others in iter(self._chunks.get, None):
            if self._over.is_set():
                continue  # whoever reads the card may wait for room
            listening.take(chunk, clear, others)
            while listening.lull and not self._made.empty():
                listening.hear_with(self._made.get())

    def _read_card(self) -> None:
        """Take the sound as it comes, without our own voice: this must not wait for a decoder."""
        try:
            for chunk in through_gaps(self._sound, self._trouble, self._over):
                if self._over.is_set():
                    break
                if self._canceller is None:
                    self._chunks.put((chunk, False, False))
                    continue
                for clean in self._canceller.clean(chunk):
                    self._chunks.put((clean, self._canceller.clear, self._canceller.others))
        except KitchenError as trouble:
            self._trouble(str(trouble))
        finally:
            self._chunks.put(None)

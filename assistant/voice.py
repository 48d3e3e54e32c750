"""Ear and mouth of a cook on this machine: microphone to utterances, messages to speech."""

import threading
import time
from functools import partial

from assistant.audio import NoMicrophone, microphone, play
from assistant.cook import Message
from assistant.hear import Recogniser
from assistant.speak import choose_speaker
from assistant.speech_queue import SpeechQueue, Urgency
from assistant.wiring import Running, recogniser

# A hearing less sure than this is taken for noise, or talk to somebody else.
SURE_ENOUGH_TO_HEAR = 0.35
_URGENCIES = {
    "emergency": Urgency.EMERGENCY,
    "heat": Urgency.HEAT,
    "due": Urgency.DUE,
    "soon": Urgency.SOON,
    "news": Urgency.NEWS,
}


class Voice:
    """Listens and speaks for one running cook until left (`with Voice(running): ...`).

    What cannot be had (no microphone, no loudspeaker) is said once, and the rest goes on.
    """

    def __init__(self, running: Running) -> None:
        self._running, self._cook = running, running.cook
        self._over = threading.Event()
        speaker, why = choose_speaker(self._cook.settings.voice)
        if speaker is not None:
            speaker.speed = self._cook.settings.speed
            speaker.volume = self._cook.settings.volume
        self._speaker, self._why = speaker, why
        self._queue = SpeechQueue(speaker, partial(play), time.monotonic, self._cook.notice)
        self._threads = [
            threading.Thread(target=self._queue.run, name="mouth", daemon=True),
            threading.Thread(target=self._listen, name="ear", daemon=True),
        ]

    def __enter__(self) -> "Voice":
        self._detach = self._cook.attach(self._on_message)
        if self._why:
            self._cook.notice(self._why)
        for thread in self._threads:
            thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._detach()
        self._queue.close()

    def _on_message(self, message: Message) -> None:
        if message.kind == "stop":
            self._queue.stop()
        elif message.kind == "call":
            self._queue.say(message.spoken, _URGENCIES[message.urgency], message.key)
        elif message.kind in ("reply", "notice"):
            if self._speaker is not None:
                self._speaker.speed = self._cook.settings.speed
                self._speaker.volume = self._cook.settings.volume
            urgency = _URGENCIES.get(message.urgency, Urgency.REPLY)
            self._queue.say(message.spoken, urgency)

    def _listen(self) -> None:
        """Feed the microphone to the recogniser; what is heard surely enough is said."""
        try:
            self._follow(recogniser(self._cook.view().menu, None))
        except NoMicrophone as trouble:
            self._cook.notice(f"{trouble}.")

    def _follow(self, ear: Recogniser) -> None:
        for chunk in microphone():
            if self._over.is_set():
                return
            heard = ear.feed(chunk)
            if heard is None:
                continue
            self._queue.cook_speaks(not heard.final)
            sure = heard.final and heard.confidence >= SURE_ENOUGH_TO_HEAR
            if sure and not self._own(heard.text):
                self._cook.say(heard.text, heard.confidence)

    def _own(self, text: str) -> bool:
        """While we speak, only "stop" is taken from the microphone: the rest may be our echo."""
        return self._queue.speaking and text.strip() != "stop"

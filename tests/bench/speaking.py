"""Figures of speaking: `make bench-voice`. How soon each reply is heard, by the real voices.

Said are the replies and calls to sampled lines of the phrase book during cooks of the sample
menus: the very words that would be spoken. Each goes through the speech queue to a stand-in for
the sound card, which notes when the first piece of sound reaches it and where in it the first
voiced sample is: what a card adds is not counted. "New" forgets what was said before each of them;
"in turn" keeps it, as a cook would have it.
"""

import os
import random
import threading
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager

import numpy as np

from assistant.audio import from_pcm
from assistant.cook import Message
from assistant.phrasebook import OUT_OF_SCOPE
from assistant.running import Running, kitchen_of
from assistant.speak import Speaker
from assistant.speak_espeak import EspeakSpeaker
from assistant.speak_piper import PiperSpeaker
from assistant.speech_queue import SpeechQueue, Urgency
from assistant.wiring import request

MENUS = ("harbour-supper", "ridge-sunday")
LINES_OF_EACH_INTENT = 1
LISTENED_S = 5.0  # to each saying, for gaps
VOICED = 0.02  # of full scale
LONG_WORDS = 12
AIM_MS = 250


class Card:
    """Stands in for the sound card. For each saying: seconds from asking to sound, and gaps."""

    def __init__(self) -> None:
        self.asked_at = 0.0
        self.to_piece_s = self.to_voice_s = self.gaps_s = self.lasts_s = 0.0
        self.over = threading.Event()

    def play(self, pcm: Iterable[bytes], rate_hz: int) -> None:
        """Take all at once; a gap is where a card would have run dry."""
        self.to_piece_s = self.to_voice_s = self.gaps_s = self.lasts_s = 0.0
        for piece in pcm:
            now = time.perf_counter() - self.asked_at
            if not self.lasts_s:
                self.to_piece_s = now
            elif now > self.to_piece_s + self.gaps_s + self.lasts_s:
                self.gaps_s = now - self.to_piece_s - self.lasts_s
            voiced = np.flatnonzero(np.abs(from_pcm(piece)) > VOICED)
            if not self.to_voice_s and len(voiced):
                played_s = self.lasts_s + voiced[0] / rate_hz
                self.to_voice_s = self.to_piece_s + self.gaps_s + played_s
            self.lasts_s += len(piece) / 2 / rate_hz
            if self.lasts_s > LISTENED_S:
                break
        self.over.set()


@contextmanager
def mouth(speaker: Speaker, card: Card) -> Iterator[SpeechQueue]:
    """A speech queue that runs."""
    mouth = SpeechQueue(speaker, card.play, time.monotonic, print)
    threading.Thread(target=mouth.run, daemon=True).start()
    yield mouth
    mouth.close()


def said(mouth: SpeechQueue, card: Card, words: str) -> None:
    """Have it said, and wait until it was."""
    card.over.clear()
    card.asked_at = time.perf_counter()
    mouth.say(words, Urgency.REPLY)
    card.over.wait()
    while mouth.speaking:
        time.sleep(0.0005)


def sayings() -> list[str]:
    """What is spoken in talk about each sample menu, each once, in the order of the talk."""
    found: dict[str, None] = {}

    def hear(message: Message) -> None:
        if message.kind in ("reply", "call", "notice") and message.spoken:
            found[message.spoken] = None

    draw = random.Random(1)
    for menu in MENUS:
        with kitchen_of(request([menu], None, None, "18:00"), keep=False) as running:
            running.cook.attach(hear)
            running.start()
            _talk(running, draw)
    return list(found)


def _talk(running: Running, draw: random.Random) -> None:
    names = [name for name in running.book.intents if name != OUT_OF_SCOPE]
    for name in draw.sample(names, len(names)):
        for example in draw.sample(running.book.intents[name].examples, LINES_OF_EACH_INTENT):
            reply = running.say(example.text, wait=False)
            if reply.more:
                running.say("more", wait=False)
            if reply.stops or name in ("hush", "pause_cook"):
                running.say("carry on", wait=False)
        running.request.clock.advance(30)  # type: ignore[attr-defined]  # a simulated one
        running.cook.tick()


def measure(name: str, speaker: Speaker, words: list[str], anew: bool) -> None:
    """Print one row for all, one for the long ones."""
    card, rows = Card(), []
    with mouth(speaker, card) as queue:
        for sentence in words:
            if anew and isinstance(speaker, PiperSpeaker):
                speaker.forget()
            said(queue, card, sentence)
            rows.append(
                (len(sentence.split()), card.to_piece_s, card.to_voice_s, card.gaps_s, card.lasts_s)
            )
    table = np.array(rows)
    for label, part in (("all", table), ("long", table[table[:, 0] > LONG_WORDS])):
        to_piece, to_voice = part[:, 1] * 1000, part[:, 2] * 1000
        print(
            f"{name:24} {label:5} {len(part):4}"
            f" {np.median(to_piece):7.0f} {np.percentile(to_piece, 95):4.0f} {to_piece.max():4.0f}"
            f" {np.median(to_voice):7.0f} {np.percentile(to_voice, 95):4.0f}"
            f" {np.mean(to_voice <= AIM_MS):12.0%} {part[:, 3].sum() / part[:, 4].sum():6.2%}",
            flush=True,
        )


def main() -> None:
    """Print the table."""
    words = sayings()
    began = time.perf_counter()
    piper = PiperSpeaker()
    started_s = time.perf_counter() - began
    print(f"Speaking: {len(words)} different replies and calls; load {os.getloadavg()[0]:.1f}")
    print(f"Piper was ready after {started_s:.1f} s; the first of them came right then")
    print(f"long: over {LONG_WORDS} words. Milliseconds from asking to sound at the card")
    print("voice                    what    of  first piece:      first voiced:  within   run")
    print("                                    median  95%  max  median  95%        250 ms   dry")
    measure("Piper, new", piper, words, anew=True)
    measure("Piper, in turn", piper, words, anew=False)
    measure("eSpeak NG", EspeakSpeaker(), words, anew=False)


if __name__ == "__main__":
    main()

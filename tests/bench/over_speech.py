"""Figures of "stop" over our own speech: `python -m tests.bench.over_speech`, a part of
`make bench-voice`.

At which level of our echo "stop" is heard, and whether we ever act upon ourselves.
"""

from collections.abc import Callable
from concurrent.futures import Executor, Future
from typing import Any

import numpy as np

from assistant import wiring
from assistant.addressed import Addressed
from assistant.audio import CHUNK_BYTES, RATE_HZ, to_pcm
from assistant.echo import Echo, EchoCanceller
from assistant.hear import Recogniser, StopEar
from assistant.listening import Listening
from assistant.running import Running
from assistant.speak import Speaker
from assistant.speak_piper import PiperSpeaker
from tests.bench.chatter import Sound, loudness, spoken, voices
from tests.bench.listening import CALLED, Mouth, cook

ECHO_DB = (12, 6, 0, -6, -12)  # of our echo over the cook's "stop"
ROOMS = 3

REPLIES = (
    "Set the oven to two hundred degrees Celsius. At six, cut the fennel into thick wedges.",
    "You are done with the rice. Stop stirring once it boils, then put the lid on.",
    "Did you mean: stop the timer? Say yes, or no.",
    "Timer set: twelve minutes, until ten past six. Say stop and I am silent.",
    "Three hundred grams of long grain white rice. One and a half cups.",
    "The chicken is done when its juices run clear. Is it done?",
    "Undo that? It is the next step: brown the chicken for fifteen minutes.",
    "Cool it within one hour. Spores in rice survive cooking, and reheating does not help.",
    "I am hobside. Ask what is next, what now, how long left, or when we eat.",
    "Not yet: it waits for, rinse the rice. Start the beans now, and pause the pears.",
)


class AtOnce(Executor):
    """Has everything done before it returns: the sound goes by faster here than it is heard, so
    what is heard would depend on how fast. It is as in life where the network is quick enough."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **named: Any) -> Future[Any]:
        done: Future[Any] = Future()
        done.set_result(fn(*args, **named))
        return done


class Room:
    """A loudspeaker and a microphone: card delay, the straight way, a fading tail, distortion."""

    def __init__(self, seed: int, delay_ms: int = 60, fades_s: float = 0.35) -> None:
        chance = np.random.default_rng(seed)
        at = np.arange(int(fades_s * RATE_HZ)) / RATE_HZ
        tail = chance.normal(size=len(at)) * np.exp(-6.9 * at / fades_s) * 0.012
        tail[0] += 1
        self._way = np.concatenate([np.zeros(RATE_HZ * delay_ms // 1000), tail])

    def echo(self, played: Sound) -> Sound:
        """What comes back of what is played: about 2% of it is distortion."""
        size = len(played)
        driven = np.tanh(played * 0.5) / 0.5
        full = np.fft.rfft(driven, 2 * size) * np.fft.rfft(self._way, 2 * size)
        return np.fft.irfft(full)[:size].astype(np.float32)


def report_echo() -> None:
    """A table by level, and what we did upon hearing ourselves."""
    names = {name: voice for name, voice in voices().items() if name != "piper joe"}
    ours = [_padded(spoken(PiperSpeaker(), reply, 0.1)) for reply in REPLIES]
    with cook("open", exact=True) as running:
        over = wiring.stop_ear(CALLED, AtOnce())
        ear = wiring.recogniser(running.menu, None, CALLED)
        print('"stop" said once over our own speech, by level of our echo over it; heard:')
        for level in ECHO_DB:
            heard = [
                _stopped(running, ear, over, ours, voice, level, nth)
                for nth, voice in enumerate(names.values())
            ]
            who = ", ".join(n for n, ok in zip(names, heard, strict=True) if not ok) or "none"
            print(f"{level:+4} dB: {sum(heard)} of {len(heard)}; not: {who}", flush=True)
        acts = []
        for room in map(Room, range(ROOMS)):
            canceller = EchoCanceller()  # it knows nothing of the room at first, as in life
            for reply, sound in zip(REPLIES, ours, strict=True):
                acts += _acts(running, ear, over, room, canceller, reply, sound)
        print(f"acted upon our own speech: {len(acts)} of {len(REPLIES) * ROOMS} replies {acts}")


def _padded(sound: Sound) -> Sound:
    still = np.zeros(RATE_HZ // 2, np.float32)
    return np.concatenate([still, sound, still])


def _stopped(
    running: Running,
    ear: Recogniser,
    over: StopEar,
    ours: list[Sound],
    voice: Speaker,
    level_db: float,
    nth: int,
) -> bool:
    """Whether "stop" over a reply, in a room known from two others, silences us."""
    room = Room(nth % ROOMS)
    played = ours[(nth + 2) % len(ours)]
    mic = room.echo(played)
    stop = spoken(voice, "stop", loudness(mic) * 10 ** (-level_db / 20))
    at = len(mic) // 3
    mic[at : at + len(stop)] += stop
    mouth, canceller = Mouth(), EchoCanceller()
    listening = Listening(running, mouth, Echo(), Addressed(), ear, over)
    for before in (nth, nth + 1):
        sound = ours[before % len(ours)]
        _through(canceller, sound, room.echo(sound), lambda chunk, clear, others: None)
    mouth.speaking = True
    _through(canceller, played, mic, listening.take)
    mouth.speaking = False
    listening.take(bytes(CHUNK_BYTES))
    ear.finish()
    return mouth.stopped


def _acts(
    running: Running,
    ear: Recogniser,
    over: StopEar,
    room: Room,
    canceller: EchoCanceller,
    reply: str,
    sound: Sound,
) -> list[str]:
    """What was taken for an utterance while a reply was said and for two seconds after it."""
    mouth, said = Mouth(), Echo()
    listening = Listening(running, mouth, said, Addressed(), ear, over)
    said.said(reply)
    told: list[str] = []
    detach = running.cook.attach(lambda m: told.append(m.shown) if m.kind == "heard" else None)
    mouth.speaking = True
    _through(canceller, sound, room.echo(sound), listening.take)
    mouth.speaking = False
    still = np.zeros(2 * RATE_HZ, np.float32)
    _through(canceller, still[:0], still, listening.take)
    detach()
    ear.finish()
    return [f"{reply[:20]}: {words}" for words in told or ["fell silent"] * mouth.stopped]


def _through(
    canceller: EchoCanceller, played: Sound, mic: Sound, take: Callable[[bytes, bool, bool], None]
) -> None:
    """Play and hear side by side, a chunk at a time, with a little of the room's own noise."""
    hiss = np.random.default_rng(len(mic)).normal(0, 3e-4, len(mic)).astype(np.float32)
    heard, out = to_pcm(mic + hiss), to_pcm(played)

    def card(pieces: object, _rate_hz: int) -> None:
        for nth in range(len(heard) // CHUNK_BYTES):
            next(pieces, None)  # type: ignore[call-overload]
            for clean in canceller.clean(heard[nth * CHUNK_BYTES : (nth + 1) * CHUNK_BYTES]):
                take(clean, canceller.clear, canceller.others)

    pieces = (out[at : at + CHUNK_BYTES] for at in range(0, len(out), CHUNK_BYTES))
    canceller.through(card)(pieces, RATE_HZ)


if __name__ == "__main__":
    report_echo()

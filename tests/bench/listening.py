"""Figures of being addressed: `python -m tests.bench.listening [MINUTES]`, a part of
`make bench-voice`.

Three tables: at which level "stop" is heard over our own speech, and whether we ever act upon
ourselves; what comes of talk that is not meant for us (MINUTES of it, 60 unless told, and the
table talk of tests/unseen) in the open and by name; and of commands, with the name and without.
Talk is heard once and then judged in each mode. Needs the trained intent model.
"""

import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from assistant import wiring
from assistant.addressed import Addressed
from assistant.audio import CHUNK_BYTES, CHUNK_MS, RATE_HZ, to_pcm
from assistant.cook import Message
from assistant.echo import Echo, EchoCanceller
from assistant.hear import Heard, Recogniser
from assistant.listening import Listening
from assistant.running import Running, kitchen_of
from assistant.speak import Speaker
from assistant.speak_piper import PiperSpeaker
from domain.settings import Settings
from scheduling.clock import SimulatedClock
from tests.bench.chatter import Sound, kitchen, loudness, spoken, talk, voices
from tests.bench.understanding import lines

MENU = "harbour-supper"
CALLED = Settings().called
ECHO_DB = (12, 6, 0, -6, -12)  # of our echo over the cook's "stop"
ROOMS = 3
COMMANDS = 96  # of the open half of tests/unseen, each by one of the voices in turn

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


class Mouth:
    """Whether we speak is told by the bench; "stop" is noted."""

    def __init__(self) -> None:
        self.speaking = False
        self.stopped = False

    def stop(self) -> None:
        self.stopped = True
        self.speaking = False

    def cook_speaks(self, speaking: bool) -> None: ...


@dataclass
class Came:
    """What came of speech: replies said, and how many of them did anything to the plan."""

    replies: list[tuple[str, str]] = field(default_factory=list)
    changed: int = 0


@contextmanager
def cook(mode: Literal["open", "name"], exact: bool = False) -> Iterator[Running]:
    """A supper under way, listened to in this mode. exact: without the intent server."""
    what = wiring.request([MENU], None, None, "18:00")
    clock = SimulatedClock(what.clock.now())
    what = replace(what, clock=clock, settings=Settings(listening=mode))
    with kitchen_of(what, keep=False) as running:
        if not exact:
            running.start_server()
            running.wait_until_ready()
        running.start()
        yield running


def main(arguments: Sequence[str]) -> None:
    """Print every table."""
    minutes = float(arguments[0]) if arguments else 60.0
    report_echo()
    ear = wiring.recogniser(wiring.menu_named([MENU]), None, CALLED)
    report_talk(ear, minutes)
    report_commands(ear)


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
        over = wiring.stop_recogniser(CALLED)
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
    over: Recogniser,
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
    over: Recogniser,
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


def report_talk(ear: Recogniser, minutes: float) -> None:
    """What comes of other speech, of table talk and of noise, in each mode."""
    table_talk = [line["say"] for line in lines("open") if line["intent"] is None]
    sounds = {
        "other speech": list(_hear(ear, _other_speech(minutes), "other speech")),
        "table talk": list(_hear(ear, _said_by_all(table_talk), "table talk")),
        "kitchen noise": list(_hear(ear, _noise(minutes / 6), "kitchen noise")),
    }
    print("not meant for us: replies (changes to the plan) in the open, and by name")
    for what, heard in sounds.items():
        parts = [
            f"{_lasted(heard) / 60:.0f} min, {sum(1 for h in heard if h and h.final)} utterances"
        ]
        for mode in ("open", "name"):
            came = judged(mode, heard)  # type: ignore[arg-type]
            parts.append(f"{mode} {len(came.replies)} ({came.changed})")
            for words, reply in came.replies:
                print(f"    {mode}: “{words}”: {reply[:60]}")
        print(f"{what}: {'; '.join(parts)}", flush=True)


def _lasted(heard: list[Heard | None]) -> float:
    return len(heard) * CHUNK_MS / 1000


def judged(mode: Literal["open", "name"], heard: list[Heard | None]) -> Came:
    """What comes of what was heard, chunk by chunk, in this mode."""
    came = Came()
    with cook(mode) as running:
        said = ""

        def note(message: Message) -> None:
            nonlocal said
            if message.kind == "heard":
                said = message.shown
            elif message.kind == "reply":
                came.replies.append((said, message.shown))

        running.cook.attach(note)
        before = len(running.cook.live.events())
        tape = _Tape(heard)
        listening = Listening(running, Mouth(), Echo(), Addressed(), tape)
        for _ in heard:
            listening.take(b"")
        told = running.cook.live.events()[before:]
        came.changed = sum(event.by == "cook" for event in told)
    return came


class _Tape:
    """A recogniser that heard it all before."""

    def __init__(self, heard: Sequence[Heard | None]) -> None:
        self._heard = iter(heard)

    def feed(self, pcm: bytes) -> Heard | None:
        return next(self._heard, None)

    def finish(self) -> Heard | None:
        return None


def _hear(ear: Recogniser, sound: Iterator[Sound], what: str) -> Iterator[Heard | None]:
    """What the ear tells, chunk by chunk; progress goes to the error output."""
    began, done, pending = time.perf_counter(), 0, b""
    for piece in sound:
        pending += to_pcm(piece)
        whole = len(pending) // CHUNK_BYTES
        for nth in range(whole):
            yield ear.feed(pending[nth * CHUNK_BYTES : (nth + 1) * CHUNK_BYTES])
        pending = pending[whole * CHUNK_BYTES :]
        done += whole
        took = time.perf_counter() - began
        heard = f"{done * CHUNK_MS / 60000:.1f} min in {took:.0f} s"
        print(f"\r{what}: {heard} ", end="", file=sys.stderr)
    yield ear.finish()


def _other_speech(minutes: float) -> Iterator[Sound]:
    """All voices in turn, some louder and some softer, with pauses of 0.3 to 3 s."""
    chance, speakers, size = random.Random(2), list(voices().values()), 0
    for nth, words in enumerate(talk()):
        said = spoken(speakers[nth % len(speakers)], words, 0.05 * 10 ** chance.uniform(-0.5, 0.2))
        yield (sound := np.concatenate([said, _pause(chance)]))
        size += len(sound)
        if size > minutes * 60 * RATE_HZ:
            return


def _said_by_all(texts: Sequence[str]) -> Iterator[Sound]:
    """Each text by the next of the voices, with a pause after it that ends the utterance."""
    speakers = list(voices().values())
    for nth, text in enumerate(texts):
        said = spoken(speakers[nth % len(speakers)], text)
        yield np.concatenate([said, _hush(1.2, nth)])


def _pause(chance: random.Random) -> Sound:
    return _hush(chance.uniform(0.3, 3.0), chance.randrange(1000))


def _hush(seconds: float, seed: int) -> Sound:
    size = int(seconds * RATE_HZ)
    return np.random.default_rng(seed).normal(0, 3e-4, size).astype(np.float32)


def _noise(minutes: float) -> Iterator[Sound]:
    for minute in range(max(1, round(minutes))):
        yield kitchen(60.0, minute) * np.float32(4)


def report_commands(ear: Recogniser) -> None:
    """Commands by all voices: how many are understood in the open, and by name with the name."""
    wanted = [line for line in lines("open") if line["intent"] is not None]
    wanted = random.Random(3).sample(wanted, COMMANDS)
    print("commands: right intent, of", COMMANDS)
    for mode in ("open", "name"):
        speakers = list(voices().values())
        lead = f"{CALLED}, " if mode == "name" else ""
        right = heard_name = silent = 0
        with cook(mode) as running:  # type: ignore[arg-type]
            for nth, line in enumerate(wanted):
                said = spoken(speakers[nth % len(speakers)], lead + line["say"])
                came = _intent(
                    running, ear, np.concatenate([_hush(0.3, nth), said, _hush(1.2, nth)])
                )
                right += came[0] in {line["intent"], *line.get("also", ())}
                heard_name += came[1].startswith(CALLED)
                silent += not came[2]
        print(f"{mode}: {right} right, {silent} unanswered; name heard {heard_name}", flush=True)


def _intent(running: Running, ear: Recogniser, sound: Sound) -> tuple[str | None, str, bool]:
    """The intent that was acted upon, the words heard, whether there was any answer."""
    answers: list[str] = []
    detach = running.cook.attach(
        lambda message: answers.append(message.kind) if message.kind in ("reply", "stop") else None
    )
    heard = [one for one in _hear(ear, iter([sound]), "commands") if one is not None and one.final]
    listening = Listening(running, Mouth(), Echo(), Addressed(), _Tape(heard))
    for _ in heard:
        listening.take(b"")
    detach()
    understood = running.cook.understood if answers else None
    return (
        (understood.intent if understood else None),
        " ".join(one.text for one in heard),
        bool(answers),
    )


if __name__ == "__main__":
    main(sys.argv[1:])

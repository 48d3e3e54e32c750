"""Figures of being addressed: `python -m tests.bench.listening [MINUTES]`, a part of
`make bench-voice`.

What comes of talk that is not meant for us (MINUTES of it, 60 unless told, and the table talk of
tests/unseen) in the open and by name; and of commands, clean and in noise, with the name and
without. `--keep FILE` keeps the words that were heard, never the sound, and `--read FILE` judges
them again without hearing; `--working` hears other sentences than the figures are taken from, for
setting rules by. Needs the trained intent model.
"""

import argparse
import json
import random
import sys
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from assistant import wiring
from assistant.addressed import Addressed
from assistant.audio import CHUNK_BYTES, CHUNK_MS, RATE_HZ, to_pcm
from assistant.cook import Message
from assistant.echo import Echo
from assistant.hear import Heard, Recogniser
from assistant.listening import Listening
from assistant.running import Running, kitchen_of
from domain.settings import Settings
from scheduling.clock import SimulatedClock
from tests.bench.chatter import Sound, kitchen, spoken, talk, voices
from tests.bench.kitchen_noise import NOISES
from tests.bench.understanding import lines
from tests.bench.voice import mixed

MENU = "harbour-supper"
CALLED = Settings().called
Mode = Literal["open", "name"]
MODES: tuple[Mode, ...] = ("open", "name")
COMMANDS = 96  # of the open half of tests/unseen, each by one of the voices in turn
NOISE_DB = 20


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


@dataclass
class Tape:
    """What was heard in so many chunks of sound: (number of the chunk, words), never the sound."""

    chunks: int = 0
    heard: list[tuple[int, Heard]] = field(default_factory=list)

    @property
    def finals(self) -> list[Heard]:
        return [words for _, words in self.heard if words.final]


Tapes = dict[str, list[Tape]]


def main(arguments: Sequence[str] | None = None) -> None:
    """Print every table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("minutes", nargs="?", type=float, default=60.0)
    parser.add_argument("--keep", type=Path, help="where to keep the words that were heard")
    parser.add_argument("--read", type=Path, help="words kept earlier, to be judged again")
    parser.add_argument("--working", action="store_true", help="other sentences, to work with")
    options = parser.parse_args(arguments)
    tapes = read(options.read) if options.read else heard(options.minutes, options.working)
    if options.keep:
        options.keep.write_text(
            json.dumps({name: list(map(asdict, t)) for name, t in tapes.items()})
        )
    report_talk(tapes)
    report_commands(tapes)


def read(path: Path) -> Tapes:
    """What `--keep` wrote."""
    kept = json.loads(path.read_text())
    return {
        name: [Tape(t["chunks"], [(at, Heard(**words)) for at, words in t["heard"]]) for t in tapes]
        for name, tapes in kept.items()
    }


def heard(minutes: float, working: bool) -> Tapes:
    """Everything that is to be judged, heard by the recogniser that a cook has."""
    ear = wiring.recogniser(wiring.menu_named([MENU]), None, CALLED)
    table_talk = [line["say"] for line in lines("open") if line["intent"] is None]
    sounds: dict[str, Iterable[Iterable[Sound]]] = {
        "other speech": [_other_speech(minutes, working)],
        "table talk": [_said_by_all(table_talk, 3 if working else 0)],
        "kitchen noise": [_noise(minutes / 6)],
        "commands, open": _commands("", None),
        f"commands, open, {NOISE_DB} dB": _commands("", NOISE_DB),
        "commands, name": _commands(f"{CALLED}, ", None),
    }
    return {name: [_hear(ear, one, name) for one in several] for name, several in sounds.items()}


def report_talk(tapes: Tapes) -> None:
    """What comes of other speech, of table talk and of noise, in each mode."""
    print("not meant for us: replies (changes to the plan) in the open, and by name")
    for what in ("other speech", "table talk", "kitchen noise"):
        (tape,) = tapes[what]
        minutes = tape.chunks * CHUNK_MS / 60000
        parts = [f"{minutes:.0f} min, {len(tape.finals)} utterances"]
        for mode in MODES:
            came = judged(mode, tape)
            parts.append(f"{mode} {len(came.replies)} ({came.changed})")
            for words, reply in came.replies:
                print(f"    {mode}: “{words}”: {reply[:60]}")
        print(f"{what}: {'; '.join(parts)}", flush=True)


def judged(mode: Mode, tape: Tape) -> Came:
    """What comes of what was heard, chunk by chunk, in this mode."""
    came, at = Came(), dict(tape.heard)
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
        ear = _Again(at.get(number) for number in range(tape.chunks + 1))
        listening = Listening(running, Mouth(), Echo(), Addressed(), ear)
        for _ in range(tape.chunks + 1):
            listening.take(b"")
            running.request.clock.advance(CHUNK_MS / 1000)  # type: ignore[attr-defined]
        told = running.cook.live.events()[before:]
        came.changed = sum(event.by == "cook" for event in told)
    return came


class _Again:
    """A recogniser that heard it all before."""

    def __init__(self, heard: Iterable[Heard | None]) -> None:
        self._heard = iter(heard)

    def feed(self, pcm: bytes) -> Heard | None:
        return next(self._heard, None)

    def finish(self) -> Heard | None:
        return None


def _hear(ear: Recogniser, sound: Iterable[Sound], what: str) -> Tape:
    """What the ear tells of the sound; progress goes to the error output."""
    began, tape, pending = time.perf_counter(), Tape(), b""
    for piece in sound:
        pending += to_pcm(piece)
        whole = len(pending) // CHUNK_BYTES * CHUNK_BYTES
        for at in range(0, whole, CHUNK_BYTES):
            words = ear.feed(pending[at : at + CHUNK_BYTES])
            if words is not None:
                tape.heard.append((tape.chunks, words))
            tape.chunks += 1
        pending = pending[whole:]
        took = time.perf_counter() - began
        lasted = f"{tape.chunks * CHUNK_MS / 60000:.1f} min in {took:.0f} s"
        print(f"\r{what}: {lasted} ", end="", file=sys.stderr)
    words = ear.finish()
    if words is not None:
        tape.heard.append((tape.chunks, words))
    return tape


def _other_speech(minutes: float, working: bool) -> Iterator[Sound]:
    """All voices in turn, some louder and some softer, with pauses of 0.3 to 3 s."""
    chance, speakers, size = random.Random(2), list(voices().values()), 0
    for nth, words in enumerate(talk(working=working)):
        said = spoken(speakers[nth % len(speakers)], words, 0.05 * 10 ** chance.uniform(-0.5, 0.2))
        yield (sound := np.concatenate([said, _pause(chance)]))
        size += len(sound)
        if size > minutes * 60 * RATE_HZ:
            return


def _said_by_all(texts: Sequence[str], first: int) -> Iterator[Sound]:
    """Each text by the next of the voices, with a pause after it that ends the utterance."""
    speakers = list(voices().values())
    for nth, text in enumerate(texts, first):
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


def wanted() -> list[dict[str, Any]]:
    """The commands that are said."""
    inside = [line for line in lines("open") if line["intent"] is not None]
    return random.Random(3).sample(inside, COMMANDS)


def _commands(lead: str, snr_db: float | None) -> Iterator[list[Sound]]:
    """Each command by the next of the voices, a kind of noise for each in turn."""
    speakers = list(voices().values())
    for nth, line in enumerate(wanted()):
        said = spoken(speakers[nth % len(speakers)], lead + line["say"])
        sound = np.concatenate([_hush(0.3, nth), said, _hush(1.2, nth)])
        if snr_db is not None:
            kind = list(NOISES.values())[nth % len(NOISES)]
            sound = mixed(sound, kind(20.0, 1).astype(np.float32), snr_db, nth)
        yield [sound]


def report_commands(tapes: Tapes) -> None:
    """How many commands are understood in the open, and by name with the name."""
    print("commands: right intent, of", COMMANDS)
    for name, said in tapes.items():
        if not name.startswith("commands"):
            continue
        right = named = silent = 0
        with cook("name" if name.endswith("name") else "open") as running:
            for line, tape in zip(wanted(), said, strict=True):
                intent, answered = _came_of(running, tape)
                right += intent in {line["intent"], *line.get("also", ())}
                named += any(words.text.startswith(CALLED) for words in tape.finals)
                silent += not answered
        print(f"{name}: {right} right, {silent} unanswered; name heard {named}", flush=True)


def _came_of(running: Running, tape: Tape) -> tuple[str | None, bool]:
    """The intent that was acted upon, and whether there was any answer."""
    answers: list[str] = []
    detach = running.cook.attach(
        lambda message: answers.append(message.kind) if message.kind in ("reply", "stop") else None
    )
    listening = Listening(running, Mouth(), Echo(), Addressed(), _Again(tape.finals))
    for _ in tape.finals:
        listening.take(b"")
    detach()
    understood = running.cook.understood if answers else None
    return understood.intent if understood else None, bool(answers)


if __name__ == "__main__":
    main()

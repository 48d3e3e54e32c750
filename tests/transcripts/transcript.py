"""Whole cooks as transcripts that people read and tests replay.

A transcript has a title, a head and the talk. The head says what is cooked (`menu`), from when on
(`begins`), and, where it is not as usual: when it is wanted (`wanted`), the `kitchen`, its `cooks`,
the cook's `settings` ("foods us, by_ear yes"), and `by: voice`, by which the words that are spoken
stand in it, not those that are shown. Then, by the clock: what the cook says (`cook`), what is
answered (`reply`) and what is said unasked (`call`; `note` is about Hobside itself). A line that
begins with `#` tells what happens in the kitchen, and stands before what the cook says of it.
"""

import re
import textwrap
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from unittest.mock import patch

from assistant import running as running_module
from assistant.cook import Message
from assistant.intent_server import IntentServer
from assistant.running import Running, kitchen_of
from assistant.wiring import Request, menu_named, next_moment
from domain.cookbook import load_kitchen
from domain.settings import Settings, settings_of
from domain.yamlfile import parse
from scheduling.clock import SimulatedClock

FOLDER = Path(__file__).parent
_DAY = datetime(2026, 3, 14)
_LOOK_S = 10.0  # how long the clock runs before it is looked whether something is to be called
_WIDTH = 100
_LINE = re.compile(r"(\d\d):(\d\d)(?::(\d\d))? +cook +(.*)")
_WHO = {"reply": "reply", "call": "call", "notice": "note"}


@dataclass(frozen=True)
class Spoken:
    """One thing the cook says. at: seconds from midnight; notes: what happens before it."""

    at: float
    text: str
    notes: tuple[str, ...]


@dataclass(frozen=True)
class Transcript:
    """What of a transcript is the cook's: all but what Hobside says."""

    title: tuple[str, ...]
    head: dict[str, str]
    spoken: tuple[Spoken, ...]


def names() -> list[str]:
    """The transcripts that there are."""
    return sorted(file.stem for file in FOLDER.glob("*.txt"))


def read(text: str) -> Transcript:
    """The cook's part of a transcript; what Hobside said in it is passed over."""
    head_text, _, talk = text.partition("\n\n")
    lines = head_text.splitlines()
    head = dict(re.fullmatch(r"(\w+): +(.*)", line).groups() for line in lines if _is_head(line))  # type: ignore[union-attr]
    title = tuple(line for line in lines if not _is_head(line))
    spoken, notes = [], []
    for line in talk.splitlines():
        if line.startswith("#"):
            notes.append(line)
        elif found := _LINE.fullmatch(line):
            hours, minutes, seconds, said = found.groups()
            at = 3600 * int(hours) + 60 * int(minutes) + int(seconds or 0)
            spoken.append(Spoken(at, said, tuple(notes)))
            notes = []
    return Transcript(title, head, tuple(spoken))


def replayed(transcript: Transcript, server: IntentServer) -> str:
    """The transcript written anew: its cook talks to the real parts, under a simulated clock."""
    what = _request(transcript.head)
    with (
        patch.object(running_module, "IntentServer", lambda on_change: _Borrowed(server)),
        kitchen_of(what, keep=False) as running,
    ):
        talk = _Talk(running, what.clock, by_voice=transcript.head.get("by") == "voice")
        head = (f"{key + ':':10}{value}" for key, value in transcript.head.items())
        return "\n".join([*transcript.title, *head, "", *talk.of(transcript.spoken), ""])


class _Talk:
    """One cook from the first thing said to the last."""

    def __init__(self, running: Running, clock: Any, by_voice: bool) -> None:
        self._running, self._clock, self._by_voice = running, clock, by_voice
        self._lines: list[str] = []
        self._at = ""

    def of(self, spoken: tuple[Spoken, ...]) -> list[str]:
        running = self._running
        running.cook.attach(self._hear)
        running.start_server()
        running.start()
        for said in spoken:
            self._pass_time(_DAY.timestamp() + said.at)
            self._lines += said.notes
            self._write("cook", said.text, wrap=False)
            running.say(said.text)
        return self._lines

    def _pass_time(self, until: float) -> None:
        """Let the clock run as a front does, looking now and then whether something is due."""
        while (left := until - self._clock.now()) > 0:
            self._clock.advance(min(_LOOK_S, left))
            self._running.cook.tick()

    def _hear(self, message: Message) -> None:
        if message.kind in _WHO:
            words = message.spoken if self._by_voice else message.shown
            self._write(_WHO[message.kind], words)

    def _write(self, who: str, words: str, wrap: bool = True) -> None:
        """One thing said. The time stands where it is another than in the line before."""
        at = datetime.fromtimestamp(self._clock.now()).strftime("%H:%M:%S")
        lead, self._at = (at if who == "cook" or at != self._at else " " * 8), at
        rows = [row for line in words.splitlines() for row in _wrapped(line, wrap)]
        self._lines.append(f"{lead}  {who:5}  {rows[0] if rows else ''}".rstrip())
        self._lines += (" " * 17 + row for row in rows[1:])


def _wrapped(line: str, wrap: bool) -> list[str]:
    return textwrap.wrap(line, _WIDTH - 17) or [""] if wrap else [line]


class _Borrowed:
    """The intent server that all cooks share: it is up already, and stays up."""

    def __init__(self, server: IntentServer) -> None:
        self._server = server
        self.ready, self.wait, self.parse = server.ready, server.wait, server.parse

    def start(self) -> None:
        """It has been started."""

    def close(self) -> None:
        """It goes on for the next cook."""


def _is_head(line: str) -> bool:
    return re.match(r"\w+: ", line) is not None


def _request(head: dict[str, str]) -> Request:
    """The head as what is cooked, where and when; nothing of this machine's own settings."""
    menu = menu_named(head["menu"].split(", "))
    settings = _settings(head.get("settings", ""))
    kitchen = load_kitchen(head.get("kitchen") or menu.kitchen or settings.kitchen)
    if "cooks" in head:
        kitchen = replace(kitchen, cooks=tuple(head["cooks"].split(", ")))
    hours, minutes = map(int, head["begins"].split(":"))
    clock = SimulatedClock((_DAY + timedelta(hours=hours, minutes=minutes)).timestamp())
    wanted = head.get("wanted") or menu.service
    wanted_at = next_moment(wanted, clock.now()) if wanted else None
    if wanted_at is None and menu.service_after_s is not None:
        wanted_at = clock.now() + menu.service_after_s
    return Request(menu, kitchen, settings, clock, wanted_at)


def _settings(told: str) -> Settings:
    """ "foods us, by_ear yes" as settings."""
    pairs = (pair.split(" ", 1) for pair in told.split(", ") if pair)
    text = "\n".join(f"{name}: {value}" for name, value in pairs)
    return settings_of(parse(text, "settings of a transcript")) if text else Settings()

"""A cook without hands or hardware: spoken lines go as sound through the recogniser, in
simulated time, and both sides are printed, the misses too."""

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime

from assistant.audio import CHUNK_BYTES, resample
from assistant.cook import Cook, Message
from assistant.hear import Heard, Recogniser
from assistant.phrasebook import read_phrase_book
from assistant.rehearsed_lines import Line, Lines
from assistant.reply import Reply
from assistant.running import kitchen_of
from assistant.speak import Speaker
from assistant.speak_espeak import EspeakSpeaker
from assistant.speak_flite import FliteSpeaker
from assistant.wiring import PHRASES, Request, recogniser
from domain.errors import KitchenError
from domain.settings import Settings
from scheduling.clock import SimulatedClock
from scheduling.events import StepState, ends_by_clock
from scheduling.queries import finished, service_at
from scheduling.view import View

# One second of simulated time between two looks at the kitchen would be true to life; five
# loses nothing that a cook would notice.
_LOOK_S = 5.0
_ASKS_EVERY_S = 150.0
_TRIES = 3
_PLACES = ("the first one", "the second one", "the third one")
_LONGEST_S = 6 * 3600.0


@dataclass
class Tally:
    """What became of the spoken lines. rows: (line, heard text, understood?)."""

    rows: list[tuple[Line, str, bool]] = field(default_factory=list)

    def share(self, book: bool | None = None) -> tuple[int, int]:
        """(understood, spoken) of all lines, or of those (not) worded as in the phrase book."""
        rows = [ok for line, _, ok in self.rows if book is None or line.from_book == book]
        return sum(rows), len(rows)


class Rehearsal:
    """One run of one menu: a cook who does what the plan says and talks about it.

    voice: the cook's, another than the assistant's. say_out: takes each line of the transcript.
    """

    def __init__(
        self,
        cook: Cook,
        clock: SimulatedClock,
        voice: Speaker,
        recogniser: Recogniser,
        lines: Lines,
        say_out: Callable[[str], None],
        seed: int,
    ) -> None:
        self._cook, self._clock, self._voice = cook, clock, voice
        self._recogniser, self._lines, self._say_out = recogniser, lines, say_out
        self._random = random.Random(seed)
        self._lengths: dict[str, float] = {}
        self._asked_at = clock.now()
        self.tally = Tally()
        cook.attach(self._hear_assistant)

    def run(self, wanted_at: float | None) -> View:
        """Cook the menu to its end; returns the last view."""
        self._cook.start(wanted_at)
        began = self._clock.now()
        while True:
            self._cook.tick()
            view = self._cook.view()
            if finished(view) or view.now - began > _LONGEST_S:
                return view
            line = self._next_line(view)
            if line is None:
                self._clock.advance(_LOOK_S)
            else:
                self._speak(line)

    def _next_line(self, view: View) -> Line | None:
        """What the cook says now: a report when a step is over, else now and then a question."""
        for step in view.running():
            standing = view.state.steps[step.key]
            if not ends_by_clock(step) and view.now >= self._ends_at(step.key, standing, view):
                return self._lines.report(step, view)
        if view.now - self._asked_at >= _ASKS_EVERY_S:
            self._asked_at = view.now
            return self._lines.question(view)
        return None

    def _ends_at(self, key: str, standing: StepState, view: View) -> float:
        """When this cook will really be done: drawn once a step, within its range."""
        length = view.steps[key].duration
        if key not in self._lengths:
            self._lengths[key] = self._random.triangular(
                length.low_s, length.high_s, length.likely_s
            )
        return (standing.began_at or view.now) + self._lengths[key] + standing.extra_s

    def _speak(self, line: Line) -> None:
        """Say a line until it is understood, in other words each time; at last by typing it."""
        for _ in range(_TRIES):
            if self._said(line):
                return
            line = self._lines.reworded(line)
        self._say_out(f"{self._time()}  typed  {line.typed}")
        self._cook.say(line.typed)

    def _said(self, line: Line) -> bool:
        """Say a line, and "yes" if that is asked back; whether the assistant knows it then."""
        before = len(self._cook.live.events())
        words, reply = self._spoken(line.text)
        answered = reply is not None and bool(reply.spoken)
        right = answered and line.meant_by(self._cook.understood)
        self.tally.rows.append((line, words, right))
        if not right:
            self._say_out(f"          MISSED {line.intent}")
        if reply is not None and reply.question is not None:
            choices = [meant for _, meant in reply.question.choices]
            place = next((n for n, meant in enumerate(choices) if line.meant_by(meant)), None)
            if place is not None:
                self._spoken("yes" if len(choices) == 1 else _PLACES[place])
                return line.meant_by(self._cook.understood)
        if not right:
            self._take_back(before)
        return right

    def _spoken(self, text: str) -> tuple[str, Reply | None]:
        """The words heard, and the reply; None when nothing was heard."""
        heard = self._through_the_air(text)
        words = heard.text if heard else ""
        self._say_out(f"{self._time()}  cook   {text}")
        sure = f" ({heard.confidence:.2f})" if heard else ""
        told = "the same" if words == text else words or "(nothing)"
        self._say_out(f"          heard  {told}{sure}")
        if heard is None:
            return words, None
        return words, self._cook.say(words, heard.confidence, addressed=False)

    def _take_back(self, before: int) -> None:
        """What a misheard line changed is taken back, as a cook would: by saying so."""
        told = [e for e in self._cook.live.events()[before:] if e.by == "cook"]
        for _ in told:
            self._say_out(f"{self._time()}  typed  undo that")
            self._cook.say("undo that")

    def _through_the_air(self, text: str) -> Heard | None:
        """The line as sound, through the recogniser; the clock moves on by its length."""
        pcm = b"".join(self._voice.say(text))
        pcm = resample(pcm, self._voice.rate_hz)
        pcm = bytes(CHUNK_BYTES * 10) + pcm + bytes(CHUNK_BYTES * 30)
        self._clock.advance(len(pcm) / 32000)
        finals = []
        for start in range(0, len(pcm), CHUNK_BYTES):
            heard = self._recogniser.feed(pcm[start : start + CHUNK_BYTES])
            if heard and heard.final:
                finals.append(heard)
        last = self._recogniser.finish()
        finals += [last] if last else []
        if not finals:
            return None
        confidence = min(heard.confidence for heard in finals)
        return Heard(" ".join(heard.text for heard in finals), confidence, True)

    def _hear_assistant(self, message: Message) -> None:
        if message.kind in ("reply", "call", "notice"):
            who = {"reply": "reply", "call": "call ", "notice": "note "}[message.kind]
            for row, text in enumerate(message.shown.splitlines()):
                lead = f"{self._time()}  {who} " if row == 0 else " " * 16
                self._say_out(f"{lead} {text}")

    def _time(self) -> str:
        return datetime.fromtimestamp(self._clock.now()).strftime("%H:%M:%S")


def verdict(tally: Tally, view: View) -> Iterable[str]:
    """The closing lines: how hearing went and how the service went."""
    for title, book in (("all lines", None), ("phrase book", True), ("other words", False)):
        right, spoken = tally.share(book)
        share = f" ({right / spoken:.0%})" if spoken else ""
        yield f"understood, {title}: {right} of {spoken}{share}"
    for line, heard, right in tally.rows:
        if not right:
            yield f"  missed {line.intent}: “{line.text}” heard as “{heard}”"
    done = [d for d in view.menu.dishes if all(view.state.steps[s.key].over for s in d.steps)]
    late = service_at(view) - (view.state.wanted_at or view.first_service_at)
    ready = datetime.fromtimestamp(service_at(view)).strftime("%H:%M")
    yield f"dishes done: {len(done)} of {len(view.menu.dishes)}; service at {ready}, " + (
        f"{late / 60:.0f} min after the time planned" if late >= 60 else "on time"
    )


def cooks_voice() -> Speaker:
    """The rehearsed cook's voice, another than the assistant's.

    One of flite's, made from a person's recordings, where flite is installed; else eSpeak NG's,
    whose synthetic sounds the recogniser hears far worse.
    """
    try:
        return FliteSpeaker("slt")
    except KitchenError:
        return EspeakSpeaker("en-us")


def rehearse(what: Request, seed: int, say_out: Callable[[str], None]) -> int:
    """Rehearse a request from its clock's time on; 0 when every dish is done by service."""
    clock = SimulatedClock(what.clock.now())
    what = replace(what, clock=clock, settings=Settings())
    voice = cooks_voice()
    with kitchen_of(what, keep=False) as running:
        running.start_server()
        running.wait_until_ready()
        lines = Lines(read_phrase_book(PHRASES), seed)
        ear = recogniser(what.menu, None)
        run = Rehearsal(running.cook, clock, voice, ear, lines, say_out, seed)
        view = run.run(what.wanted_at)
        for line in verdict(run.tally, view):
            say_out(line)
    return 0 if finished(view) else 1

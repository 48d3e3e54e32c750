"""From names on a command line to the objects that cook: the only place that joins the parts."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

from assistant.answer_amounts import measures_of
from assistant.conversation import Conversation
from assistant.cook import Cook
from assistant.hear import Recogniser, open_recogniser
from assistant.intent_server import IntentServer
from assistant.journal import Journal, cooks_folder, resume
from assistant.language_model import compile_model
from assistant.meaning import Understood
from assistant.phrasebook import read_phrase_book
from assistant.resolve import Vocabulary
from assistant.scene import Scene
from assistant.understand import Understander
from domain.cookbook import load_kitchen, load_menu, menu_of, names
from domain.errors import KitchenError, MissingModel
from domain.kitchen import Kitchen
from domain.menu import Menu
from domain.settings import Settings, load_settings, save_settings
from scheduling.clock import Clock, RealClock, SimulatedClock
from scheduling.compose import NoTimetable, Timetable, plan_menu
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import finished

ROOT = Path(__file__).parents[1]
MODELS = ROOT / "models"
PHRASES = ROOT / "domain" / "intents" / "nlu"
SERVER_WAIT_S = 90.0
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?:x(\d+(?:\.\d+)?))?")
# An unfinished cook older than this is not carried on; common practice: no meal takes a day.
_RESUMED_WITHIN_S = 18 * 3600.0


@dataclass(frozen=True)
class Request:
    """What to cook, where and when. wanted_at: POSIX seconds, None for as soon as possible."""

    menu: Menu
    kitchen: Kitchen
    settings: Settings
    clock: Clock
    wanted_at: float | None


def request(
    menus: Sequence[str], kitchen: str | None, at: str | None, clock: str | None
) -> Request:
    """Everything that the shared options name. Raises KitchenError for what cannot be used."""
    menu = menu_named(menus)
    settings = load_settings()
    ticking = clock_of(clock)
    chosen = kitchen or menu.kitchen or settings.kitchen
    now = ticking.now()
    wanted = at or menu.service
    wanted_at = now + menu.service_after_s if menu.service_after_s is not None else None
    if wanted:
        wanted_at = next_moment(wanted, now)
    return Request(menu, load_kitchen(_path_or_name(chosen)), settings, ticking, wanted_at)


def menu_named(given: Sequence[str]) -> Menu:
    """One menu by name or file, or several dishes by name put together for four."""
    if len(given) == 1 and (given[0] in names("menus") or given[0] not in names("dishes")):
        return load_menu(_path_or_name(given[0]))
    return menu_of(given, servings=4)


def _path_or_name(given: str) -> str | Path:
    """What looks like a file is one; anything else is a name on a shelf."""
    is_file = given.endswith((".yaml", ".yml")) or "/" in given
    return Path(given) if is_file else given


def clock_of(given: str | None) -> Clock:
    """The real clock, or a simulated one from "HH:MM" today, N times as fast with "xN"."""
    if given is None:
        return RealClock()
    match = _CLOCK.fullmatch(given)
    if not match or int(match[1]) > 23 or int(match[2]) > 59:
        raise KitchenError(f"“{given}” is not a time; write it like 18:30, or 18:30x60 to hurry")
    start = datetime.now().replace(
        hour=int(match[1]), minute=int(match[2]), second=0, microsecond=0
    )
    return SimulatedClock(start.timestamp(), float(match[3] or 1))


def next_moment(given: str, now: float) -> float:
    """The next time that a kitchen clock shows "HH:MM", POSIX seconds."""
    match = _CLOCK.fullmatch(given)
    if not match or match[3] or int(match[1]) > 23 or int(match[2]) > 59:
        raise KitchenError(f"“{given}” is not a time of service; write it like 19:30")
    here = datetime.fromtimestamp(now)
    then = here.replace(hour=int(match[1]), minute=int(match[2]), second=0, microsecond=0)
    if then < here:
        then += timedelta(days=1)
    return then.timestamp()


def planned(what: Request) -> Timetable:
    """The plan of a request. Raises KitchenError with the reasons when there is none."""
    made = plan_menu(what.menu, what.kitchen, now=what.clock.now(), wanted_at=what.wanted_at)
    if isinstance(made, NoTimetable):
        raise KitchenError("; ".join(made.reasons))
    return made


class Running:
    """A cook that has everything it needs. resumed: an earlier cook that is carried on."""

    def __init__(self, what: Request, journal: Journal | None, resumed: bool) -> None:
        self.request, self.resumed = what, resumed
        self._journal = journal
        self._server = IntentServer(on_change=self._on_server)
        self.book = read_phrase_book(PHRASES)
        self._understander = Understander(self.book, self._server)
        self._told_away = False
        self.cook = Cook(
            LiveSchedule(
                journal.menu if journal else what.menu,
                journal.kitchen if journal else what.kitchen,
                what.clock,
                journal or MemoryStore(),
                replan="now" if isinstance(what.clock, SimulatedClock) else "background",
                wanted_at=what.wanted_at,
            ),
            Conversation(self._understand, self._describe),
            what.settings,
            save_settings,
        )
        self._vocabulary = Vocabulary.of(self.menu, self.cook.view().kitchen)

    @property
    def menu(self) -> Menu:
        return self.cook.view().menu

    def start_server(self) -> None:
        """Start the intent server in the background; without it the cook is told once."""
        try:
            self._server.start()
        except MissingModel as missing:
            self.cook.notice(f"{missing}. Until then I know only the plainest commands.")

    def wait_for(self, text: str) -> None:
        """Wait for the intent server when this utterance needs it."""
        if self._understander.needs_server(text, self._vocabulary):
            self._server.wait(SERVER_WAIT_S)

    def wait_until_ready(self) -> None:
        """Wait for the intent server. Raises KitchenError when it does not come up."""
        if not self._server.wait(SERVER_WAIT_S):
            raise KitchenError("the intent server does not start; see its log in models/")

    def close(self) -> None:
        """End it; a cook of whom nothing was reported, or who has finished, is not resumed."""
        self._server.close()
        if self._journal is not None:
            told = [event for event in self.cook.live.events() if event.by == "cook"]
            if finished(self.cook.view()) or len(told) <= 1:
                self._journal.end(self.request.clock.now())
        self.cook.close()
        if self._journal is not None:
            self._journal.close()

    def _understand(self, text: str, scene: Scene) -> Understood:
        return self._understander.understand(
            text,
            self._vocabulary.with_timers(scene.live.state.timers),
            measures_of(scene),
            datetime.fromtimestamp(scene.now),
        )

    def _describe(self, intent: str) -> str:
        return self.book.intents[intent].means or intent.replace("_", " ")

    def _on_server(self, up: bool) -> None:
        """Tell the cook when the intent server goes, and when it is back."""
        if not up:
            self._told_away = True
            self.cook.notice(
                "I understand only the plainest commands for a moment; the rest is starting again."
            )
        elif self._told_away:
            self._told_away = False
            self.cook.notice("I understand everything again.")


@contextmanager
def kitchen_of(what: Request, keep: bool, fresh: bool = False) -> Iterator[Running]:
    """A running cook: an unfinished earlier one of this menu unless `fresh`, else a new one.

    keep: events are stored, so that a restart goes on; never under a simulated clock.
    """
    journal, resumed = None, False
    clock = what.clock
    if keep and isinstance(clock, RealClock):
        since = clock.now() - _RESUMED_WITHIN_S
        journal = None if fresh else resume(what.menu.name, cooks_folder(), since)
        resumed = journal is not None
        if journal is not None:
            what = replace(what, clock=RealClock(journal.anchor))
        else:
            journal = Journal.create(what.menu, what.kitchen, clock.anchor, cooks_folder())
    running = Running(what, journal, resumed)
    try:
        yield running
    finally:
        running.close()


@contextmanager
def understanding(menu: Menu) -> Iterator[Callable[[str], Understood]]:
    """Understanding without a cook, once the intent server is up. Raises MissingModel."""
    server = IntentServer()
    server.start()
    try:
        if not server.wait(SERVER_WAIT_S):
            raise KitchenError("the intent server does not start; its log is in models/")
        kitchen = load_kitchen(menu.kitchen or load_settings().kitchen)
        understander = Understander(read_phrase_book(PHRASES), server)
        vocabulary = Vocabulary.of(menu, kitchen)
        measures = load_settings().units or kitchen.units
        yield lambda text: understander.understand(text, vocabulary, measures, datetime.now())
    finally:
        server.close()


def understood_lines(
    understand: Callable[[str], Understood], lines: Iterable[str]
) -> Iterator[dict[str, object]]:
    """For each utterance, what it was taken to mean, as plain values."""
    for line in lines:
        text = line.rstrip("\n")
        if not text.strip():
            yield {"text": text, "error": "an empty line; write one utterance a line"}
            continue
        heard = understand(text)
        yield {
            "text": text,
            "intent": heard.intent,
            "confidence": round(heard.confidence, 3),
            "amounts": [
                {"text": a.text, "value": a.value, "high": a.high, "unit": a.unit, "kind": a.kind}
                for a in heard.amounts
            ],
            "refs": [{"text": r.text, "kind": r.kind, "name": r.name} for r in heard.refs],
        }


def recogniser(menu: Menu, engine: str | None) -> Recogniser:
    """The engine named, else Vosk where a Vosk model is there, else PocketSphinx."""
    model = compile_model(read_phrase_book(PHRASES), menu)
    if engine is None:
        try:
            return open_recogniser("vosk", model, MODELS)
        except MissingModel:
            engine = "sphinx"
    return open_recogniser(engine, model, MODELS)

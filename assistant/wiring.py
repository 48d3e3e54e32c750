"""From names on a command line to the objects that cook."""

import logging
import re
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from logging.handlers import RotatingFileHandler
from pathlib import Path

import platformdirs

from assistant.hear import Recogniser, StopEar, open_recogniser
from assistant.intent_server import IntentServer
from assistant.journal import cooks_folder
from assistant.language_model import LanguageModel, compile_model
from assistant.learning import NOTHING_LEARNED, Learned, accepted, fitting, offers, with_learned
from assistant.meaning import Understood
from assistant.phrasebook import PhraseBook, read_phrase_book
from assistant.resolve import Vocabulary
from assistant.understand import Understander
from assistant.wall_clock import next_shown
from domain.cookbook import holds_dish, load_kitchen, load_menu, menu_of, names
from domain.errors import KitchenError, MissingModel
from domain.kitchen import Kitchen
from domain.menu import Menu
from domain.settings import Settings, load_settings
from scheduling.batches import in_batches
from scheduling.clock import Clock, RealClock, SimulatedClock
from scheduling.compose import NoTimetable, Timetable, plan_menu
from scheduling.reasons import why_late

ROOT = Path(__file__).parents[1]
MODELS = ROOT / "models"
PHRASES = ROOT / "domain" / "intents" / "nlu"
LATE_S = 60.0  # less is on time
SERVER_WAIT_S = 90.0
# Of what is said while we speak, so much is "stop" (our own estimate).
STOPS_OVER_SPEECH = 0.1
_CLOCK = re.compile(r"(\d{1,2}):(\d{2})(?:x(\d+(?:\.\d+)?))?")


@dataclass(frozen=True)
class Request:
    """What to cook, where and when.

    wanted_at: POSIX seconds, None for as soon as possible. insists: that time was given by
    the cook, not by the menu, so that it holds for a cook that is carried on as well. learned:
    the cook's own times; those in use are in the menu already.
    """

    menu: Menu
    kitchen: Kitchen
    settings: Settings
    clock: Clock
    wanted_at: float | None
    insists: bool = False
    learned: Learned = NOTHING_LEARNED

    @cached_property
    def in_batches(self) -> Menu:
        """The menu as it is planned, called and printed."""
        return in_batches(self.menu, self.menu.servings)


def keep_log() -> None:
    """Write what goes wrong inside to a file of the user's; never what anybody said."""
    folder = platformdirs.user_log_path("hobside")
    log = logging.getLogger("assistant")
    log.propagate = False
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(folder / "hobside.log", maxBytes=1_000_000, backupCount=1)
    except OSError:  # cooking does not depend on it
        log.addHandler(logging.NullHandler())
        return
    handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
    log.addHandler(handler)


def request(
    menus: Sequence[str], kitchen: str | None, at: str | None, clock: str | None
) -> Request:
    """Everything that the shared options name. Raises KitchenError for what cannot be used.

    What past cooks suggest is looked for only in real time: a simulated clock opens no journal.
    """
    menu = menu_named(menus)
    settings = load_settings()
    ticking = clock_of(clock)
    now = ticking.now()
    wanted = at or menu.service
    wanted_at = now + menu.service_after_s if menu.service_after_s is not None else None
    if wanted:
        wanted_at = next_moment(wanted, now)
    place = kitchen_for(menu, kitchen)
    own = learned_of(menu, place, offered=isinstance(ticking, RealClock))
    menu = with_learned(menu, own.in_use, place.cooks)
    return Request(menu, place, settings, ticking, wanted_at, at is not None, own)


def kitchen_for(menu: Menu, named: str | None) -> Kitchen:
    """The kitchen named, else the menu's own, else the cook's. Raises KitchenError."""
    return load_kitchen(_path_or_name(named or menu.kitchen or load_settings().kitchen))


def learned_of(menu: Menu, kitchen: Kitchen, offered: bool = True) -> Learned:
    """The cook's own times for a menu as it is written. Raises FileProblem."""
    in_use = fitting(menu, accepted(), kitchen.cooks)
    if not offered:
        return Learned(in_use=in_use)
    return Learned(offers(menu, cooks_folder(), in_use, kitchen.cooks), in_use)


def menu_named(given: Sequence[str]) -> Menu:
    """One menu by name or file, or dishes by name or file put together for four."""
    found = [_path_or_name(name) for name in given]
    if len(found) == 1 and not _is_dish(found[0]):
        return load_menu(found[0])
    for name in found:
        if name in names("menus") or (isinstance(name, Path) and not holds_dish(name)):
            raise KitchenError(f"“{name}” is no dish’s name; name one menu, or dishes")
    return menu_of(found, servings=4)


def _is_dish(given: str | Path) -> bool:
    """A dish by name or file; what is neither is taken for a menu, which then is not found."""
    if isinstance(given, Path):
        return holds_dish(given)
    return given not in names("menus") and given in names("dishes")


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
    return next_shown(int(match[1]), int(match[2]), now)


def planned(what: Request) -> Timetable:
    """The plan of a request. Raises KitchenError with the reasons when there is none."""
    made = plan_menu(what.in_batches, what.kitchen, now=what.clock.now(), wanted_at=what.wanted_at)
    if isinstance(made, NoTimetable):
        raise KitchenError("; ".join(made.reasons))
    return made


def why_late_at_all(
    what: Request, timetable: Timetable, limit_s: float | None = None
) -> tuple[str, ...]:
    """Why service is later than wanted and what would help, each tried; () when it is not.

    limit_s: seconds that it may take, None for what a cook waits who asks.
    """
    if timetable.late_s < LATE_S:
        return ()
    found = why_late(
        what.in_batches,
        what.kitchen,
        now=what.clock.now(),
        wanted_at=timetable.wanted_at,
        planned=timetable,
        limit_s=limit_s,
    )
    return found.sentences() if found else ()


@contextmanager
def understanding(menu: Menu) -> Iterator[Callable[[str], Understood]]:
    """Understanding without a cook, once the intent server is up. Raises KitchenError.

    So does what is yielded, when the server has gone and does not come back.
    """
    server = IntentServer()
    server.start()
    try:
        kitchen = load_kitchen(menu.kitchen or load_settings().kitchen)
        understander = Understander(read_phrase_book(PHRASES), server)
        vocabulary = Vocabulary.of(menu, kitchen)
        measures = load_settings().units or kitchen.units

        wait_for(server)

        def understand(text: str) -> Understood:
            wait_for(server)
            return understander.understand(text, vocabulary, measures, datetime.now())

        yield understand
    finally:
        server.close()


def wait_for(server: IntentServer) -> None:
    """Wait until it answers. Raises KitchenError when it does not."""
    if not server.wait(SERVER_WAIT_S):
        log = MODELS / "intent-server.log"
        raise KitchenError(f"the intent server does not start; see {log}")


def somebodys_book(files: Sequence[Path]) -> PhraseBook | None:
    """A phrase book of somebody else's to hear by, None for no files. Raises FileProblem."""
    return read_phrase_book(*files, lenient=True) if files else None


def language_model(menu: Menu | None, book: PhraseBook | None = None) -> LanguageModel:
    """What can be said of a menu, by our phrase book or another. Raises KitchenError."""
    return compile_model(book or read_phrase_book(PHRASES), menu)


def recogniser(
    menu: Menu,
    engine: str | None,
    called: str = "",
    tell: Callable[[str], None] = lambda words: None,
) -> Recogniser:
    """The engine named, else the best one there, for what can be said of a menu.

    called: the name by which the cook may address it; "" for none. tell: see `recogniser_of`.
    """
    model = compile_model(read_phrase_book(PHRASES), menu, called=called)
    return recogniser_of(model, engine, tell)


def recogniser_of(
    model: LanguageModel, engine: str | None, tell: Callable[[str], None] = lambda words: None
) -> Recogniser:
    """The engine named, else the best one whose models are there.

    tell: is told in one line what the best one lacks, where another takes its place.
    """
    if engine is not None:
        return open_recogniser(engine, model, MODELS)
    try:
        return open_recogniser("pair", model, MODELS)
    except MissingModel as missing:
        tell(f"I hear with one recogniser, not with two as on Linux on x86-64: {missing}")
    try:
        return open_recogniser("vosk", model, MODELS)
    except MissingModel:
        return open_recogniser("sphinx", model, MODELS)


def stop_ear(called: str, aside: Executor | None = None) -> StopEar:
    """Hears "stop" over our own speech: the network, or PocketSphinx where it cannot be had.

    aside: where the network is asked; a thread of its own unless told.
    """
    from assistant.hear_pair import shared_network
    from assistant.hear_stop import StopByNetwork, StopBySphinx

    try:
        return StopByNetwork(shared_network(), aside)
    except MissingModel:
        model = compile_model(read_phrase_book(PHRASES), called=called, stops=STOPS_OVER_SPEECH)
        return StopBySphinx(open_recogniser("sphinx", model, MODELS))

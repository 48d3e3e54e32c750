"""From names on a command line to the objects that cook: the only place that joins the parts."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from assistant.cook import Cook
from assistant.intent_server import IntentServer
from assistant.phrasebook import PhraseBook
from assistant.resolve import Vocabulary
from assistant.understand import Understander
from domain.cookbook import load_kitchen, load_menu, menu_of, names
from domain.errors import KitchenError
from domain.kitchen import Kitchen
from domain.menu import Menu
from domain.settings import Settings, load_settings
from scheduling.clock import Clock, RealClock, SimulatedClock
from scheduling.compose import NoTimetable, Timetable, plan_menu

ROOT = Path(__file__).parents[1]
MODELS = ROOT / "models"
PHRASES = ROOT / "domain" / "intents" / "nlu"
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


@dataclass
class Running:
    """A cook that has everything it needs. resumed: an earlier cook that is carried on."""

    cook: Cook
    server: IntentServer
    understander: Understander
    book: PhraseBook
    vocabulary: Vocabulary
    request: Request
    resumed: bool = False

    def wait_for(self, text: str) -> None:
        """Wait for the intent server when this utterance needs it."""
        if self.understander.needs_server(text, self.vocabulary):
            self.server.wait()



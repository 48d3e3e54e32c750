"""A cook with everything it needs, new or carried on after a restart, and its intent server."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from dataclasses import replace
from datetime import datetime

from assistant.addressed import without_name
from assistant.conversation import Conversation
from assistant.cook import Cook
from assistant.intent_server import IntentServer
from assistant.journal import Journal, cooks_folder, resume
from assistant.learning import keep
from assistant.meaning import Understood
from assistant.measures import measures_of
from assistant.phrasebook import read_phrase_book
from assistant.reply import Reply
from assistant.resolve import Vocabulary
from assistant.scene import Scene
from assistant.understand import Understander
from assistant.wiring import PHRASES, SERVER_WAIT_S, Request, wait_for
from domain.errors import MissingModel
from domain.menu import Menu
from domain.settings import save_settings
from scheduling.clock import RealClock, SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.queries import finished

# An unfinished cook older than this is not carried on; common practice: no meal takes a day.
_RESUMED_WITHIN_S = 18 * 3600.0


class Running:
    """A cook that has everything it needs. resumed: an earlier cook that is carried on."""

    def __init__(self, what: Request, journal: Journal | None, resumed: bool) -> None:
        self.request, self.resumed = what, resumed
        self._journal = journal
        self._server = IntentServer(on_change=self._on_server)
        self.book = read_phrase_book(PHRASES)
        self._understander = Understander(self.book, self._server)
        self._told_away = False
        # Waiting for the intent server is of no use until it is started, or once it was in vain.
        self._in_vain = True
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
            # A rehearsed or simulated cook changes nobody's settings.
            save_settings if isinstance(what.clock, RealClock) else lambda settings: None,
            what.clock,
            what.learned,
            keep if isinstance(what.clock, RealClock) else lambda before, after: None,
        )
        self._kitchen = self.cook.view().kitchen  # what is lost is still called by its name
        self._named = self.menu, Vocabulary.of(self.menu, self._kitchen)

    @property
    def menu(self) -> Menu:
        return self.cook.view().menu

    @property
    def vocabulary(self) -> Vocabulary:
        """The names of the menu as it is: an added dish is known from the next utterance on."""
        menu = self.menu
        if menu != self._named[0]:
            self._named = menu, Vocabulary.of(menu, self._kitchen)
        return self._named[1]

    def start(self) -> None:
        """Begin the cook, or go on with it: a time that was asked for now holds from now on."""
        self.cook.start(self.request.wanted_at)
        if self.resumed and self.request.insists:
            now = self.cook.view().now
            moved = Event(now, "service_moved", value=self.request.wanted_at)
            refused = self.cook.live.apply(moved).refused
            if refused:
                self.cook.notice(refused)

    def start_server(self) -> None:
        """Start the intent server in the background; without it the cook is told once."""
        try:
            self._server.start()
            self._in_vain = False
        except MissingModel as missing:
            self.cook.notice(f"{missing}. Until then I know only the plainest commands.")

    def say(
        self, text: str, confidence: float = 1.0, wait: bool = True, addressed: bool = True
    ) -> Reply:
        """Take an utterance (as `Cook.say` does): silent at once where that is asked.

        wait: for the intent server, when this utterance needs it.
        """
        if self.silences(text, None if addressed else confidence):
            self.cook.silence()
        elif wait:
            self.wait_for(text)
        return self.cook.say(text, confidence, addressed)

    def silences(self, text: str, overheard: float | None = None) -> bool:
        """Whether `text` asks for silence at once: stop, or an emergency (`Understander`)."""
        return self._understander.silences(self._unnamed(text), overheard)

    def wait_for(self, text: str) -> None:
        """Wait for the intent server when this utterance needs it and it may still come."""
        if self._in_vain or self._server.ready():
            return
        if self._understander.needs_server(self._unnamed(text), self.vocabulary):
            self.cook.notice("One moment: I am still getting ready to understand that.")
            clock = self.request.clock
            # At sixty times the pace a wait of ten seconds would be ten minutes of the cook.
            with clock.held() if isinstance(clock, SimulatedClock) else nullcontext():
                self._in_vain = not self._server.wait(SERVER_WAIT_S)

    def wait_until_ready(self) -> None:
        """Wait for the intent server. Raises KitchenError when it does not come up."""
        wait_for(self._server)

    def close(self) -> None:
        """End it; a cook of whom nothing was reported, or who has finished, is not resumed."""
        self._server.close()
        if self._journal is not None:
            events = self.cook.live.events()
            told = any(event.by == "cook" and event.kind != "cook_started" for event in events)
            if finished(self.cook.view()) or not told:
                self._journal.end(self.request.clock.now())
        self.cook.close()

    def _understand(self, text: str, scene: Scene) -> Understood:
        return self._understander.understand(
            self._unnamed(text),
            self.vocabulary.with_timers(
                timer.name for timer in scene.live.state.timers.values() if not timer.note
            ),
            measures_of(scene),
            datetime.fromtimestamp(scene.now),
        )

    def _unnamed(self, text: str) -> str:
        return without_name(text, self.cook.settings.called)[0] or text

    def _describe(self, intent: str) -> str:
        return self.book.intents[intent].means or intent.replace("_", " ")

    def _on_server(self, up: bool) -> None:
        """Tell the cook when the intent server goes, and when it is back."""
        self._in_vain = False
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
    if keep and isinstance(what.clock, RealClock):
        journal, resumed = _journal_of(what, what.clock, fresh)
        if resumed:
            what = replace(what, clock=RealClock(journal.anchor))
    try:
        try:
            running = Running(what, journal, resumed)
        except BaseException:
            if journal is not None and not resumed:
                journal.end(what.clock.now())  # it never began
            raise
        try:
            yield running
        finally:
            running.close()
    finally:
        if journal is not None:
            journal.close()


def _journal_of(what: Request, clock: RealClock, fresh: bool) -> tuple[Journal, bool]:
    """The journal of the cook to carry on (and True), or a new one; `fresh` ends earlier ones."""
    since = clock.now() - _RESUMED_WITHIN_S
    while (earlier := resume(what.menu.name, cooks_folder(), since)) is not None:
        if not fresh:
            return earlier, True
        earlier.end(clock.now())
        earlier.close()
    return Journal.create(what.menu, what.kitchen, clock.anchor, cooks_folder()), False

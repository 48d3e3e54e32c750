"""A small real kitchen to answer in: a sample menu, the real planner, a simulated clock."""

from dataclasses import dataclass, replace
from datetime import datetime

from assistant.amounts import find_amounts
from assistant.answer import ANSWERS
from assistant.learning import NOTHING_LEARNED, Learned
from assistant.meaning import Ref, Understood
from assistant.reply import Reply
from assistant.scene import Context, Scene
from domain.cookbook import load_kitchen, load_menu
from domain.settings import Settings
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule, MemoryStore
from scheduling.log import effective
from scheduling.replanning import SolvingPlanner

SIX = datetime(2026, 3, 14, 18, 0).timestamp()  # a Saturday evening, six o'clock


@dataclass
class SmallKitchen:
    """Answers as the conversation does, but for the understanding, which the test does."""

    live: LiveSchedule
    clock: SimulatedClock
    settings: Settings
    context: Context
    learned: Learned = NOTHING_LEARNED

    def scene(self) -> Scene:
        log = tuple(effective(self.live.events()))
        view = self.live.snapshot()
        return Scene(view, self.settings, self.live.what_if, self.context, log, self.learned)

    def ask(self, intent: str, text: str = "", *refs: Ref) -> Reply:
        """The answer to an intent; its events are taken, its context is kept."""
        return self.meant(self.understood(intent, text, *refs))

    def suppose(self, change: str, text: str = "", *refs: Ref) -> Reply:
        """The answer to "what if" with the intent of its change."""
        return self.meant(replace(self.understood("what_if", text, *refs), supposed=change))

    def understood(self, intent: str, text: str, *refs: Ref) -> Understood:
        return Understood(text, intent, 1.0, find_amounts(text, "metric", self.now()), refs)

    def meant(self, ask: Understood) -> Reply:
        """The answer to what was understood; its events are taken, its context is kept."""
        assert ask.intent is not None
        reply = ANSWERS[ask.intent](ask, self.scene())
        self.learned = reply.learned or self.learned
        for event in reply.events:
            outcome = self.live.apply(event)
            assert outcome.refused is None, outcome.refused
        self.context = self.context.after(ask, reply, self.clock.now())
        return reply

    def wait(self, minutes: float) -> None:
        """Let time pass, a quarter of a minute at a time."""
        for _ in range(round(minutes * 4)):
            self.clock.advance(15)
            self.live.tick()

    def until(self, key: str) -> None:
        """Do all that is asked, at once when asked, until this step is under way."""
        for _ in range(4000):
            states = self.live.snapshot().state.steps
            if states[key].status == "running":
                return
            for step in self.live.snapshot().running():
                needs_word = step.attention == "hands-on" or step.gate is not None
                view = self.live.snapshot()
                if needs_word and view.planned_end_of(step.key) <= view.now:
                    self.live.apply(Event(view.now, "finished", step.key))
            self.clock.advance(5)
            self.live.tick()
        raise AssertionError(f"{key} never began")

    def now(self) -> datetime:
        return datetime.fromtimestamp(self.clock.now())


def kitchen(menu: str = "harbour-supper", start: float = SIX, **settings: object) -> SmallKitchen:
    """A cook of a sample menu that has just begun, as soon as possible."""
    loaded = load_menu(menu)
    clock = SimulatedClock(start)
    live = LiveSchedule(
        loaded, load_kitchen(loaded.kitchen or "home"), clock, MemoryStore(), SolvingPlanner()
    )
    wanted = start + loaded.service_after_s if loaded.service_after_s else None
    live.apply(Event(start, "cook_started", value=wanted))
    live.tick()
    return SmallKitchen(live, clock, replace(Settings(), **settings), Context())


def dish(name: str, text: str = "") -> Ref:
    return Ref(text or name, "dish", name, 1.0, 0, 0)


def equipment(name: str) -> Ref:
    return Ref(name, "equipment", name, 1.0, 0, 0)


def ingredient(name: str) -> Ref:
    return Ref(name, "ingredient", name, 1.0, 0, 0)


def step(key: str) -> Ref:
    return Ref(key.split("/")[1], "step", key, 1.0, 0, 0)

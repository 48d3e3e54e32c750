"""What an answer may look at: the live view, the cook's settings, and what was just said."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from assistant.learning import NOTHING_LEARNED, Learned
from assistant.meaning import Ref, Understood
from assistant.reply import Reply
from domain.kitchen import Kitchen
from domain.menu import Menu
from domain.settings import Settings
from scheduling.events import Event
from scheduling.live import fold
from scheduling.live_schedule import Outcome
from scheduling.view import View

# After this long a follow-up ("and in cups?") no longer reaches back (our own choice).
FADES_AFTER_S = 180.0
_REMEMBERED = 4  # requests that a correction may reach back to; our own choice
_NO_REQUEST = frozenset({"correction", "greet", "help", "yes", "no", "stop", "hush", "speak_up"})


@dataclass(frozen=True)
class Context:
    """What follow-ups refer to.

    asked, reply: the last turn. topic: the last thing named. acted: the last turn that changed
    something, and stored: the numbers of its events. requests: the latest that a correction may
    reach back to, the last first. at: POSIX seconds of the last turn.
    """

    asked: Understood | None = None
    reply: Reply | None = None
    topic: Ref | None = None
    acted: Understood | None = None
    stored: tuple[int, ...] = ()
    requests: tuple[Understood, ...] = ()
    at: float = 0.0

    def faded(self, now: float) -> "Context":
        """This context, or an empty one (keeping the last reply for "again") once it is old."""
        return self if now - self.at <= FADES_AFTER_S else Context(reply=self.reply, at=self.at)

    def after(self, ask: Understood, reply: Reply, now: float) -> "Context":
        """The context once `ask` was answered by `reply`."""
        topic = ask.refs[0] if ask.refs else self.topic
        requests = self.requests
        if ask.intent is not None and ask.intent not in _NO_REQUEST:
            requests = (ask, *requests)[:_REMEMBERED]
        new = replace(self, asked=ask, reply=reply, topic=topic, requests=requests, at=now)
        return replace(new, acted=ask, stored=()) if reply.events else new


@dataclass(frozen=True)
class Scene:
    """Everything an answer function may read.

    what_if: what would come of events, by `LiveSchedule.what_if`, which changes nothing. log: the
    events that count, in order. learned: the cook's own times for this menu.
    """

    live: View
    settings: Settings
    what_if: Callable[..., Outcome]
    context: Context = field(default_factory=Context)
    log: tuple[Event, ...] = ()
    learned: Learned = NOTHING_LEARNED

    @property
    def menu(self) -> Menu:
        return self.live.menu

    @property
    def kitchen(self) -> Kitchen:
        return self.live.kitchen

    @property
    def now(self) -> float:
        return self.live.now

    def without(self, seqs: tuple[int, ...]) -> "Scene":
        """This scene as if the events of these numbers had not been told."""
        left = tuple(event for event in self.log if event.seq not in seqs)
        taken = [event for event in self.log if event.seq in seqs]
        gone = {event.subject for event in taken if event.kind == "dish_added"}
        dishes = tuple(dish for dish in self.menu.dishes if dish.name not in gone)
        menu = replace(self.menu, dishes=dishes)
        steps = {key: step for key, step in self.live.steps.items() if step.dish not in gone}
        state = fold(menu, left, lambda _: steps, self.live.state.kitchen_cooks)
        live = replace(self.live, menu=menu, steps=steps, state=state)
        return replace(self, live=live, log=left)

"""One live cook: every front (terminal, microphone, service, rehearsal) attaches to this object
and gets the same replies and calls."""

import itertools
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from assistant.by_ear import by_ear
from assistant.calls import calls, service_told
from assistant.conversation import Conversation
from assistant.foreseen import foreseen
from assistant.learning import NOTHING_LEARNED, Learned
from assistant.meaning import Understood
from assistant.reply import Reply
from assistant.said import Call, Said, acknowledged, noted
from assistant.scene import Scene
from domain.aloud import aloud
from domain.errors import KitchenError
from domain.settings import Settings
from scheduling.clock import Clock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule
from scheduling.log import effective
from scheduling.view import View

# "hearing": words that are being said, not yet an utterance, "" when they came to nothing;
# "listen": what is said next is meant for us.
MessageKind = Literal["hearing", "heard", "reply", "call", "notice", "stop", "listen"]


@dataclass(frozen=True)
class Message:
    """What every front is told. spoken: words alone, without a figure or a sign (`aloud`).

    seq: 1, 2, ...; at: POSIX seconds; urgency: of a call, or "emergency" of a reply.
    repeats: how often a call was made before.
    """

    seq: int
    at: float
    kind: MessageKind
    spoken: str
    shown: str
    urgency: str = ""
    key: str = ""
    repeats: int = 0


Listener = Callable[[Message], None]
_T = TypeVar("_T")

_TICK_S = 0.5
_LOG = logging.getLogger(__name__)
_SORRY = "Sorry, something went wrong inside me"
_IN_THE_LOG = "The details are in the log; what you told me before is kept."

# What shows that the cook has heard what was called; what has just told them when we eat.
_ACKNOWLEDGES = frozenset({"stop", "thanks", "yes", "report_done", "report_gate", "report_begun"})
_TELLS_SERVICE = frozenset({"when_eat", "move_service", "pace", "will_make", "can_we"})


class Cook:
    """Takes utterances, keeps the live schedule, and tells all fronts what is said.

    save_settings: keeps settings that were changed by asking. learned: the cook's own times, and
    save_learned keeps what they were changed from and to. Safe to use from several threads.
    Nothing that goes wrong while answering or while time passes ends the cook: it is told, and
    what has no words for the cook is logged.
    """

    def __init__(
        self,
        live: LiveSchedule,
        conversation: Conversation,
        settings: Settings,
        save_settings: Callable[[Settings], None],
        clock: Clock,
        learned: Learned = NOTHING_LEARNED,
        save_learned: Callable[[Learned, Learned], None] = lambda before, after: None,
    ) -> None:
        self.learned, self._save_learned = learned, save_learned
        self.live, self.settings = live, settings
        self._conversation, self._save, self._clock = conversation, save_settings, clock
        self._said: dict[str, Said] = {}
        self._listeners: list[Listener] = []
        self._lock = threading.RLock()
        self._seqs = itertools.count(1)
        self._hushed_at, self._hushed_until = float("inf"), float("-inf")
        self._silent = False
        self._trouble = ""

    @property
    def understood(self) -> Understood | None:
        """What the last turn was taken to mean."""
        return self._conversation.heard

    def attach(self, listener: Listener) -> Callable[[], None]:
        """Have every message told to `listener`; returns what detaches it."""
        with self._lock:
            self._listeners.append(listener)

        def detach() -> None:
            with self._lock:
                self._listeners.remove(listener)

        return detach

    def start(self, wanted_at: float | None) -> None:
        """Begin the cook, unless it has begun (a restart). wanted_at: POSIX seconds.

        The front tells when we eat: only a change of that is news.
        """
        with self._lock:
            view = self.live.snapshot()
            if view.state.started_at is None:
                self.live.apply(Event(view.now, "cook_started", value=wanted_at))
            self._said = service_told(self.live.snapshot(), self._said)

    @property
    def asks(self) -> bool:
        """Whether a question of ours waits for its answer."""
        return self._conversation.asks

    def hearing(self, words: str) -> None:
        """Tell every front the words as they are being said."""
        self._tell("hearing", "", words)

    def listen(self) -> None:
        """By key, pedal or page: fall silent; the next utterance is meant for us in any mode."""
        self._tell("listen", "", "")

    def say(self, text: str, confidence: float = 1.0, addressed: bool = True) -> Reply:
        """Take one utterance, typed or heard (confidence: of the hearing, 0 to 1).

        addressed: said to us beyond doubt (typed, by name, after a key), so that what was hardly
        heard is asked for again; what was overheard is answered only where it is surely for us.
        """
        with self._lock:
            self.tick()
            reply = self._guarded(
                lambda: self._answered(text, confidence, addressed),
                lambda trouble: Reply(f"{trouble}.", more=_IN_THE_LOG),
            )
            if reply.stops or reply.spoken:  # else it was taken for noise
                self._tell("heard", text, text)
            if reply.stops:
                self._tell("stop", "", "")
            if reply.spoken:
                urgency = "emergency" if self._silent and reply.stops else ""
                self._tell("reply", self._length(reply), reply.shown, urgency)
            self.tick()
            return reply

    def silence(self) -> None:
        """Have every mouth fall silent at once, without waiting for what else is going on."""
        self._tell("stop", "", "")

    def tick(self) -> list[Call]:
        """Let time pass: what the clock ends and begins, and the calls that are due."""
        with self._lock:
            trouble = ""

            def failed(why: str) -> list[Call]:
                nonlocal trouble
                trouble = why
                return []

            made = self._guarded(self._ticked, failed)
            if trouble and trouble != self._trouble:
                self.notice(f"{trouble}.")
            self._trouble = trouble
            return made

    def foreseen(self, within_s: float) -> list[str]:
        """The spoken words of calls that will probably be made within so many seconds."""
        coming = foreseen(self._told_view(), self._said, within_s, by_ear=self.settings.by_ear)
        return [aloud(words, self.settings.foods) for words in coming]

    def notice(self, words: str) -> None:
        """Tell every front something about the assistant itself."""
        self._tell("notice", words, words)

    def view(self) -> View:
        """The schedule as it stands."""
        return self.live.snapshot()

    def _told_view(self) -> View:
        """The schedule as this cook is told of it."""
        view = self.live.snapshot()
        return by_ear(view) if self.settings.by_ear else view

    def close(self) -> None:
        """End what runs beside the cook."""
        self.live.close()

    def _guarded(self, do: Callable[[], _T], failed: Callable[[str], _T]) -> _T:
        """What `do` returns, or what `failed` makes of what went wrong."""
        try:
            return do()
        except KitchenError as error:
            return failed(f"That could not be done: {error}")
        except Exception:  # the boundary of a turn: whatever else fails, the cook goes on
            _LOG.exception("a turn failed")
            return failed(_SORRY)

    def _answered(self, text: str, confidence: float, addressed: bool) -> Reply:
        """The answer to all that is asked in one breath."""
        scene = self._scene()
        first, *rest = self._conversation.requests(text, scene)
        told_at = scene.now  # of all of it: so it is taken back as one
        reply = self._turn(first, confidence, addressed, told_at)
        if not rest:
            return reply
        other = self._turn(rest[0], confidence, addressed, told_at)
        if reply.question is None:
            return reply.followed_by(other)
        # What asks back comes last, and its answer is awaited.
        again = self._turn(first, confidence, addressed, told_at)
        return again if other.question else other.followed_by(again)

    def _turn(self, text: str, confidence: float, addressed: bool, told_at: float) -> Reply:
        scene = self._scene()
        reply = self._conversation.turn(text, scene, confidence, addressed)
        reply = replace(reply, events=tuple(replace(e, at=told_at) for e in reply.events))
        reply = self._carry_out(reply, scene.live)
        self._heed()
        return reply

    def _scene(self) -> Scene:
        log = tuple(effective(self.live.events()))
        view = self._told_view()
        return Scene(view, self.settings, self.live.what_if, log=log, learned=self.learned)

    def _ticked(self) -> list[Call]:
        self.live.tick()
        view = self._told_view()
        due = calls(view, self._said, self._hushed_at, by_ear=self.settings.by_ear)
        made = [call for call in due if self._may_call(call, view.now)]
        self._said = noted(self._said, made, view.now)
        for call in made:
            self._tell("call", call.spoken, call.shown, call.urgency, call.key, call.repeats)
        return made

    def _carry_out(self, reply: Reply, view: View) -> Reply:
        """Store the reply's events and settings; a refusal takes the reply's place."""
        stored = []
        for event in reply.events:
            outcome = self.live.apply(event)
            if outcome.refused:
                return Reply(outcome.refused)
            assert outcome.event is not None
            stored.append(outcome.event.seq)
        self._conversation.stored(tuple(stored))
        if reply.settings:
            self.settings = replace(self.settings, **dict(reply.settings))
            self._save(self.settings)
        if reply.learned is not None:
            self._save_learned(self.learned, reply.learned)
            self.learned = reply.learned
        if reply.hush_s is not None:
            if view.now >= self._hushed_until:
                self._hushed_at = view.now
            self._hushed_until = view.now + reply.hush_s
            self._silent = reply.hush_s == float("inf")
        return reply

    def _heed(self) -> None:
        """The cook spoke: what was called is known, and what was answered is no news."""
        intent = self.understood.intent if self.understood else None
        if intent in _ACKNOWLEDGES:
            self._said = acknowledged(self._said)
        if intent in _TELLS_SERVICE:
            self._said = service_told(self.live.snapshot(), self._said)

    def _may_call(self, call: Call, now: float) -> bool:
        if self._silent:
            return False
        # A timer that the cook has set is no chatter.
        pressing = call.urgency == "heat" or call.key.startswith("timer:")
        return pressing or now >= self._hushed_until

    def _length(self, reply: Reply) -> str:
        """The spoken words, with the rest at once for a cook who wants full answers."""
        full = self.settings.answers == "full" and reply.more
        return f"{reply.spoken} {reply.more}" if full else reply.spoken

    def _tell(
        self,
        kind: MessageKind,
        spoken: str,
        shown: str,
        urgency: str = "",
        key: str = "",
        repeats: int = 0,
    ) -> None:
        seq, now = next(self._seqs), self._clock.now()
        if kind in ("reply", "call", "notice"):
            spoken = aloud(spoken, self.settings.foods)
        message = Message(seq, now, kind, spoken, shown, urgency, key, repeats)
        for listener in list(self._listeners):
            listener(message)


class Ticker:
    """Lets the cook's time pass, on a thread of its own, while a front waits for words."""

    def __init__(self, cook: Cook) -> None:
        self._cook = cook
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._run, name="ticker", daemon=True)

    def __enter__(self) -> "Ticker":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._over.wait(_TICK_S):
            self._cook.tick()

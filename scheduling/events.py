"""What the kitchen tells: events, and the state that they add up to."""

from dataclasses import dataclass, field
from typing import Literal

from domain.menu import Dish, Follow, Moment, Step

EventKind = Literal[
    "cook_started",  # value: wanted service, POSIX seconds, or None for as soon as possible
    # subject: step key; value: seconds it will take where not its likely time; note: the cook whom
    # the plan gave it, where there are several
    "began",
    "finished",  # subject: step key
    "longer",  # subject: step key; value: seconds more
    "gate_seen",  # subject: step key
    "skipped",  # subject: step key
    "dish_dropped",  # subject: dish name
    "dish_added",  # subject: dish name; note: the dish as JSON
    "course_moved",  # subject: dish name; value: seconds after service that it is served
    "put_down",  # subject: step key: the cook breaks it off
    "taken_up",  # subject: step key: and goes on with it
    "paused",
    "resumed",
    "service_moved",  # value: POSIX seconds, or None for as soon as possible
    "servings_changed",  # value: people
    "equipment_changed",  # subject: "ring", "oven" or equipment; value: how many are left
    "cooks_changed",  # value: how many cooks
    # subject: timer name; value: POSIX seconds when it rings; note: what to be reminded of then
    "timer_set",
    "timer_cancelled",  # subject: timer name
    "timer_acknowledged",  # subject: timer name
    # subject: what to be reminded of; value: seconds before; note: "start" or "end" and a step key,
    # or "service"
    "reminder_set",
    "reminder_cancelled",  # subject: what to be reminded of
    "undone",  # value: seq of the event taken back
]
Teller = Literal["cook", "clock"]

# An overdue step is expected to end this much later: common practice, not a published figure.
OVERDUE_LEAST_S = 30.0
OVERDUE_SHARE = 0.1


@dataclass(frozen=True)
class Event:
    """Something that happened. at: POSIX seconds; seq: 1, 2, ... once stored, 0 before."""

    at: float
    kind: EventKind
    subject: str = ""
    value: float | None = None
    by: Teller = "cook"
    note: str = ""
    seq: int = 0


StepStatus = Literal["waiting", "running", "done", "skipped"]


@dataclass(frozen=True)
class StepState:
    """Where a step stands. Times are POSIX seconds; extra_s adds up "needs longer".

    began_at is None for a step reported done without ever having been begun. began_by and
    ended_by: whether the cook said so or the clock took it so. length_s: what it takes without
    extra_s, where that is not its likely time (an oven that is warm already). put_down_at: since
    when a pausable step lies still, for other hands-on work or, aside, until the cook takes it up;
    still_s: how long it did before. cook: whom the plan gave it, where there are several.
    """

    status: StepStatus = "waiting"
    began_at: float | None = None
    ended_at: float | None = None
    extra_s: float = 0.0
    gate_seen_at: float | None = None
    began_by: Teller = "cook"
    ended_by: Teller = "cook"
    length_s: float | None = None
    put_down_at: float | None = None
    still_s: float = 0.0
    aside: bool = False
    cook: str = ""

    @property
    def over(self) -> bool:
        """True when nothing more is to be done: done or skipped."""
        return self.status in ("done", "skipped")

    def at(self, moment: Moment) -> float | None:
        """When it began or ended, POSIX seconds; None while that is still to come.

        What was done without having been begun is taken to have begun as it ended.
        """
        return self.ended_at if moment == "end" or self.began_at is None else self.began_at

    @property
    def moves(self) -> bool:
        """True while it is under way and not put down."""
        return self.status == "running" and self.put_down_at is None


@dataclass(frozen=True)
class Timer:
    """A named timer. It rings at ends_at until acknowledged or cancelled.

    note: what to be reminded of when it rings, "" for a plain timer.
    """

    name: str
    set_at: float
    ends_at: float
    note: str = ""
    acknowledged: bool = False


@dataclass(frozen=True)
class Reminder:
    """What to be reminded of, before_s seconds before a moment of the cook that no clock tells.

    step: whose start or end that is, "" for service. set_at: POSIX seconds.
    """

    words: str
    set_at: float
    before_s: float = 0.0
    moment: Moment = "end"
    step: str = ""


@dataclass(frozen=True)
class State:
    """The kitchen as the events tell it. steps holds every step of the menu by key.

    servings: people. added: the dishes added since, by name; courses: as in `Menu`, where that
    was changed. equipment: what was reported changed, by name; cooks: None when unchanged, and
    then there are as many as the kitchen has, kitchen_cooks.
    """

    steps: dict[str, StepState] = field(default_factory=dict)
    timers: dict[str, Timer] = field(default_factory=dict)
    reminders: tuple[Reminder, ...] = ()
    started_at: float | None = None
    wanted_at: float | None = None
    paused_at: float | None = None
    servings: int = 0
    dropped: frozenset[str] = frozenset()
    added: dict[str, Dish] = field(default_factory=dict)
    courses: dict[str, int] = field(default_factory=dict)
    equipment: dict[str, int] = field(default_factory=dict)
    cooks: int | None = None
    kitchen_cooks: int = 1
    last_seq: int = 0

    @property
    def hands(self) -> int:
        """How many cooks there are."""
        return self.kitchen_cooks if self.cooks is None else self.cooks

    def over(self, key: str) -> bool:
        """True when nothing more is to be done of this step, or it is not there at all."""
        return key not in self.steps or self.steps[key].over

    def lets(self, follow: Follow) -> bool:
        """True when the step before has got as far as it must before the one after may begin."""
        if follow.until == "end" or self.over(follow.step):
            return True
        return follow.since == "start" and self.steps[follow.step].began_at is not None


def planned_end(step: Step, standing: StepState) -> float:
    """When a running step should end, POSIX seconds: its start, likely time and extra time.

    One that was put down ends later by how long it lay still; by how long it still will is not
    in it.
    """
    assert standing.began_at is not None, f"{step.key} has not begun"
    length = step.duration.likely_s if standing.length_s is None else standing.length_s
    return standing.began_at + length + standing.extra_s + standing.still_s


def ends_by_clock(step: Step) -> bool:
    """True when the step is over once its time is up; others end by the cook's word."""
    gated = step.gate is not None and step.gate.moment == "end"
    return step.attention != "hands-on" and not gated


def expected_end(step: Step, standing: StepState, now: float) -> float:
    """When a running step will probably end, POSIX seconds; never before now.

    An overdue one that waits for the cook's word is given a tenth of its time so far, and at
    least half a minute.
    """
    planned = planned_end(step, standing)
    if standing.put_down_at is not None:
        planned += max(0.0, now - standing.put_down_at)
    if planned > now or ends_by_clock(step):
        return max(planned, now)
    assert standing.began_at is not None
    return now + max(OVERDUE_LEAST_S, OVERDUE_SHARE * (now - standing.began_at))

"""The live schedule: events are the only truth, the state is a pure fold over them."""

from dataclasses import dataclass, field
from typing import Literal

EventKind = Literal[
    "cook_started",  # value: wanted service, POSIX seconds, or None for as soon as possible
    "began",  # subject: step key
    "finished",  # subject: step key
    "longer",  # subject: step key; value: seconds more
    "gate_seen",  # subject: step key
    "skipped",  # subject: step key
    "dish_dropped",  # subject: dish name
    "paused",
    "resumed",
    "service_moved",  # value: POSIX seconds
    "servings_changed",  # value: people
    "equipment_changed",  # subject: "ring", "oven" or equipment; value: how many are left
    "cooks_changed",  # value: how many cooks
    "timer_set",  # subject: timer name; value: POSIX seconds when it rings; note: what for
    "timer_cancelled",  # subject: timer name
    "timer_acknowledged",  # subject: timer name
    "undone",  # value: seq of the event taken back
]


@dataclass(frozen=True)
class Event:
    """Something that happened. at: POSIX seconds; seq: 1, 2, ... once stored, 0 before."""

    at: float
    kind: EventKind
    subject: str = ""
    value: float | None = None
    by: Literal["cook", "clock"] = "cook"
    note: str = ""
    seq: int = 0


StepStatus = Literal["waiting", "running", "done", "skipped"]


@dataclass(frozen=True)
class StepState:
    """Where a step stands. Times are POSIX seconds; extra_s adds up "needs longer"."""

    status: StepStatus = "waiting"
    began_at: float | None = None
    ended_at: float | None = None
    extra_s: float = 0.0
    gate_seen_at: float | None = None


@dataclass(frozen=True)
class Timer:
    """A named timer. It rings at ends_at until acknowledged or cancelled."""

    name: str
    set_at: float
    ends_at: float
    note: str = ""
    acknowledged: bool = False


@dataclass(frozen=True)
class State:
    """The kitchen as the events tell it."""

    steps: dict[str, StepState] = field(default_factory=dict)
    timers: dict[str, Timer] = field(default_factory=dict)
    started_at: float | None = None
    wanted_at: float | None = None
    paused_at: float | None = None
    servings: int = 0
    dropped: frozenset[str] = frozenset()
    equipment: dict[str, int] = field(default_factory=dict)
    cooks: int | None = None
    last_seq: int = 0

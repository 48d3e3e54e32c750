"""A plan of a menu in kitchen terms, and how far a cook has got."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from domain.menu import Menu, Moment, Step, Use
from scheduling.plan import LevelResult

# What a step takes of a cook's attention, in quarters: common practice, not a published figure.
# A pan that is only watched leaves most of a cook free; no cook has two hands-on steps at once.
ATTENTION_PER_COOK = 4
ATTENTION = {"hands-on": 2, "watched": 1, "unattended": 0}
# In a pausable step: common practice, not a published figure; what is cut dries meanwhile.
LONGEST_BREAK_S = 900
WASH_UP = "washing up"  # what stands for the dish in the key of a washing step; no dish has a space

# Seconds: what moves by no more is no news to the cook. Our own choice.
MOVED_S = 120


@dataclass(frozen=True)
class Slot:
    """When a step runs, in POSIX seconds, and which cook and oven it was given.

    way: the name of the way it is done, "" as first written. breaks: when a pausable step lies
    still, as (from, until) within the slot. then: the cook who goes on after each break, where
    one that is not `cook` does after any.
    """

    key: str
    start_at: float
    end_at: float
    cook: str | None = None
    oven: str | None = None
    way: str = ""
    breaks: tuple[tuple[float, float], ...] = ()
    then: tuple[str | None, ...] = ()

    @property
    def stretches(self) -> list[tuple[float, float]]:
        """When it does not lie still, as (from, until), in order of time."""
        edges = [self.start_at, *(at for pause in self.breaks for at in pause), self.end_at]
        return list(zip(edges[::2], edges[1::2], strict=True))

    @property
    def cooks(self) -> tuple[str | None, ...]:
        """The cook of each stretch."""
        return (self.cook, *(self.then or (self.cook,) * len(self.breaks)))

    def at(self, moment: Moment) -> float:
        """When it starts or ends, POSIX seconds."""
        return self.start_at if moment == "start" else self.end_at


@dataclass(frozen=True)
class Timetable:
    """A plan of a menu. Times are POSIX seconds; slots are in order of start.

    Skipped steps, steps of dropped dishes and ovens that need no heating have no slot.
    wanted_at: the service time asked for, None for as soon as possible.
    ready_at: when each dish's last step ends. serve_at: when each dish is served.
    missed: limits that can no longer be kept, each a sentence with by how much.
    """

    slots: dict[str, Slot]
    service_at: float
    wanted_at: float | None
    ready_at: dict[str, float]
    levels: tuple[LevelResult, ...] = ()
    missed: tuple[str, ...] = ()
    serve_at: dict[str, float] = field(default_factory=dict)

    def as_done(self, steps: Mapping[str, Step]) -> dict[str, Step]:
        """These steps, by key, in the way that this plan has them done."""
        slots = self.slots
        return {k: step.done_by(slots[k].way) if k in slots else step for k, step in steps.items()}

    @property
    def late_s(self) -> float:
        """Seconds that service falls after the wanted time; 0 when there is none."""
        return max(0.0, self.service_at - self.wanted_at) if self.wanted_at else 0.0

    @property
    def proven(self) -> bool:
        return bool(self.levels) and all(level.proven for level in self.levels)

    @property
    def soonest(self) -> bool:
        """Whether no service is sooner, or none from the wanted time on."""
        names = [level.name for level in self.levels]
        upto = names.index("lateness") + 1 if "lateness" in names else 0
        return upto > 0 and all(level.proven for level in self.levels[:upto])


@dataclass(frozen=True)
class NoTimetable:
    """No timetable keeps every limit. `earliest` is the one that breaks them by least."""

    reasons: tuple[str, ...]
    earliest: Timetable | None = None


@dataclass(frozen=True)
class Progress:
    """How far a cook has got. Times are POSIX seconds, by step key.

    done: when each done step began and ended. running: when it began and is expected to end.
    equipment: how many are left of "ring", "oven" or a piece, where that has changed.
    started_at: when cooking began (fixed marks count from it), None before it has.
    ovens, ways: which oven and way each done or running step was given; the kitchen's first oven
    and the way first written where it says none. courses: as in `Menu`, where that has changed.
    extra_s: how much longer heating still to come will take, seconds. put_down: the running steps
    that lie still; aside: of these, since when those do that the cook put down. They go on whenever
    the plan has hands for them, and `running` says when they would end if they went on now.
    seen: the steps still waiting whose gate has been seen.
    """

    done: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    running: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    skipped: frozenset[str] = frozenset()
    dropped: frozenset[str] = frozenset()
    cooks: int | None = None
    equipment: Mapping[str, int] = field(default_factory=dict)
    started_at: float | None = None
    ovens: Mapping[str, str] = field(default_factory=dict)
    ways: Mapping[str, str] = field(default_factory=dict)
    courses: Mapping[str, int] = field(default_factory=dict)
    extra_s: Mapping[str, int] = field(default_factory=dict)
    put_down: frozenset[str] = frozenset()
    seen: frozenset[str] = frozenset()
    aside: Mapping[str, float] = field(default_factory=dict)

    @property
    def begun(self) -> bool:
        return bool(self.started_at is not None or self.done or self.running or self.skipped)

    def absent(self, step: Step) -> bool:
        """True when the step will not be done at all."""
        return step.key in self.skipped or step.dish in self.dropped

    def known(self, key: str, moment: Moment) -> float | None:
        """When a step began or ended; None while that is still to come."""
        if key in self.done:
            return self.done[key][0 if moment == "start" else 1]
        return self.running[key][0] if moment == "start" and key in self.running else None

    def course_s(self, menu: Menu, dish: str) -> int:
        """How long after service a dish is served, seconds; negative before it."""
        return self.courses.get(dish, menu.courses.get(dish, 0))


def oven_use(step: Step) -> Use | None:
    """The step's use of an oven, None when it has none."""
    return next((use for use in step.uses if use.what == "oven"), None)


def is_heating(step: Step) -> bool:
    """True for a step that is not of a dish but heats an oven."""
    return any(use.what == "oven" and use.count == 0 for use in step.uses)


def of_no_dish(step: Step) -> bool:
    """True for a step that heats an oven or washes up: it is needed only where the plan has it."""
    return is_heating(step) or step.dish == WASH_UP


def wash_key(piece: str, dish: str) -> str:
    """The key of washing what a dish has left dirty."""
    return f"{WASH_UP}/wash the {piece} after {dish.replace('-', ' ')}"


def temperatures_meet(one: Use, other: Use) -> bool:
    """Whether one oven temperature suits both uses."""
    if one.celsius is None or other.celsius is None:
        return True
    return abs(one.celsius - other.celsius) <= one.tolerance + other.tolerance

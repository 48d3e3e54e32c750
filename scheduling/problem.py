"""A scheduling problem: tasks, capacities, gaps and an objective. Knows no kitchen and no solver.

Times are whole seconds from the problem's own origin, 0.
"""

from dataclasses import dataclass
from typing import Literal

Moment = Literal["start", "end"]
ORIGIN = ""  # a task name that stands for time 0


@dataclass(frozen=True)
class Resource:
    """A renewable resource: at any time the demands of what runs add up to at most capacity."""

    name: str
    capacity: int


@dataclass(frozen=True)
class Mode:
    """One way to do a task: how long, and how much of which resource throughout."""

    duration_s: int
    demands: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True)
class Task:
    """Done once, without a break, in exactly one of its modes, within [release_s, deadline_s].

    pinned_s fixes the start (a step already begun). deadline_s bounds the end.
    """

    name: str
    modes: tuple[Mode, ...]
    release_s: int = 0
    deadline_s: int | None = None
    pinned_s: int | None = None


@dataclass(frozen=True)
class Lag:
    """least_s <= moment(after) - moment(before) <= most_s (None: no upper limit).

    before may be ORIGIN. least_s may be negative. `why` names the limit in the caller's words.
    """

    before: str
    after: str
    least_s: int | None = 0
    most_s: int | None = None
    before_moment: Moment = "end"
    after_moment: Moment = "start"
    why: str = ""


@dataclass(frozen=True)
class Apart:
    """The two tasks do not overlap when both run on `resource`; gaps are end-to-start seconds.

    first_gap_s applies when `first` goes first, second_gap_s when `second` does.
    """

    first: str
    second: str
    resource: str
    first_gap_s: int = 0
    second_gap_s: int = 0


@dataclass(frozen=True)
class Excess:
    """A cost of weight * max(0, moment(task) - moment(since) - beyond_s); since may be ORIGIN."""

    task: str
    weight: int = 1
    since: str = ORIGIN
    beyond_s: int = 0
    moment: Moment = "end"
    since_moment: Moment = "end"


@dataclass(frozen=True)
class Level:
    """One level of a lexicographic objective: the sum of its terms is minimised."""

    name: str
    terms: tuple[Excess, ...]


@dataclass(frozen=True)
class Problem:
    """Levels are minimised in order, each without worsening the ones before."""

    tasks: tuple[Task, ...]
    resources: tuple[Resource, ...] = ()
    lags: tuple[Lag, ...] = ()
    aparts: tuple[Apart, ...] = ()
    levels: tuple[Level, ...] = ()

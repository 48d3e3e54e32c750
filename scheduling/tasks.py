"""What a scheduling problem is made of: tasks, resources, gaps, and what is minimised.

Times are whole seconds from the problem's own origin, 0.
"""

from dataclasses import dataclass
from typing import Literal

from domain.errors import KitchenError

Moment = Literal["start", "end"]
ORIGIN = ""  # a task name that stands for time 0


@dataclass
class ProblemError(KitchenError):
    """A problem that no plan could satisfy or that makes no sense. `names` are the tasks in it."""

    wrong: str
    remedy: str
    names: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.wrong}; {self.remedy}"


@dataclass
class ContradictoryLags(ProblemError):
    """Lags that cannot all hold, whatever the resources: `names` is a cycle of tasks."""


@dataclass
class DemandTooBig(ProblemError):
    """More of a resource is needed at once than there ever is."""


@dataclass(frozen=True)
class Resource:
    """A renewable resource: at any time the demands of what runs add up to at most capacity."""

    name: str
    capacity: int


@dataclass(frozen=True)
class Mode:
    """One way to do a task: how long, and how much of which resource throughout.

    A demand of 0 says that the task runs on the resource without taking any of it.
    """

    duration_s: int
    demands: tuple[tuple[str, int], ...] = ()

    def runs_on(self, resource: str) -> bool:
        return any(name == resource for name, _ in self.demands)


@dataclass(frozen=True)
class Task:
    """Done once, without a break, in exactly one of its modes, within [release_s, deadline_s].

    pinned_s fixes the start (a step already begun). deadline_s bounds the end.
    latest_of: makes the task a milestone, exactly at the latest end of these tasks.
    """

    name: str
    modes: tuple[Mode, ...]
    release_s: int = 0
    deadline_s: int | None = None
    pinned_s: int | None = None
    latest_of: tuple[str, ...] = ()

    @property
    def shortest_s(self) -> int:
        return min(mode.duration_s for mode in self.modes)

    @property
    def longest_s(self) -> int:
        return max(mode.duration_s for mode in self.modes)


@dataclass(frozen=True)
class Lag:
    """least_s <= moment(after) - moment(before) <= most_s (None: no limit on that side).

    before may be ORIGIN. Both may be negative. `why` names the limit in the caller's words.
    mode: it holds only when `after` runs in this one, an index; None for always.
    """

    before: str
    after: str
    least_s: int | None = 0
    most_s: int | None = None
    before_moment: Moment = "end"
    after_moment: Moment = "start"
    why: str = ""
    mode: int | None = None


@dataclass(frozen=True)
class Apart:
    """The two tasks do not overlap when both run on `resource`; gaps are end-to-start seconds.

    first_gap_s applies when `first` goes first, second_gap_s when `second` does; a gap of None
    forbids that order. Aparts with the same non-empty `order` all have it the same way round.
    """

    first: str
    second: str
    resource: str
    first_gap_s: int | None = 0
    second_gap_s: int | None = 0
    order: str = ""


@dataclass(frozen=True)
class Hammock:
    """Demands held from first's moment until `last` ends, however long that is.

    The field's term is a hammock activity. first may be ORIGIN: they are held from time 0.
    `last` ends no earlier than first's moment; when it ends right then, nothing is held.
    mode: they are held only when both, which are then alike, run in this one, an index.
    """

    name: str
    first: str
    last: str
    demands: tuple[tuple[str, int], ...]
    first_moment: Moment = "start"
    mode: int | None = None

    @property
    def span(self) -> Lag:
        """That `last` ends no earlier than first's moment."""
        return Lag(self.first, self.last, 0, None, self.first_moment, "end", f"“{self.name}”")


@dataclass(frozen=True)
class Excess:
    """A cost of weight * max(0, moment(task) - moment(since) - beyond_s).

    Either of task and since may be ORIGIN: with task ORIGIN and beyond_s = -t, it is the cost of
    being earlier than t.
    """

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

"""A plan: when each task runs and how. And its checker, which uses no solver."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Scheduled:
    """One task's place in a plan: seconds from the problem's origin, and the mode's index."""

    task: str
    start_s: int
    end_s: int
    mode: int = 0


@dataclass(frozen=True)
class LevelResult:
    """What a level came to: its cost, the proven lower bound, and seconds of solving."""

    name: str
    cost: int
    bound: int
    took_s: float

    @property
    def proven(self) -> bool:
        return self.cost == self.bound


@dataclass(frozen=True)
class Plan:
    """A schedule of every task of a problem, by task name."""

    tasks: dict[str, Scheduled]
    levels: tuple[LevelResult, ...] = ()

    @property
    def proven(self) -> bool:
        """True when every level was proven optimal."""
        return all(level.proven for level in self.levels)


@dataclass(frozen=True)
class NoPlan:
    """No schedule: `proven` False when time ran out. `why`: the limits that collide, if known."""

    proven: bool
    why: tuple[str, ...] = ()

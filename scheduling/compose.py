"""A menu and a kitchen as a scheduling problem, and the plan read back in kitchen terms."""

from dataclasses import dataclass

from scheduling.plan import LevelResult


@dataclass(frozen=True)
class Slot:
    """When a step runs, in POSIX seconds, and which cook and oven it was given."""

    key: str
    start_at: float
    end_at: float
    cook: str | None = None
    oven: str | None = None


@dataclass(frozen=True)
class Timetable:
    """A plan of a menu. Times are POSIX seconds; slots are in order of start.

    wanted_at: the service time asked for, None for as soon as possible.
    ready_at: when each dish's last step ends.
    """

    slots: dict[str, Slot]
    service_at: float
    wanted_at: float | None
    ready_at: dict[str, float]
    levels: tuple[LevelResult, ...] = ()

    @property
    def late_s(self) -> float:
        """Seconds that service falls after the wanted time; 0 when there is none."""
        return max(0.0, self.service_at - self.wanted_at) if self.wanted_at else 0.0

    @property
    def proven(self) -> bool:
        return bool(self.levels) and all(level.proven for level in self.levels)

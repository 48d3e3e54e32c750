"""Where the time comes from: the machine's own clock, or a simulated one."""

import time
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Clock(Protocol):
    """Tells the time in POSIX seconds. Never goes backwards."""

    def now(self) -> float:
        """The present moment, POSIX seconds."""
        ...


@dataclass(frozen=True)
class Anchor:
    """A moment on the wall clock tied to a reading of the steady clock.

    wall_s: POSIX seconds; steady_s: seconds since boot; boot: which boot, "" when unknown.
    """

    wall_s: float
    steady_s: float
    boot: str


def _steady() -> float:
    """Seconds that go on evenly, time asleep included wherever the system offers that.

    Food goes on cooking while a laptop lid is shut. Linux counts sleep in CLOCK_BOOTTIME, macOS
    in CLOCK_MONOTONIC; Windows' monotonic clock counts it too.
    """
    if hasattr(time, "CLOCK_BOOTTIME"):
        return time.clock_gettime(time.CLOCK_BOOTTIME)
    if hasattr(time, "CLOCK_MONOTONIC"):
        return time.clock_gettime(time.CLOCK_MONOTONIC)
    return time.monotonic()


def _boot() -> str:
    return _BOOT_ID.read_text().strip() if _BOOT_ID.exists() else ""


class RealClock:
    """Wall-clock time read once, then carried on by the steady clock.

    A wall clock that is set, or summer time that begins, moves none of a cook's times. Time
    asleep (suspend) counts. `anchor` from an earlier run of the same boot keeps its count, so
    that a restart does not notice a changed wall clock either; another boot's is not used.
    """

    def __init__(self, anchor: Anchor | None = None) -> None:
        boot = _boot()
        same = anchor is not None and anchor.boot == boot != ""
        self.anchor = anchor if anchor and same else Anchor(time.time(), _steady(), boot)

    def now(self) -> float:
        return self.anchor.wall_s + _steady() - self.anchor.steady_s


class SimulatedClock:
    """A clock for tests, rehearsals and demonstrations.

    start: POSIX seconds. speed: simulated seconds per real second; 0 stands still but for
    `advance`.
    """

    def __init__(self, start: float, speed: float = 0.0) -> None:
        if speed < 0:
            raise ValueError(f"speed must not be negative, not {speed}")
        self._start = start
        self._speed = speed
        self._since = _steady()

    def now(self) -> float:
        return self._start + self._speed * (_steady() - self._since)

    def advance(self, seconds: float) -> None:
        """Move the clock on by this many simulated seconds, zero or more."""
        if seconds < 0:
            raise ValueError(f"a clock does not go back: {seconds} seconds")
        self._start += seconds

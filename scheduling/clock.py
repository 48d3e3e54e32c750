"""Where the time comes from: the machine's own clock, or a simulated one."""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
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
        self._speed = speed
        self._lock, self._holders = threading.Lock(), 0
        # The moment it went on from, when that was, and how fast: read and written whole.
        self._since = start, _steady(), speed

    def now(self) -> float:
        start, since, speed = self._since
        return start + speed * (_steady() - since)

    def advance(self, seconds: float) -> None:
        """Move the clock on by this many simulated seconds, zero or more."""
        if seconds < 0:
            raise ValueError(f"a clock does not go back: {seconds} seconds")
        with self._lock:
            start, since, speed = self._since
            self._since = start + seconds, since, speed

    @contextmanager
    def held(self) -> Iterator[None]:
        """Have it stand still meanwhile, but for `advance`: for a wait that is no part of a cook.

        Where several hold it, it goes on once the last has let go.
        """
        self._hold(1)
        try:
            yield
        finally:
            self._hold(-1)

    def _hold(self, more: int) -> None:
        with self._lock:
            self._holders += more
            self._since = self.now(), _steady(), 0.0 if self._holders else self._speed

"""Clocks go evenly, whatever the wall clock does."""

import time

import pytest

from scheduling import clock
from scheduling.clock import Anchor, RealClock, SimulatedClock


def test_real_clock_does_not_follow_a_wall_clock_that_is_set(monkeypatch) -> None:
    real = RealClock()
    before = real.now()
    monkeypatch.setattr(time, "time", lambda: before + 3600)  # summer time begins, say
    assert 0 <= real.now() - before < 60


def test_a_restart_in_the_same_boot_keeps_its_count(monkeypatch) -> None:
    monkeypatch.setattr(clock, "_boot", lambda: "this boot")
    first = RealClock()
    wall = time.time()
    monkeypatch.setattr(time, "time", lambda: wall + 3600)
    again = RealClock(first.anchor)
    assert abs(again.now() - first.now()) < 60


@pytest.mark.parametrize("boot", ["another boot", ""])
def test_another_boots_count_is_not_used(monkeypatch, boot: str) -> None:
    monkeypatch.setattr(clock, "_boot", lambda: boot and "this boot")
    stale = Anchor(wall_s=1000.0, steady_s=5.0, boot=boot)
    assert abs(RealClock(stale).now() - time.time()) < 60


def test_time_asleep_counts(monkeypatch) -> None:
    real = RealClock()
    before = real.now()
    steady = clock._steady()
    monkeypatch.setattr(clock, "_steady", lambda: steady + 1800)  # the lid was shut
    assert real.now() - before == pytest.approx(1800, abs=60)


def test_simulated_clock_moves_only_when_told() -> None:
    simulated = SimulatedClock(1000.0)
    assert simulated.now() == simulated.now() == 1000.0
    simulated.advance(30.5)
    assert simulated.now() == 1030.5


def test_simulated_clock_runs_at_its_speed(monkeypatch) -> None:
    monkeypatch.setattr(clock, "_steady", lambda: 50.0)
    simulated = SimulatedClock(1000.0, speed=60)
    monkeypatch.setattr(clock, "_steady", lambda: 52.0)
    assert simulated.now() == 1120.0


def test_a_clock_does_not_go_back() -> None:
    with pytest.raises(ValueError, match="does not go back"):
        SimulatedClock(0.0).advance(-1)
    with pytest.raises(ValueError, match="negative"):
        SimulatedClock(0.0, speed=-1)


def test_a_held_clock_stands_still_until_the_last_has_let_go(monkeypatch) -> None:
    steady = 50.0
    monkeypatch.setattr(clock, "_steady", lambda: steady)
    simulated = SimulatedClock(1000.0, speed=60)
    steady = 51.0
    with simulated.held():
        with simulated.held():
            steady = 60.0
            assert simulated.now() == 1060.0
        steady = 70.0
        simulated.advance(5)
        assert simulated.now() == 1065.0
    assert simulated.now() == 1065.0
    steady = 71.0
    assert simulated.now() == 1125.0

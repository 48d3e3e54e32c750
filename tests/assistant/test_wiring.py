"""From names and times on the command line to a cook: fresh, carried on, or refused."""

from dataclasses import replace
from datetime import datetime

import pytest

from assistant import wiring
from domain.errors import KitchenError
from scheduling.clock import RealClock, SimulatedClock
from scheduling.events import Event
from scheduling.queries import service_at

SIX = datetime(2026, 3, 14, 18, 0).timestamp()


@pytest.mark.parametrize(
    ("given", "after_s"), [("18:00", 0), ("18:01", 60), ("17:59", 86340), ("7:30", 48600)]
)
def test_the_next_time_that_a_clock_shows_it(given, after_s):
    assert wiring.next_moment(given, SIX) - SIX == after_s


@pytest.mark.parametrize("given", ["", "18", "18:60", "24:00", "18:00x2", "-1:00", "6pm", "١٨:٠٠x"])
def test_what_is_no_time_is_refused(given):
    with pytest.raises(KitchenError, match="is not a time"):
        wiring.next_moment(given, SIX)


def test_a_simulated_clock_runs_from_a_time_today():
    clock = wiring.clock_of("18:00x3600")
    assert isinstance(clock, SimulatedClock)
    assert datetime.fromtimestamp(clock.now()).date() == datetime.now().date()
    assert isinstance(wiring.clock_of(None), RealClock)


@pytest.fixture
def asked(own_folders):
    return wiring.request(["harbour-supper"], None, None, None)


def began(request, **how):
    """Cook: begin, report one thing, leave; when we eat, and whether it was carried on."""
    with wiring.kitchen_of(request, keep=True, **how) as running:
        running.start()
        now = running.cook.view().now
        assert running.cook.live.apply(Event(now, "timer_set", "tea", now + 600)).event
        return service_at(running.cook.view()), running.resumed


def test_what_was_reported_is_carried_on_at_the_same_time(asked):
    first, resumed = began(asked)
    assert not resumed
    again, resumed = began(asked)
    assert resumed
    assert again == pytest.approx(first, abs=1)


def test_a_fresh_cook_ends_every_earlier_one(asked):
    began(asked)
    began(asked, fresh=True)
    with wiring.kitchen_of(asked, keep=True, fresh=True):
        pass  # nothing reported: not carried on
    assert began(asked)[1] is False


def test_a_time_asked_for_now_holds_for_a_cook_that_is_carried_on(asked):
    first, _ = began(asked)
    later = replace(asked, wanted_at=first + 3600, insists=True)
    assert began(later) == (pytest.approx(first + 3600, abs=1), True)
    unasked = replace(asked, wanted_at=first + 7200)
    assert began(unasked) == (pytest.approx(first + 3600, abs=1), True)


def test_a_cook_under_a_simulated_clock_is_not_kept(own_folders):
    request = wiring.request(["harbour-supper"], None, None, "18:00")
    began(request)
    assert began(request)[1] is False
    assert not list(own_folders.rglob("*.sqlite"))

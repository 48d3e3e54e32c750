"""A cook that is begun, left, and begun again: fresh or carried on."""

from dataclasses import replace

import pytest
from fronts import SIX, running_cook

from assistant.resolve import find_refs
from assistant.running import kitchen_of
from assistant.wiring import request
from domain.cookbook import load_dish
from scheduling.events import Event
from scheduling.menu_now import added
from scheduling.queries import service_at


@pytest.fixture
def asked(own_folders):
    return request(["harbour-supper"], None, None, None)


def began(asked, **how):
    """Cook: begin, report one thing, leave; when we eat, and whether it was carried on."""
    with kitchen_of(asked, keep=True, **how) as running:
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
    with kitchen_of(asked, keep=True, fresh=True):
        pass  # nothing reported: not carried on
    assert began(asked)[1] is False


def test_a_time_asked_for_now_holds_for_a_cook_that_is_carried_on(asked):
    first, _ = began(asked)
    later = replace(asked, wanted_at=first + 3600, insists=True)
    assert began(later) == (pytest.approx(first + 3600, abs=1), True)
    unasked = replace(asked, wanted_at=first + 7200)
    assert began(unasked) == (pytest.approx(first + 3600, abs=1), True)


def test_a_cook_under_a_simulated_clock_is_not_kept(own_folders):
    simulated = request(["harbour-supper"], None, None, "18:00")
    began(simulated)
    assert began(simulated)[1] is False
    assert not list(own_folders.rglob("*.sqlite"))


def test_an_added_dish_is_known_by_name_at_once_and_no_more_once_it_is_taken_back():
    with running_cook() as running:
        live, heard = running.cook.live, "how are the warm plums doing"
        assert running.vocabulary is running.vocabulary  # made once for one menu
        plums = live.apply(added(SIX, load_dish("warm-plums"))).event
        assert ("dish", "warm-plums") in {
            (ref.kind, ref.name) for ref in find_refs(heard, running.vocabulary)
        }
        assert running.say("when are the warm plums ready").spoken.startswith("Warm plums")
        live.apply(Event(SIX, "undone", value=float(plums.seq)))
        assert not find_refs(heard, running.vocabulary)


def test_what_is_lost_is_still_called_by_its_name():
    with running_cook() as running:
        running.cook.live.apply(Event(SIX, "equipment_changed", "oven", 0.0))
        assert find_refs("the oven is back", running.vocabulary)

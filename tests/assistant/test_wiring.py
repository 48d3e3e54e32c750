"""From names and times on the command line to what they stand for."""

import importlib.metadata
import sys
from datetime import datetime

import pytest

from assistant import hear_pair, prepare, wiring
from assistant.hear_sphinx import SphinxRecogniser
from domain.errors import KitchenError, MissingModel
from scheduling.clock import RealClock, SimulatedClock

SIX = datetime(2026, 3, 14, 18, 0).timestamp()


@pytest.mark.parametrize(
    ("given", "after_s"), [("18:00", 0), ("18:01", 60), ("17:59", 86340), ("7:30", 48600)]
)
def test_the_next_time_that_a_clock_shows_it(given, after_s):
    assert wiring.next_moment(given, SIX) - SIX == after_s


def test_where_the_best_engine_cannot_be_had_the_next_takes_its_place_and_that_is_told(
    monkeypatch,
):
    def opened(engine, model, models):
        if engine != "sphinx":
            raise MissingModel(f"the {engine}'s", "get it")
        return engine

    monkeypatch.setattr(wiring, "open_recogniser", opened)
    told = []
    assert wiring.recogniser_of(None, None, told.append) == "sphinx"
    (line,) = told
    assert line.startswith("I hear with one recogniser, ")
    assert line.endswith(": the model the pair's is missing; get it")
    with pytest.raises(MissingModel):
        wiring.recogniser_of(None, "pair", told.append)


def test_on_a_platform_without_the_second_recogniser_all_goes_on_with_one(monkeypatch, capsys):
    there = importlib.metadata.distribution

    def elsewhere(name):
        if name == "moonshine-cpp":
            raise importlib.metadata.PackageNotFoundError(name)
        return there(name)

    monkeypatch.setattr(importlib.metadata, "distribution", elsewhere)
    monkeypatch.setitem(sys.modules, "moonshine_cpp", None)
    monkeypatch.setattr(
        hear_pair, "shared_network", hear_pair.shared_network.__wrapped__
    )  # not a kept one
    told = []
    ear = wiring.recogniser(wiring.menu_named(["harbour-supper"]), None, tell=told.append)
    assert isinstance(ear, SphinxRecogniser)
    assert len(told) == 1
    monkeypatch.setattr(prepare, "cut_once", lambda voice: None)
    prepare.main()
    assert "PocketSphinx hears alone" in capsys.readouterr().out


@pytest.mark.parametrize("given", ["", "18", "18:60", "24:00", "18:00x2", "-1:00", "6pm", "١٨:٠٠x"])
def test_what_is_no_time_is_refused(given):
    with pytest.raises(KitchenError, match="is not a time"):
        wiring.next_moment(given, SIX)


def test_a_simulated_clock_runs_from_a_time_today():
    clock = wiring.clock_of("18:00x3600")
    assert isinstance(clock, SimulatedClock)
    assert datetime.fromtimestamp(clock.now()).date() == datetime.now().date()
    assert isinstance(wiring.clock_of(None), RealClock)

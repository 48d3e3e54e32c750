"""When a thing begins, and whether it may begin now."""

import re
from datetime import datetime

import pytest
from kitchen import SIX, dish, ingredient, kitchen

from scheduling.events import Event
from scheduling.queries import service_at, starts_at


@pytest.fixture
def here():
    return kitchen()


@pytest.mark.parametrize(
    ("asked", "thing", "step"),
    [
        (
            "when does the fennel need to go in",
            ingredient("fennel bulbs"),
            "chicken-and-fennel/roast the chicken",
        ),
        ("when do the pears go in", dish("honey-pears"), "honey-pears/bake the pears"),
        ("when does the rice go on", dish("white-rice"), "white-rice/start the rice"),
        ("what time do I start the rice", dish("white-rice"), "white-rice/rinse the rice"),
    ],
)
def test_when_it_goes_in_on_or_begins_is_told_by_the_clock(here, asked, thing, step):
    view = here.live.snapshot()
    at = datetime.fromtimestamp(starts_at(view, step))
    reply = here.ask("can_start", asked, thing)
    assert reply.shown.startswith(f"At {at:%H:%M}, in ")
    assert reply.shown.endswith(f": {view.steps[step].name}.")


def test_what_is_asked_of_now_is_not_answered_with_a_time(here):
    reply = here.ask("can_start", "can I plate the chicken now", dish("white-rice"))
    assert not reply.spoken.startswith("At ")


@pytest.mark.parametrize(
    ("asked", "thing", "step"),
    [
        ("what's the latest I can put the rice on", dish("white-rice"), "start the rice"),
        ("how late can I start the rice", dish("white-rice"), "rinse the rice"),
        ("when at the latest do I put the pears in", dish("honey-pears"), "bake the pears"),
    ],
)
def test_the_latest_start_is_a_time_and_leaves_service_where_it_is(here, asked, thing, step):
    view = here.live.snapshot()
    key = f"{thing.name}/{step}"
    shown = here.ask("can_start", asked, thing).shown
    told = re.fullmatch(rf"At (\d\d):(\d\d) at the latest, or we eat later: {step}\.", shown)
    latest = datetime(2026, 3, 14, int(told[1]), int(told[2])).timestamp()
    later_s = latest - starts_at(view, key)
    assert later_s > -60
    if later_s >= 1:  # a step that ends so much later is one that begins so much later
        moved = here.live.what_if(Event(SIX, "longer", key, later_s), solve=True).after
        assert service_at(moved) == service_at(view)


def wanting(minutes):
    here = kitchen()
    here.live.apply(Event(SIX, "service_moved", value=SIX + 60 * minutes))
    return here


def test_a_service_that_cannot_be_is_answered_with_the_earliest_and_a_way():
    reply = wanting(48).ask("can_we")
    first, way = reply.spoken.split(". ", 1)[0], reply.shown
    assert first == "Not by twelve minutes to seven"
    assert way == (
        "Not by 18:48. The earliest is 19:03. To eat at 18:48: "
        "serve “Roast chicken thighs with fennel” 25 min later; "
        "or leave out “Roast chicken thighs with fennel”."
    )
    assert reply.more.startswith("One after the other, heating the oven (twelve minutes), ")
    assert "(25 min)" in reply.more_shown


def test_where_no_change_is_enough_it_says_what_makes_it_sooner():
    reply = wanting(10).ask("can_we")
    assert reply.shown == "Not by 18:10. The earliest is 19:03."
    assert reply.more_shown == (
        "“Roast the chicken” (25 min) alone takes too long for service at 18:10. "
        "No change that was tried makes 18:10 possible. "
        "Leave out “Roast chicken thighs with fennel”: 21 min sooner."
    )


@pytest.mark.parametrize(("asked", "begins"), [("18:30", "Not by 18:30."), ("19:30", "Yes, ")])
def test_a_time_that_is_only_asked_about_is_answered_and_moves_nothing(here, asked, begins):
    before = here.live.snapshot().timetable
    reply = here.ask("can_we", f"could we eat at {asked}")
    assert reply.shown.startswith(begins)
    assert not reply.events
    assert here.live.snapshot().timetable == before


def test_a_start_that_would_hurt_somebody_gets_no_leave():
    here = kitchen()
    text = "can I half cook the chicken now and finish it tomorrow"
    reply = here.ask("can_start", text, dish("chicken-and-fennel"))
    assert reply.spoken.startswith("No, cook meat through in one go, says USDA FSIS.")
    assert reply.events == ()

"""What a change would do, and how likely we are to eat on time; nothing is changed by asking."""

import re
from dataclasses import replace

import pytest
from kitchen import dish, equipment, kitchen, step

from assistant.answer_reports import report_longer
from assistant.two_forms import to_show
from scheduling.events import Event, StepState
from scheduling.forecast import forecast
from scheduling.queries import service_at


@pytest.fixture
def here():
    return kitchen()


def eat(here) -> str:
    return here.now().fromtimestamp(service_at(here.live.snapshot())).strftime("%H:%M")


def test_what_holds_up_service_is_told_with_by_how_much_and_nothing_changes(here):
    before, events = eat(here), len(here.live.events())
    # The chicken is on the chain that service waits for: all of its quarter of an hour is felt.
    reply = here.suppose(
        "report_longer", "takes fifteen minutes longer", dish("chicken-and-fennel")
    )
    assert re.search(r"^We would eat at 19:18, 15 min later\. ", reply.shown)
    assert reply.shown.endswith("Nothing is changed.")
    assert (eat(here), len(here.live.events())) == (before, events)


def test_what_has_time_to_spare_changes_nothing(here):
    reply = here.suppose("report_longer", "takes five minutes longer", dish("white-rice"))
    assert reply.shown == f"That changes nothing: we still eat at {eat(here)}."


def test_an_oven_that_is_late_is_its_heating_that_takes_longer(here):
    heating = "oven/heat the oven to 200"
    assert here.live.snapshot().state.steps[heating].status == "running"
    supposed = here.suppose("report_longer", "is twenty minutes late", equipment("oven"))
    assert "20 min later" in supposed.shown
    told = here.ask("report_longer", "the oven is twenty minutes late", equipment("oven"))
    assert [event.subject for event in told.events] == [heating]


def test_a_heating_still_to_come_can_be_late_too(here):
    heating = "oven/heat the oven to 200"
    view = here.live.snapshot()
    waiting = {**view.state.steps, heating: StepState()}
    scene = here.scene()
    scene = replace(scene, live=replace(view, state=replace(view.state, steps=waiting)))
    ask = here.understood("report_longer", "the oven is ten minutes late", equipment("oven"))
    (event,) = report_longer(ask, scene).events
    assert (event.kind, event.subject, event.value) == ("longer", heating, 600.0)


def test_a_supposed_dish_is_dropped_without_being_asked_and_stays(here):
    reply = here.suppose("drop_dish", "leave out the chicken", dish("chicken-and-fennel"))
    assert reply.question is None
    assert not reply.events
    assert "eat at" in reply.shown
    assert not here.live.snapshot().state.dropped


def test_another_time_of_service_is_told_as_it_would_be(here):
    reply = here.suppose("move_service", "eat at eight")
    assert reply.shown.startswith("We would eat at 20:00, ")
    assert eat(here) != "20:00"


def test_a_kitchen_without_an_oven_cannot_roast(here):
    reply = here.suppose("equipment_lost", "the oven breaks", equipment("oven"))
    assert reply.shown == "That could not be cooked. Nothing is changed."
    assert "roast the chicken" in reply.more_shown
    assert "oven" in reply.more_shown


def test_dishes_that_would_wait_too_long_are_named(here):
    # The pears cannot be ready before the rest is: served first, they hold all else back.
    reply = here.suppose("serve_later", "half an hour before the rest", dish("honey-pears"))
    late = here.live.what_if(
        Event(here.clock.now(), "course_moved", "honey-pears", -1800.0), solve=True
    ).after
    stale = [
        known.title
        for known in late.menu.dishes
        if late.timetable.serve_at.get(known.name, late.timetable.service_at)
        - late.timetable.ready_at[known.name]
        > known.hold_s + 30
    ]
    assert bool(stale) == ("longer than they keep" in reply.shown)
    assert all(title in reply.shown for title in stale)


def test_what_is_refused_says_why(here):
    here.ask("report_begun", "", step("honey-pears/halve the pears"))
    here.ask("report_done", "", step("honey-pears/halve the pears"))
    reply = here.suppose("skip_step", "", step("honey-pears/halve the pears"))
    assert not reply.events
    assert "Nothing is changed" not in reply.shown


def test_choices_asked_back_stay_suppositions(here):
    here.wait(6)
    assert len(here.live.snapshot().running()) > 1
    reply = here.suppose("report_longer", "takes ten minutes longer", equipment("a thing unknown"))
    assert reply.question is not None
    meant = reply.question.choices[0][1]
    assert (meant.intent, meant.supposed) == ("what_if", "report_longer")
    assert not here.meant(meant).events


def test_nothing_to_suppose_is_asked_for(here):
    assert here.suppose("", "").spoken == "What shall I suppose?"
    assert here.suppose("report_longer", "", dish("white-rice")).spoken == "How much longer?"


def test_chances_are_the_forecast_s_in_words(here):
    likely = forecast(here.live.snapshot())
    low, high = (
        here.now().fromtimestamp(at).strftime("%H:%M") for at in (likely.low_at, likely.high_at)
    )
    decides = here.live.snapshot().steps[likely.decided_by[0][0]].name
    reply = here.ask("chances", "what are our chances")
    assert reply.shown == (
        f"Eight times in ten, between {low} and {high}. Most hangs on one step: {decides}."
    )
    assert here.ask("chances", "what could make us late").shown.startswith("Most hangs on")


def test_the_chance_of_a_wanted_time_is_told(here):
    here.ask("move_service", "let's eat at seven thirty")
    chance = forecast(here.live.snapshot()).chance
    assert 0.05 < chance < 0.95
    told = here.ask("chances", "what are the odds").shown
    assert f"By 19:30 we eat {100 * chance:.0f} % of the time." in told
    early = forecast(here.live.snapshot()).low_at
    here.live.apply(Event(here.clock.now(), "service_moved", value=here.clock.now() + 3600))
    assert early > here.clock.now()
    assert "By 19:00 we eat hardly ever." in here.ask("chances", "what are the odds").shown


def test_spoken_and_shown_forms_are_apart(here):
    reply = here.ask("chances", "what are our chances")
    assert "19:" not in reply.spoken
    assert to_show(reply.shown) == reply.shown

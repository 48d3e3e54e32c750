"""Where things stand, and how much of the kitchen the plan takes at once."""

from dataclasses import replace

import pytest
from kitchen import dish, equipment, kitchen

from assistant.answer import ANSWERS
from scheduling.events import Event

RICE = dish("white-rice", "the rice")
PEARS = dish("honey-pears", "the pears")


@pytest.fixture
def here():
    return kitchen()


def test_what_is_on_stands_in_its_pan_on_a_ring(here):
    here.until("white-rice/simmer the rice")
    reply = here.ask("where_is", "which ring is the rice on", RICE)
    assert reply.shown == "In the small pan, on a ring: simmer the rice."
    assert "only you know" in reply.more  # nobody has told which ring


def test_the_shelf_is_the_one_that_the_dish_names(here):
    here.until("honey-pears/bake the pears")
    reply = here.ask("where_is", "which shelf are the pears on", PEARS)
    assert reply.shown == "In the baking dish, in the oven, lower shelf: bake the pears."


def test_what_is_not_on_tells_when_it_will_be(here):
    told = here.ask("where_is", "where is the rice", RICE).shown
    assert told.startswith("Not on yet. At 18:")


def test_what_is_in_a_pan(here):
    pan = equipment("frying pan")
    assert here.ask("where_is", "what's in the frying pan", pan).shown.startswith(
        "Nothing is in the frying pan now. From 18:"
    )
    here.until("green-beans/toast the almonds")
    assert here.ask("where_is", "what's in the frying pan", pan).shown.startswith(
        "Frying pan: toast the almonds, "
    )


def test_rings_at_once_are_those_of_the_plan(here):
    view = here.live.snapshot()
    spans = [
        (slot.start_at, slot.end_at)
        for key, slot in view.timetable.slots.items()
        if any(use.what == "ring" for use in view.steps[key].uses)
    ]
    most = max(sum(a <= start < b for a, b in spans) for start, _ in spans)
    numbers = {1: "One ring", 2: "Two rings", 3: "Three rings", 4: "Four rings"}
    told = here.ask("kitchen_needs", "how many rings do I need").shown
    assert told.startswith(f"{numbers[most]} at once, at ")
    assert told.endswith("; there are 4.")


def test_fewer_rings_than_the_plan_takes_are_tried_and_nothing_changes(here):
    told = here.ask("kitchen_needs", "will one ring do").shown
    assert told.startswith(("Yes: with one ring we eat at ", "No. The plan takes "))
    assert here.live.snapshot().kitchen.rings == 4


@pytest.mark.parametrize(
    ("menu", "said", "tried", "told"),
    [
        # By a repair service is two minutes later, which is a bound; by a full plan not at all.
        ("ridge-sunday", "will two rings do", [False], "at most 2 min later than now."),
        # By a repair half an hour later; by a full plan not at all.
        ("harbour-supper", "will one ring do", [False, True], "no later than now."),
    ],
)
def test_a_full_plan_is_made_only_where_a_repaired_one_is_much_later(menu, said, tried, told):
    here, solved = kitchen(menu), []
    scene = here.scene()

    def what_if(*events, solve=False):
        solved.append(solve)
        return scene.what_if(*events, solve=solve)

    ask = here.understood("kitchen_needs", said)
    reply = ANSWERS["kitchen_needs"](ask, replace(scene, what_if=what_if))
    assert solved == tried
    assert reply.shown.endswith(told)


def test_one_cook_does_it_all_and_two_share_it(here):
    assert here.ask("kitchen_needs", "how many hands").shown == "One pair of hands will do."
    assert here.ask("kitchen_needs", "who does what").shown == "You do it all: there is one cook."
    here.live.apply(Event(here.clock.now(), "cooks_changed", value=2.0))
    here.live.tick()
    told = here.ask("kitchen_needs", "who does what")
    first, second = here.live.snapshot().kitchen.cooks
    assert f"{first.capitalize()}: " in told.shown
    assert f"{second.capitalize()}: " in told.shown

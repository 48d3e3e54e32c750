"""What is left out: a step, a dish, or a thing that is nowhere."""

from dataclasses import replace

import pytest
from kitchen import dish, equipment, ingredient, kitchen, step

NUTS = ("green-beans/toast the almonds", "honey-pears/chop the walnuts")


@pytest.fixture
def here():
    return kitchen()


def status(here, key):
    return here.live.snapshot().state.steps[key].status


def test_a_part_of_a_dish_is_not_the_dish(here):
    reply = here.ask("drop_dish", "skip the walnuts", ingredient("walnuts"))
    title = "Baked pears with honey and walnuts"
    assert reply.shown == f"Leave out only “chop the walnuts”, or all of {title}?"
    only = reply.question.chosen("only the walnuts")
    here.meant(only)
    assert status(here, NUTS[1]) == "skipped"
    every = reply.question.chosen("all of it")
    assert here.meant(every).shown == f"Left out: {title}."


def test_the_dish_that_is_offered_is_the_one_of_the_part():
    here = kitchen("boat-shed-supper")
    title = "Lamb patties with garlic yoghurt"
    named = ingredient("plain yoghurt")
    reply = here.ask("drop_dish", "skip the yoghurt", replace(named, text="yoghurt"))
    assert reply.shown == f"Leave out only “stir the yoghurt”, or all of {title}?"
    assert here.meant(reply.question.choices[1][1]).shown == f"Left out: {title}."


def test_a_dish_named_is_the_dish_and_so_is_a_part_that_no_step_is_named_after(here):
    named = here.ask("drop_dish", "skip the pears", dish("honey-pears", "pears"))
    assert named.shown.endswith(" altogether?")
    honey = here.ask("drop_dish", "skip the yoghurt", ingredient("plain yoghurt"))
    assert honey.shown.endswith(" altogether?")


def test_what_is_in_no_dish_leaves_nothing_out(here):
    reply = here.ask("skip_step", "skip the flambé")
    assert reply.shown == "I know no flambé in this menu. Which step do you mean?"
    assert not reply.events
    supposed = here.suppose("skip_step", "what if we left out the washing")
    assert supposed.shown == "I know no washing in this menu. Which step do you mean?"


@pytest.mark.parametrize("text", ["skip it", "skip the next step", "leave that out"])
def test_this_step_is_the_one_in_hand(here, text):
    (event,) = here.ask("skip_step", text).events
    assert (event.kind, event.subject) == ("skipped", "oven/heat the oven to 200")


def test_what_two_steps_are_called_is_asked_back(here):
    reply = here.suppose("skip_step", "what if I skip the garnish", *map(step, NUTS))
    assert reply.shown == "Which one: chop the walnuts or toast the almonds?"
    meant = reply.question.chosen("the almonds")
    assert (meant.intent, meant.supposed) == ("what_if", "skip_step")
    assert "we still eat at 19:03" in here.meant(meant).shown
    assert status(here, NUTS[0]) == "waiting"


def test_an_oven_said_to_be_off_is_no_step_done(here):
    assert status(here, "oven/heat the oven to 200") == "running"
    reply = here.ask("report_done", "I turned the oven off", equipment("oven"))
    assert not reply.events
    assert reply.shown.startswith("The plan needs the oven now: heat the oven to 200.")
    here.until("honey-pears/take the pears out")
    for key in ("bake the pears", "roast the chicken", "brown the chicken"):
        found = next(k for k in here.live.snapshot().steps if k.endswith(key))
        if not here.live.snapshot().state.steps[found].over:
            here.until("chicken-and-fennel/check the chicken")
    reply = here.ask("report_done", "the oven's off", equipment("oven"))
    assert reply.shown == "Good. Nothing more goes into the oven."

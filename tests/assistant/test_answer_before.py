"""When a thing begins, and whether it may begin now."""

from datetime import datetime

import pytest
from kitchen import dish, ingredient, kitchen

from scheduling.queries import starts_at


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

"""What changes the whole: service, guests, cooks, dishes."""

import pytest
from kitchen import dish, kitchen

from scheduling.events import Event


@pytest.fixture
def here():
    return kitchen()


def test_service_moves_to_a_clock_time_and_by_a_length(here):
    here.ask("move_service", "let's eat at half past seven")
    assert here.ask("when_eat").shown.startswith("We eat at 19:30")
    here.ask("move_service", "ten minutes later")
    assert here.ask("when_eat").shown.startswith("We eat at 19:40")
    here.ask("move_service", "five minutes earlier please")
    assert here.ask("when_eat").shown.startswith("We eat at 19:35")


def test_dropping_a_dish_asks_first(here):
    reply = here.ask("drop_dish", "leave out the pears", dish("honey-pears"))
    assert reply.events == ()
    assert reply.question is not None
    meant = reply.question.choices[0][1]
    assert meant.by == "confirmed"


def test_another_cook_never_makes_it_later(here):
    before = here.live.snapshot().timetable.service_at
    here.ask("cook_joined", "my sister is helping")
    assert len(here.live.snapshot().kitchen.cooks) == 2
    assert here.live.snapshot().timetable.service_at <= before


def test_more_and_fewer_guests(here):
    assert here.ask("change_servings", "we are six").spoken.startswith("Now for 6.")
    assert here.ask("change_servings", "two more guests").spoken.startswith("Now for 8.")
    assert here.ask("change_servings", "three fewer people").spoken.startswith("Now for 5.")


def test_service_moved_far_away_leaves_the_cook_in_peace(here):
    now = here.clock.now()
    moved = Event(now, "service_moved", value=now + 6 * 3600)
    after = here.live.what_if(moved).after  # by the quick repair, which is what acts at first
    by_hand = [
        s for s in after.timetable.slots.values() if after.steps[s.key].attention == "hands-on"
    ]
    assert min(slot.start_at for slot in by_hand) > now + 4 * 3600

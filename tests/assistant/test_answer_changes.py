"""What changes the whole: service, guests, cooks, dishes."""

import pytest
from kitchen import dish, equipment, kitchen

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
    halves = here.ask("change_servings", "we are two and a half")
    assert (halves.spoken, halves.events) == ("For how many people?", ())


def test_service_moved_far_away_leaves_the_cook_in_peace(here):
    now = here.clock.now()
    moved = Event(now, "service_moved", value=now + 6 * 3600)
    after = here.live.what_if(moved).after  # by the quick repair, which is what acts at first
    by_hand = [
        s for s in after.timetable.slots.values() if after.steps[s.key].attention == "hands-on"
    ]
    assert min(slot.start_at for slot in by_hand) > now + 4 * 3600


def test_a_dish_of_the_shelf_is_added_once_that_is_confirmed(here):
    asked = here.ask("add_dish", "could you also make the warm plums")
    assert asked.events == ()
    assert asked.shown.startswith("Add Warm plums with crushed oat biscuits? We would eat at ")
    done = here.meant(asked.question.choices[0][1])
    assert done.shown == "Added: Warm plums with crushed oat biscuits."
    assert "warm-plums" in {dish.name for dish in here.live.snapshot().menu.dishes}


def test_a_dish_that_is_there_or_unknown_is_not_added(here):
    assert "in this menu already" in here.ask("add_dish", "add the rice", dish("white-rice")).spoken
    assert here.ask("add_dish", "add a dish").spoken.startswith("Which dish shall I add?")


def test_a_dish_left_out_comes_back(here):
    here.live.apply(Event(here.clock.now(), "dish_dropped", "honey-pears"))
    asked = here.ask("add_dish", "put the pears back in", dish("honey-pears"))
    here.meant(asked.question.choices[0][1])
    assert not here.live.snapshot().state.dropped


@pytest.mark.parametrize(
    ("text", "after_s"),
    [
        ("twenty minutes later", 1200),
        ("twenty minutes after the rest", 1200),
        ("ten minutes before the rest", -600),
        ("ten minutes earlier", -600),
        ("together with the rest", 0),
    ],
)
def test_one_dish_is_served_apart(here, text, after_s):
    reply = here.ask("serve_later", f"serve the pears {text}", dish("honey-pears"))
    assert [(e.kind, e.subject, e.value) for e in reply.events] == [
        ("course_moved", "honey-pears", after_s)
    ]


def test_later_adds_to_what_was_later_and_after_the_rest_does_not(here):
    here.ask("serve_later", "serve the pears ten minutes later", dish("honey-pears"))
    more = here.ask("serve_later", "serve the pears ten minutes later", dish("honey-pears"))
    assert more.shown.startswith("Served 20 min after the rest: ")
    same = here.ask(
        "serve_later", "serve the pears ten minutes after the rest", dish("honey-pears")
    )
    assert same.shown.startswith("Served 10 min after the rest: ")


def test_a_dish_is_served_at_a_time_of_day(here):
    here.ask("move_service", "let's eat at half past seven")
    reply = here.ask("serve_later", "serve the pears at eight", dish("honey-pears"))
    assert [event.value for event in reply.events] == [1800.0]


def test_what_is_missing_for_serving_apart_is_asked(here):
    assert (
        "How long" in here.ask("serve_later", "serve the pears later", dish("honey-pears")).spoken
    )
    assert "Which dish" in here.ask("serve_later", "serve it ten minutes later").spoken


def test_a_hot_oven_with_nothing_due_can_go_off(here):
    assert here.live.snapshot().state.steps["oven/heat the oven to 200"].status == "running"
    here.live.apply(Event(here.clock.now(), "dish_dropped", "honey-pears"))
    ten = Event(here.clock.now(), "service_moved", value=here.clock.now() + 4 * 3600)
    plan = here.live.what_if(ten, solve=True).after.timetable
    reply = here.ask("move_service", "let's eat at ten")
    # It takes 12 minutes from cold, so it goes on 12 minutes before the chicken goes in.
    roast_at = plan.slots["chicken-and-fennel/roast the chicken"].start_at
    due, on = (here.now().fromtimestamp(at) for at in (roast_at, roast_at - 12 * 60))
    assert reply.more_shown == (
        f"Nothing is due in the oven until {due:%H:%M}: "
        f"you can turn it off, and on again at {on:%H:%M}."
    )


def test_an_oven_that_is_needed_soon_stays_on(here):
    assert here.ask("move_service", "five minutes later").more_shown == ""


def test_a_burner_is_a_ring(here):
    rings = here.live.snapshot().kitchen.rings
    here.ask("equipment_lost", "one burner is broken")
    assert here.live.snapshot().kitchen.rings == rings - 1


@pytest.mark.parametrize(
    "text",
    ["can we eat at twenty to seven", "so could we eat at 18:40", "is dinner at 18:40 possible"],
)
def test_a_time_that_is_asked_about_is_not_moved_to(here, text):
    reply = here.ask("move_service", text)
    assert reply.shown.startswith("Not by 18:40. The earliest is 19:03.")
    assert not reply.events


def test_why_a_time_cannot_be_is_told_first_when_asked(here):
    reply = here.ask("move_service", "why can't we eat at twenty to seven")
    assert reply.shown.startswith("Not by 18:40. The earliest is 19:03. One after the other, ")
    assert not reply.events


@pytest.mark.parametrize("text", ["can we eat at eight instead", "could you move dinner to eight"])
def test_what_is_asked_for_is_done(here, text):
    assert here.ask("move_service", text).events


def test_a_time_that_cannot_be_is_told_with_the_earliest(here):
    reply = here.ask("move_service", "we eat at twenty to seven")
    assert reply.shown == "Service moves to 18:40, but the earliest is 19:03."
    assert here.ask("move_service", "we eat at twenty past seven").shown.endswith("to 19:20.")


def test_an_oven_that_only_heats_is_not_lost(here):
    reply = here.ask("equipment_lost", "the oven's heating", equipment("oven"))
    assert reply.spoken == "Can we no longer use the oven?"
    assert not reply.events


def test_an_oven_that_works_again_is_there_again(here):
    here.ask("equipment_lost", "the oven's gone off, it won't come back on", equipment("oven"))
    assert not here.live.snapshot().kitchen.ovens
    reply = here.ask("equipment_lost", "the oven works again", equipment("oven"))
    assert reply.spoken == "One oven more again. I am planning again."
    assert len(here.live.snapshot().kitchen.ovens) == 1


def test_a_bare_number_is_not_taken_for_guests(here):
    reply = here.ask("change_servings", "seventy four now")
    assert reply.spoken == "For 74 people from now on?"
    assert not reply.events


def test_a_cook_who_is_back_is_no_cook_who_left(here):
    here.ask("cook_joined", "my sister helps")
    reply = here.ask("cook_left", "she is back again")
    assert "3" in reply.shown or "Three" in reply.spoken

"""What is on now and next, from the live plan of a sample menu."""

import pytest
from kitchen import dish, kitchen, step


@pytest.fixture
def here():
    return kitchen()


def test_what_now_reads_the_step_in_hand(here):
    here.until("chicken-and-fennel/cut the fennel")
    assert here.ask("what_now").spoken.startswith("Cut the fennel into thick wedges")


def test_what_now_before_anything_is_by_hand_tells_the_wait(here):
    reply = here.ask("what_now")
    assert reply.spoken.startswith("Nothing for your hands for")
    assert "Cut the fennel" in reply.spoken


def test_next_changes_nothing(here):
    before = here.live.events()
    here.ask("what_next")
    here.ask("what_after_next")
    assert here.live.events() == before


def test_next_and_after_next_follow_the_plan(here):
    slots = list(here.live.snapshot().timetable.slots.values())
    waiting = [s for s in slots if here.live.snapshot().state.steps[s.key].status == "waiting"]
    first, second = (here.live.snapshot().steps[slot.key] for slot in waiting[:2])
    assert first.say in here.ask("what_next").spoken
    assert second.say in here.ask("what_after_next").spoken


def test_the_heat_lists_what_is_on_a_ring_with_time(here):
    here.until("white-rice/simmer the rice")
    here.wait(1)
    assert "simmer the rice, on a ring, 14 min left" in here.ask("whats_on_heat").shown


def test_a_gate_is_waited_for(here):
    here.until("white-rice/bring the rice to the boil")
    assert "until the rice boils" in here.ask("what_waiting").shown


def test_amounts_of_a_step_alone(here):
    reply = here.ask("step_amounts", "amounts", step("white-rice/start the rice"))
    assert reply.shown == "300 g long-grain white rice, 720 ml water, ½ tsp salt."


def test_full_step_tells_detail_caution_and_length(here):
    reply = here.ask("step_in_full", "in full", step("chicken-and-fennel/season the chicken"))
    assert "Wash hands, board and knife" in reply.spoken
    assert "It takes about" in reply.spoken


def test_by_ear_starts_with_sound():
    by_ear = kitchen(by_ear=True)
    reply = by_ear.ask("done_cue", "done?", step("white-rice/simmer the rice"))
    assert reply.spoken == "From bubbling to a faint ticking, then silence."
    by_eye = kitchen()
    reply = by_eye.ask("done_cue", "done?", step("white-rice/simmer the rice"))
    assert reply.spoken == "Small holes in the surface, no water between the grains."


def test_where_was_i_names_the_last_thing_done(here):
    here.until("chicken-and-fennel/season the chicken")
    assert "You last finished: cut the fennel" in here.ask("where_was_i").spoken


def test_how_far_a_dish_is_tells_what_is_done_and_what_is_not_and_does_nothing(here):
    here.until("chicken-and-fennel/season the chicken")
    before = here.live.events()
    told = here.ask("where_was_i", "have I done the chicken", dish("chicken-and-fennel")).spoken
    assert told.startswith("Done: cut the fennel. Under way: season the chicken. Still to do: put ")
    assert here.live.events() == before


def test_how_far_a_dish_is_that_nobody_has_begun(here):
    told = here.ask("where_was_i", "did I do the beans", dish("green-beans")).spoken
    assert told.startswith("Still to do: ")


def test_a_dish_named_is_the_step_under_way(here):
    here.until("white-rice/simmer the rice")
    assert "lowest heat" in here.ask("step_again", "rice", dish("white-rice")).spoken

"""The cook's own times: told, taken, and let go of; all from the next plan on."""

from dataclasses import replace

import pytest
from kitchen import dish, kitchen

from assistant.answer_learned import changed, in_use_line, lines, offered_line
from assistant.learning import NOTHING_LEARNED, Learned, Offer
from domain.errors import KitchenError

RICE = Offer("white-rice/rinse the rice", 120, 240, 200, 300, 5, 4)
PEARS = Offer("honey-pears/halve the pears", 300, 480, 400, 600, 3, 4)


@pytest.fixture
def here():
    return replace(kitchen(), learned=Learned((RICE, PEARS)))


def test_nothing_is_known_at_first():
    here = kitchen()
    for intent in ("learned", "use_learned"):
        assert here.ask(intent).spoken == "I have learned no times of yours yet."
    assert here.ask("written_times").spoken == "I plan with the written times."


def test_what_was_learned_is_told_with_what_it_rests_on(here):
    told = here.ask("learned", "what have you learned").shown
    assert "rinse the rice, 4 min, written 2 min, from 5 evenings" in told
    assert "halve the pears, 8 min, written 5 min, from 3 evenings" in told
    assert "say: use my times" in told
    assert here.learned == Learned((RICE, PEARS))


def test_times_are_taken_from_the_next_plan_on_and_let_go_again(here):
    before = here.live.snapshot().timetable
    taken = here.ask("use_learned", "use my times")
    assert taken.spoken == "Your own times hold from the next plan on."
    assert here.learned == Learned((), (RICE, PEARS))
    assert here.live.snapshot().timetable == before
    assert here.ask("use_learned", "use my times").spoken == "I plan with your own times already."
    gone = here.ask("written_times", "back to the written times")
    assert gone.spoken == "The written times hold again from the next plan on."
    assert here.learned == Learned((RICE, PEARS))


def test_of_a_dish_named_only_its_own_times_are_taken(here):
    here.ask("use_learned", "use my times for the rice", dish("white-rice"))
    assert here.learned == Learned((PEARS,), (RICE,))


def test_a_newer_time_takes_the_place_of_the_one_in_use():
    newer = replace(RICE, learned_s=300, count=6)
    here = replace(kitchen(), learned=Learned((newer,), (RICE,)))
    here.ask("use_learned")
    assert here.learned == Learned((), (newer,))


def test_lines_offer_what_was_learned_and_tell_what_is_in_use(here):
    menu = here.live.snapshot().menu
    assert offered_line(NOTHING_LEARNED, menu) == in_use_line(NOTHING_LEARNED, menu) == ""
    assert offered_line(Learned((RICE,)), menu) == (
        "Learned from your evenings: rinse the rice, 4 min, written 2 min, from 5 evenings. "
        "To plan with it, say: use my times."
    )
    assert in_use_line(Learned((), (RICE,)), menu).startswith("Planned with your own times: rinse")


def test_a_cook_of_several_is_named(here):
    hers = replace(RICE, cook="Wren")
    assert "rinse the rice by Wren, 4 min" in "".join(
        lines(Learned((hers,)), here.live.snapshot().menu)
    )


def test_the_command_accepts_and_forgets_by_key_or_all():
    own = Learned((RICE, PEARS))
    assert changed(own, RICE.key, None) == Learned((PEARS,), (RICE,))
    assert changed(own, "all", None) == Learned((), (RICE, PEARS))
    assert changed(Learned((), (RICE, PEARS)), None, "all") == Learned((RICE, PEARS))
    with pytest.raises(KitchenError, match="white-rice/rinse the rice"):
        changed(own, "white-rice/polish the rice", None)

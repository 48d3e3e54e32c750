"""What steps really took, told from events, and the times that this suggests."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.kitchen import Kitchen
from domain.menu import Dish, Duration, Follow, Gate, Menu, Step
from scheduling.clock import SimulatedClock
from scheduling.events import Event
from scheduling.learned import Cooked, Offer, cooked, offers, with_learned
from scheduling.live_schedule import LiveSchedule, MemoryStore

NOON = 1_700_000_000.0


def step(name: str, *times: int, attention="hands-on", after: str = "", gate=None) -> Step:
    low, likely, high = times
    follows = (Follow(f"soup/{after}"),) if after else ()
    return Step(
        name, "soup", "Do.", Duration(likely, low, high), attention, follows=follows, gate=gate
    )


CHOP = step("chop", 240, 300, 360)
BOIL = step(
    "boil", 480, 600, 780, attention="unattended", after="chop", gate=Gate("end", "it boils")
)
SIMMER = step("simmer", 1200, 1200, 1500, attention="unattended", after="boil")
SERVE = step("serve", 60, 60, 60, after="simmer")
SOUP = Dish("soup", "Soup", 4, 600, (), (CHOP, BOIL, SIMMER, SERVE))
MENU = Menu("soup-night", "Soup night", 4, (SOUP,))


def told(*events: tuple) -> dict[str, float | None]:
    """(seconds after noon, kind, step's name, and optionally value and "clock")."""
    made = [
        Event(
            NOON + at,
            kind,
            f"soup/{name}" if name else "",
            value=next((x for x in rest if not isinstance(x, str)), None),
            by="clock" if "clock" in rest else "cook",
            seq=n + 1,
        )
        for n, (at, kind, name, *rest) in enumerate([(0, "cook_started", ""), *events])
    ]
    return cooked(MENU, made).took


def test_both_ends_told_is_a_time() -> None:
    assert told((10, "began", "chop"), (400, "finished", "chop")) == {"soup/chop": 390}


def test_a_gate_that_was_seen_ends_the_step() -> None:
    took = told((0, "began", "boil"), (700, "gate_seen", "boil"))
    assert took["soup/boil"] == 700


def test_the_clock_begins_it_where_the_cook_told_of_the_step_before() -> None:
    took = told(
        (10, "began", "chop", "clock"),
        (400, "finished", "chop"),
        (400, "began", "boil", "clock"),
        (1000, "gate_seen", "boil"),
    )
    assert took == {"soup/chop": None, "soup/boil": 600}


def test_what_a_later_step_ended_was_not_told() -> None:
    took = told((0, "began", "chop"), (800, "began", "boil"))
    assert took == {"soup/chop": None}


def test_the_clocks_end_counts_once_confirmed_or_lengthened() -> None:
    begun = (0, "began", "simmer")
    ended = (1200, "finished", "simmer", "clock")
    assert told(begun, ended)["soup/simmer"] is None
    assert told(begun, ended, (1260, "finished", "simmer"))["soup/simmer"] == 1200
    longer = (1100, "longer", "simmer", 240)
    late = (1440, "finished", "simmer", "clock")
    assert told(begun, longer, late)["soup/simmer"] == 1440
    # Given longer, then ended by what the cook did next: when it was over was never told.
    assert told(begun, longer, (1600, "began", "serve"))["soup/simmer"] is None


def test_hands_stand_still_in_a_pause_and_pots_do_not() -> None:
    pause = (100, "paused", ""), (250, "resumed", "")
    chop = told((0, "began", "chop"), *pause, (450, "finished", "chop"))
    boil = told((0, "began", "boil"), *pause, (450, "gate_seen", "boil"))
    assert (chop["soup/chop"], boil["soup/boil"]) == (300, 450)


def test_what_was_taken_back_never_was() -> None:
    took = told(
        (0, "began", "chop"), (100, "finished", "chop"), (110, "undone", "", 3)
    )  # the third event is "finished"
    assert took == {}


def evenings(key: str, *times: float | None, servings: int = 4, menu: Menu = MENU) -> list[Cooked]:
    return [Cooked(menu, servings, {f"soup/{key}": time}) for time in times]


def test_an_offer_is_the_median_drawn_towards_the_written_time() -> None:
    """Median 600 of three against 300 written, which counts as two: (1800 + 600) / 5 = 480."""
    (offer,) = offers(MENU, evenings("chop", 590, 600, 620))
    spread = 2 * 1.4826 * 10
    assert offer == Offer(
        "soup/chop",
        300,
        480,
        10 * round((3 * (600 - spread) + 2 * 240) / 50),
        10 * round((3 * (600 + spread) + 2 * 360) / 50),
        3,
        4,
    )


def test_one_odd_evening_changes_little() -> None:
    (plain,) = offers(MENU, evenings("chop", 590, 600, 600, 610, 620))
    (odd,) = offers(MENU, evenings("chop", 590, 600, 600, 610, 1400))
    assert odd.learned_s == plain.learned_s
    assert odd.high_s - plain.high_s <= 20


@pytest.mark.parametrize(
    "times",
    [
        (600, 600),  # too few
        (330, 340, 335),  # too little a difference
        (600, 600, 600, None, None, None, None),  # mostly nothing was said
        (5, 5, 600, 9000),  # told two at once, or hours late
    ],
)
def test_no_offer_where_nothing_is_known_well(times) -> None:
    assert offers(MENU, evenings("chop", *times)) == []


def test_only_the_same_step_for_as_many_people_counts() -> None:
    assert offers(MENU, evenings("chop", 600, 600, 600, servings=8)) == []
    finer = replace(CHOP, say="Chop finely.")
    other = replace(MENU, dishes=(replace(SOUP, steps=(finer, BOIL, SIMMER, SERVE)),))
    assert offers(MENU, evenings("chop", 600, 600, 600, menu=other)) == []
    learned = replace(CHOP, duration=Duration(400, 300, 500))
    planned = replace(MENU, dishes=(replace(SOUP, steps=(learned, BOIL, SIMMER, SERVE)),))
    assert len(offers(MENU, evenings("chop", 600, 600, 600, menu=planned))) == 1


def test_what_cooks_by_the_clock_is_never_offered_shorter_than_written() -> None:
    assert offers(MENU, evenings("simmer", 600, 600, 600)) == []
    (longer,) = offers(MENU, evenings("simmer", 1500, 1500, 1500))
    assert longer.learned_s == 1380
    assert longer.low_s >= 1200
    (seen,) = offers(MENU, evenings("boil", 300, 300, 300))  # that is over when it boils
    assert seen.learned_s == 420


def test_the_last_ten_cooks_count() -> None:
    (offer,) = offers(MENU, evenings("chop", *[300.0] * 10, *[600.0] * 10))
    assert (offer.count, offer.learned_s) == (10, 550)


def test_what_is_in_use_already_is_not_offered_again() -> None:
    cooks = evenings("chop", 600, 600, 600)
    (offer,) = offers(MENU, cooks)
    assert offers(MENU, cooks, [offer]) == []
    assert len(offers(MENU, cooks, [replace(offer, learned_s=300, low_s=240)])) == 1


def test_accepted_times_hold_for_the_same_people_and_words() -> None:
    offer = Offer("soup/chop", 300, 480, 400, 520, 3, 4)
    assert with_learned(MENU, [offer]).step("soup/chop").duration == Duration(480, 400, 520)
    assert with_learned(MENU, [replace(offer, servings=6)]) == MENU
    assert with_learned(MENU, [replace(offer, written_s=310)]) == MENU
    assert with_learned(MENU, [replace(offer, key="soup/gone")]) == MENU


@given(st.lists(st.none() | st.floats(1, 20_000), max_size=15), st.sampled_from(SOUP.steps))
def test_an_offer_can_always_be_planned_with(times, one) -> None:
    for offer in offers(MENU, evenings(one.name, *times)):
        assert 0 < offer.low_s <= offer.learned_s <= offer.high_s
        told_times = [time for time in times[-10:] if time is not None]
        assert 3 <= offer.count <= len(told_times)
        ends = (*told_times, one.duration.likely_s)
        assert min(ends) - 10 <= offer.learned_s <= max(ends) + 10


def by(name: str, took_s: float) -> Cooked:
    return Cooked(MENU, 4, {"soup/chop": took_s}, {"soup/chop": name})


def test_who_did_a_step_is_told_by_its_beginning() -> None:
    began = Event(NOON, "began", "soup/chop", note="Wren", seq=1)
    made = cooked(MENU, [began, Event(NOON + 400, "finished", "soup/chop", seq=2)])
    assert made.by == {"soup/chop": "Wren"}


def test_several_cooks_are_each_offered_their_own_time() -> None:
    evenings = [by("Wren", 600)] * 3 + [by("Ash", 300)] * 3
    # Three of 600 s against the written 300 s that counts as two: (1800 + 600) / 5 = 480.
    (offer,) = offers(MENU, evenings, names=("Wren", "Ash"))
    assert (offer.cook, offer.learned_s, offer.count) == ("Wren", 480, 3)
    # Alone in a kitchen it is whoever cooked: six evenings, median 450, (2700 + 600) / 8 = 410.
    (together,) = offers(MENU, evenings)
    assert (together.cook, together.learned_s, together.count) == ("", 410, 6)


def test_too_few_evenings_of_a_cook_s_own_make_no_offer() -> None:
    assert offers(MENU, [by("Wren", 600)] * 2 + [by("Ash", 600)], names=("Wren", "Ash")) == []


def test_of_several_cooks_times_the_longest_is_planned_with() -> None:
    his = Offer("soup/chop", 300, 360, 300, 420, 3, 4, "Ash")
    hers = Offer("soup/chop", 300, 480, 400, 600, 3, 4, "Wren")

    def chop_s(*names: str) -> int:
        return with_learned(MENU, (hers, his), names).step("soup/chop").duration.likely_s

    assert (chop_s("Wren", "Ash"), chop_s("Ash"), chop_s()) == (480, 360, 300)


@pytest.mark.parametrize("cooks", [("Wren", "Ash"), ("Wren",)])
def test_beginnings_tell_by_whom_only_where_there_are_several(cooks) -> None:
    kitchen = Kitchen("hut", "The hut", 2, (), {}, cooks)
    stew = Dish("stew", "Stew", 4, 600, (), (replace(CHOP, dish="stew"),))
    clock = SimulatedClock(NOON)
    live = LiveSchedule(Menu("two", "Two", 4, (SOUP, stew)), kitchen, clock, MemoryStore())
    live.apply(Event(NOON, "cook_started"))
    live.apply(Event(NOON, "began", "soup/chop"))
    live.tick()
    noted = {event.subject: event.note for event in live.events() if event.kind == "began"}
    assert noted["soup/chop"] in (cooks if len(cooks) > 1 else ("",))

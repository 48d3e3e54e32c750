"""Past cooks' journals teach times; nothing is planned with that was not accepted."""

from dataclasses import replace
from pathlib import Path

import pytest

from assistant.journal import Journal
from assistant.learning import (
    Learned,
    Offer,
    accept,
    accepted,
    fitting,
    forget,
    keep,
    offers,
    with_learned,
)
from domain.errors import FileProblem
from domain.kitchen import Kitchen, Oven
from domain.menu import Dish, Duration, Menu, Step
from scheduling.clock import Anchor, SimulatedClock
from scheduling.events import Event
from scheduling.live_schedule import LiveSchedule
from scheduling.queries import finished

NOON = 1_700_000_000.0
CUT = Step("cut", "roots", "Cut the roots.", Duration(300, 240, 360), "hands-on")
ROOTS = Dish("roots", "Roots", 2, 600, (), (CUT,))
MENU = Menu("root-night", "Root night", 2, (ROOTS,))
KITCHEN = Kitchen("hut", "The hut", 2, (Oven("oven", 2, 600, 60),), {}, ("cook",))


def evening(folder: Path, day: int, took_s: float, menu: Menu = MENU, ended: bool = True) -> None:
    """One cook, kept by the real journal and the real live schedule."""
    start = NOON + day * 86_400
    clock = SimulatedClock(start)
    journal = Journal.create(menu, KITCHEN, Anchor(start, 0.0, "a boot"), folder)
    live = LiveSchedule(menu, KITCHEN, clock, journal)
    live.apply(Event(start, "cook_started"))
    live.apply(Event(start, "began", "roots/cut"))
    clock.advance(took_s)
    live.apply(Event(clock.now(), "finished", "roots/cut"))
    assert finished(live.snapshot())
    if ended:
        journal.end(clock.now())
    journal.close()


def test_finished_cooks_of_any_menu_with_the_dish_make_an_offer(tmp_path: Path) -> None:
    other = Menu("sunday", "Sunday", 2, (ROOTS,))
    evening(tmp_path, 0, 580)
    evening(tmp_path, 1, 600, menu=other)
    assert offers(MENU, tmp_path) == ()
    evening(tmp_path, 2, 640)
    (offer,) = offers(MENU, tmp_path)
    assert (offer.key, offer.written_s, offer.learned_s, offer.count) == ("roots/cut", 300, 480, 3)
    assert offer.low_s < offer.learned_s < offer.high_s


def test_a_cook_that_goes_on_or_cannot_be_read_teaches_nothing(tmp_path: Path) -> None:
    for day in range(2):
        evening(tmp_path, day, 600)
    evening(tmp_path, 2, 600, ended=False)
    (tmp_path / "0001700900000.000~root-night.sqlite").write_bytes(b"no cook" * 400)
    assert offers(MENU, tmp_path) == ()
    evening(tmp_path, 3, 600)
    assert len(offers(MENU, tmp_path)) == 1


def test_nothing_is_learned_where_there_is_nothing(tmp_path: Path) -> None:
    assert offers(MENU, tmp_path / "none") == ()
    assert accepted(tmp_path / "learned.json") == ()


def test_an_offer_changes_nothing_until_accepted_and_can_be_forgotten(tmp_path: Path) -> None:
    cooks, file = tmp_path / "cooks", tmp_path / "own" / "learned.json"
    for day in range(3):
        evening(cooks, day, 600)
    (offer,) = offers(MENU, cooks)
    assert with_learned(MENU, accepted(file)) == MENU
    accept(offer, file)
    assert with_learned(MENU, accepted(file)).step("roots/cut").duration.likely_s == 480
    assert offers(MENU, cooks, accepted(file)) == ()
    for_six = Offer("roots/cut", 300, 900, 800, 1000, 4, 6)
    accept(for_six, file)
    newer = Offer("roots/cut", 300, 500, 450, 600, 5, 2)
    accept(newer, file)
    assert set(accepted(file)) == {for_six, newer}
    forget(newer, file)
    assert accepted(file) == (for_six,)


@pytest.mark.parametrize(
    "text",
    [
        "not json",
        '[{"key": "roots/cut"}]',
        '[{"key": "roots/cut", "written_s": 300, "learned_s": 400, "low_s": 500, "high_s": 600,'
        ' "count": 3, "servings": 2}]',
    ],
)
def test_a_file_that_was_spoilt_says_so(tmp_path: Path, text: str) -> None:
    file = tmp_path / "learned.json"
    file.write_text(text)
    with pytest.raises(FileProblem, match="delete it"):
        accepted(file)


def test_what_cannot_be_written_says_so(tmp_path: Path) -> None:
    (tmp_path / "own").write_text("a file where the folder should be")
    with pytest.raises(FileProblem):
        accept(Offer("roots/cut", 300, 400, 300, 500, 3, 2), tmp_path / "own" / "learned.json")


def test_keeping_what_changed_leaves_other_menus_times_alone(tmp_path: Path) -> None:
    file = tmp_path / "learned.json"
    other = Offer("soup/chop", 300, 400, 300, 500, 3, 4)
    mine = Offer("roots/cut", 300, 480, 400, 600, 3, 2)
    accept(other, file)
    keep(Learned((mine,)), Learned((), (mine,)), file)
    assert set(accepted(file)) == {other, mine}
    assert fitting(MENU, accepted(file), ("cook",)) == (mine,)
    keep(Learned((), (mine,)), Learned((mine,)), file)
    assert accepted(file) == (other,)


def test_times_fit_only_what_is_still_written_and_whoever_cooks_here() -> None:
    mine = Offer("roots/cut", 300, 480, 400, 600, 3, 2)
    others = (replace(mine, written_s=200), replace(mine, servings=6), replace(mine, cook="Wren"))
    assert fitting(MENU, (mine, *others), ("cook",)) == (mine,)

"""A step told in each of its ways."""

from domain.menu import Duration, Step, Use, Way

FRY = Step(
    "fry",
    "fish",
    "Fry it.",
    Duration(300, 240, 360),
    "watched",
    (Use("ring"),),
    ways=(Way("in the oven", "Roast it.", Duration(900, 900, 900), "unattended"),),
)


def test_a_step_is_told_as_it_is_done() -> None:
    roast = FRY.done_by("in the oven")
    assert (roast.key, roast.way, roast.say) == ("fish/fry", "in the oven", "Roast it.")
    assert (roast.duration.likely_s, roast.attention, roast.uses) == (900, "unattended", ())
    assert FRY.in_all_ways() == (FRY, roast)


def test_the_way_first_written_leaves_it_as_it_is() -> None:
    assert FRY.done_by("") is FRY
    assert FRY.done_by("in the oven").done_by("in the oven") == FRY.done_by("in the oven")


def test_an_unknown_way_leaves_it_as_it_is() -> None:
    assert FRY.done_by("by post") is FRY

"""Substitutions as amounts."""

import pytest

from domain.errors import FileProblem
from domain.swaps import Part, _part, swap_index, swaps
from domain.yamlfile import parse


@pytest.mark.parametrize(
    ("written", "part"),
    [
        ("1 tbsp flaxseed", Part(1, "us_tablespoon", "flaxseed")),
        ("1 1/4 cup sugar", Part(1.25, "us_cup", "sugar")),
        ("5/8 tsp cream of tartar", Part(0.625, "us_teaspoon", "cream of tartar")),
        ("2 egg white", Part(2, "", "egg white")),
        ("1 small onion", Part(1, "", "small onion")),
        ("milk to make 1 cup", Part(1, "us_cup", "milk", fills=True)),
    ],
)
def test_amounts_as_written(written, part):
    assert _part(parse(f"- {written}", "t.yaml").items()[0]) == part


def test_no_amount_is_refused():
    with pytest.raises(FileProblem, match="not an amount"):
        _part(parse("- some milk", "t.yaml").items()[0])


def test_times_keeps_the_ratio():
    assert Part(1, "us_cup", "milk", fills=True).times(2) == Part(2, "us_cup", "milk", fills=True)


def test_every_swap_is_found_by_its_own_food():
    for swap in swaps():
        (match,) = swap_index().within(swap.of.food)
        assert swap in match.rows

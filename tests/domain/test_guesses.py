"""A dish file tells its own guesses, and a slip in them is told with its line."""

import pytest

from domain.dish_file import dish_of
from domain.errors import FileProblem
from domain.menu import Guess
from domain.yamlfile import parse

DRAFT = """
title: Pier soup
serves: 4
guessed: {serves: the recipe does not say, hold: usual for what is hot}
ingredients:
  leeks: {amount: 2, written: "2 fat leeks", guessed: {amount: it was hard to read}}
  water: 1 litre
steps:
  boil:
    say: Boil it.
    takes: 10 min
    attention: watched
    guessed:
      takes: no time is said
      attention: usual for “boil”
unread: [the last line]
"""


def test_every_guess_is_there_with_its_reason():
    dish = dish_of(parse(DRAFT, "soup.yaml"), "soup")
    assert dish.guesses == (
        Guess("", "serves", "the recipe does not say"),
        Guess("", "hold", "usual for what is hot"),
        Guess("leeks", "amount", "it was hard to read"),
        Guess("boil", "takes", "no time is said"),
        Guess("boil", "attention", "usual for “boil”"),
    )
    assert dish.unread == ("the last line",)
    assert dish.ingredients[0].written == "2 fat leeks"


def test_a_dish_without_them_is_no_draft():
    plain = "\n".join(line for line in DRAFT.splitlines() if "guessed" not in line)
    plain = plain.replace("      takes: no time is said\n", "")
    plain = plain.replace("      attention: usual for “boil”\n", "")
    plain += "\n"
    assert (
        dish_of(
            parse(plain.replace("ingredients:\n", "ingredients:\n  salt: 1 tsp\n"), "x"), "x"
        ).guesses
        == ()
    )


@pytest.mark.parametrize(
    ("field", "line", "place"),
    [
        ("takes: no time", 13, "steps.boil.guessed.time"),
        ("serves: the recipe", 4, "guessed.time"),
    ],
)
def test_a_guess_about_no_field_is_told_with_its_line(field, line, place):
    slip = DRAFT.replace(field, "time: " + field.partition(": ")[2], 1)
    with pytest.raises(FileProblem) as caught:
        dish_of(parse(slip, "soup.yaml"), "soup")
    assert caught.value.field == place
    assert caught.value.line == line + (1 if "steps" in place else 0)
    assert "delete the line" in caught.value.remedy

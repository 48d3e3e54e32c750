"""The guesses in a dish file: values that nobody has written or checked yet.

A dish, a step or an ingredient may say which of its fields are a guess, and what from:

steps:
  fry the onions:
    say: Fry the onions until golden.
    takes: 5-8 min
    attention: watched
    guessed:
      takes: no time is said; usual for “fry”
      attention: usual for “fry”

Whoever has checked a value deletes its line. A dish without guesses is a draft no more.
"""

from collections.abc import Iterator, Mapping

from domain.menu import Guess
from domain.yamlfile import Entry, suggestion


def all_guesses(dish: Mapping[str, Entry]) -> Iterator[Guess]:
    """What a dish file says is guessed, of the dish, then its ingredients, then its steps.

    Raises FileProblem for what is no field there.
    """
    yield from _guesses(dish, besides=("hold", "measures", "ahead"))
    for name, entry in dish["ingredients"].pairs().items():
        if entry.kind == "fields":
            yield from _guesses(entry.pairs(), name, besides=("name",))
    for name, entry in dish["steps"].pairs().items():
        yield from _guesses(entry.pairs(), name, besides=("uses", "after"))


def _guesses(
    found: Mapping[str, Entry], where: str = "", besides: tuple[str, ...] = ()
) -> Iterator[Guess]:
    """Of one record. besides: what may be guessed though the record has no such field."""
    if "guessed" not in found:
        return
    known = [*(name for name in found if name != "guessed"), *besides]
    for field, entry in found["guessed"].pairs().items():
        if field not in known:
            remedy = f"{suggestion(field, known)} or delete the line"
            raise entry.problem(f"there is no “{field}” here to be guessed", remedy)
        yield Guess(where, field, entry.text())

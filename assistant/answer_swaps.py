"""What to use instead of an ingredient: scaled to the amount asked for, and what it changes."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from assistant.answer_allergens import allergen_names
from assistant.figures import asked_about, food, joined, named_foods, short, sources_of
from assistant.measures import amount, capital, measures_of
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from domain.errors import ImpossibleAmount, KitchenError
from domain.ingredients import foods_in, shows
from domain.names import canonical
from domain.swaps import Part, Swap, swap_index
from domain.units import convert, everyday, refuse_impossible, unit

_NO_SWAP = "I have no swap for that which I can vouch for."
# "swap butter for oil", "oil instead of butter", "substitute oil for butter".
_PAIRS = tuple(
    re.compile(words)
    for words in (
        r"\b(?:substitut\w+|sub) (?P<new>.+?) (?:for|in place of|instead of) (?P<old>.+)",
        r"\b(?:swap|replac\w+|exchange|trade|change) (?P<old>.+?) (?:for|with|by|to) (?P<new>.+)",
        r"(?P<new>.+?) (?:instead of|in place of|rather than) (?P<old>.+)",
        r"\binstead of (?P<old>.+?) (?:use|put|take|have|add) (?P<new>.+)",
    )
)


def answer_swap(ask: Understood, scene: Scene) -> Reply:
    """What to use instead, scaled to the amount asked for, and what changes."""
    old, new = _pair(ask.text)
    found = tuple(match for match in swap_index().within(old) if not _another_food(match.name, old))
    for name in () if found else named_foods(ask, scene):
        found = (*found, *swap_index().within(name))
    name = asked_about(old)
    found = found or swap_index().find(name)
    if not found:
        return _none_known(name, new)
    rows = found[0].rows
    if new and not any(_purpose_named(row, new) for row in rows):
        fitting = [row for row in rows if _uses(row, new)]
        if not fitting:
            return _other_than(new, found[0].name, rows, ask, scene)
        rows = (*fitting, *(row for row in rows if row not in fitting))
    return _told(rows, ask, scene)


def _another_food(name: str, text: str) -> bool:
    """Whether the name is only a part of another food's: "milk" of "coconut milk"."""
    words = set(name.split())
    longer = [food for food in foods_in(text) if words < set(canonical(food))]
    return any(shows(food).animal != shows(name).animal for food in longer)


def _pair(text: str) -> tuple[str, str]:
    """What is to be replaced, and by what: ("butter", "oil"); "" where that is asked."""
    wording = text.lower().strip(" ?.!")
    for pattern in _PAIRS:
        match = pattern.search(wording)
        if match and asked_about(match["new"]) and asked_about(match["old"]):
            return match["old"], asked_about(match["new"])
    return text, ""


def _uses(row: Swap, new: str) -> bool:
    wanted = set(new.split())
    return any(wanted <= set(canonical(part.food)) for part in row.use)


def _none_known(name: str, new: str) -> Reply:
    known = swap_index().nearest(name)
    near = f"I do have one for {joined(known)}." if known else ""
    line = f"I have no swap for {name} that I can vouch for."
    if new:
        line = f"I have no figure for {new} in place of {name}."
    return Reply(line if name and short(line) else _NO_SWAP, more=near)


def _other_than(new: str, old: str, rows: Sequence[Swap], ask: Understood, scene: Scene) -> Reply:
    """That the swap asked for is not known, and what is."""
    line = f"I have no figure for {new} in place of {old}."
    known = _told(rows, ask, scene)
    spoken = f"{line if short(line) else _NO_SWAP} I do know another."
    return Reply(f"{spoken} {known.spoken}", f"{spoken} {known.shown}", known.more)


def _told(rows: Sequence[Swap], ask: Understood, scene: Scene) -> Reply:
    """The row that fits best, scaled; the others under more."""
    first = next((row for row in rows if _purpose_named(row, ask.text)), rows[0])
    others = [row for row in rows if row is not first]
    try:
        scale = _scale(first, ask, scene)
    except ImpossibleAmount as error:
        return Reply(f"{capital(str(error))}.")
    sentences = [*_swap_sentences(first, scale, scene), first.then, first.changes]
    sentences += [*_brings(first, scene), f"By {first.source.short}."]
    spoken = " ".join(filter(None, sentences))
    more = " ".join(" ".join(_swap_sentences(row, scale, scene)) for row in others)
    return Reply(spoken, f"{spoken}\n{sources_of([first.source])}", more)


def _purpose_named(row: Swap, text: str) -> bool:
    """Whether the question says what it is for: "to bind", "for moisture", "to lift"."""
    stem = row.purpose.split(",")[0].split(" ")[0].removesuffix("ing")[:6]
    return len(stem) > 3 and stem in text.lower()


@dataclass(frozen=True)
class _Scale:
    """How a swap is told: times its amounts, cups in the unit of what was asked for."""

    factor: float = 1.0
    cups_in: str = ""


def _scale(row: Swap, ask: Understood, scene: Scene) -> _Scale:
    """How many times the row's amount was asked for; once where that cannot be told.

    A cup or spoon asked for is the row's own, whichever country's: a swap is a ratio.
    Raises ImpossibleAmount.
    """
    said = next((a for a in ask.amounts if isinstance(a.value, int | float)), None)
    if said is None or said.kind not in ("mass", "volume", "count"):
        return _Scale()
    value = float(said.value or 0)
    here = (said.unit or "").replace(" ", "_")
    refuse_impossible(value, here or "piece")
    if here == everyday(row.of.unit):
        return _Scale(value / row.of.value)
    try:
        asked = convert(
            value,
            said.unit or "piece",
            row.of.unit or "piece",
            measures=measures_of(scene),
            ingredient=row.of.food,
        )
    except KitchenError:
        return _Scale()
    return _Scale(asked.value / row.of.value, "" if here in ("", "cup") else unit(here))


def _brings(row: Swap, scene: Scene) -> list[str]:
    """The allergens that come in with the swap, or can, and were not there before."""
    told = set(allergen_names(scene)) - shows(row.of.food).contains
    parts = [shows(part.food) for part in row.use]
    holds = sorted(told & {name for part in parts for name in part.contains})
    often = sorted(told & {name for part in parts for name in part.check} - set(holds))
    sentences = [f"It brings in {joined(holds)}."] if holds else []
    return [*sentences, f"It can bring in {joined(often)}."] if often else sentences


def _swap_sentences(row: Swap, scale: _Scale, scene: Scene) -> list[str]:
    """ "One tablespoon of flaxseed and three of water." "That replaces one egg, for binding." """
    use = [_part(part, scale, scene) for part in row.use]
    whole = f"{capital(joined(use))}."
    goal = f", for {row.purpose}" if row.purpose else ""
    replaces = f"That replaces {_part(row.of, scale, scene)}{goal}."
    if short(whole) or len(use) == 1:
        return [whole, replaces]
    return [f"{capital(use[0])}.", f"With it, {joined(use[1:])}.", replaces]


def _part(part: Part, scale: _Scale, scene: Scene) -> str:
    name = food(part.food, scene)
    value, here = part.value * scale.factor, part.unit
    if scale.cups_in and here == "us_cup":
        try:
            value, here = _weighed(value, here, scale.cups_in, part.food)
        except KitchenError:
            here = part.unit  # no weight on file: the cup stays
    if part.fills:
        return f"{name} to make {amount(value, here)}"
    if here:
        return f"{amount(value, here)} of {name}"
    plural = value > 1 and not name.endswith("s")
    return f"{amount(value, '')} {name}{'s' if plural else ''}"


def _weighed(value: float, here: str, target: str, ingredient: str) -> tuple[float, str]:
    done = convert(value, here, target, ingredient=ingredient)
    return done.value, done.unit

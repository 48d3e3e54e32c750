"""Our cautions for the steps of a draft: the published ones of domain/tables, each said once."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from assistant.figures import fresh_beans
from assistant.ingredient_line import Line
from assistant.recipe_stove import Guessed
from domain.ingredients import shows
from domain.names import Index, Row, canonical
from domain.recipe_words import recipe_words, verb_of
from domain.tables import Caution, SafeTemperature, caution_index, safe_temperature_index

_FLESH = frozenset(("meat", "pork", "fish", "shellfish"))
_READY = frozenset(("tin", "tinned", "can", "canned", "cooked", "smoked", "jar", "jarred"))
_NO_PULSE = re.compile(r"\b(?:vanilla|coffee|cocoa|jelly) beans?\b", re.IGNORECASE)


def with_cautions(steps: Sequence[Guessed], lines: Iterable[Line]) -> tuple[Guessed, ...]:
    """The steps with what can hurt in them, said where it is first met.

    The least inside temperature of raw meat and fish is said with the last step that cooks.
    """
    raw = {line.name: line for line in lines if not _is_ready(line)}
    told: set[str] = set()
    out = []
    for step in steps:
        new = [row.say for row in _called_for(step, raw) if row.name not in told]
        told |= {row.name for row in _called_for(step, raw)}
        out.append(replace(step, cautions=_joined(step.cautions, new)))
    for foods, caution in _temperatures(raw):
        at = _last_cooking(out, foods)
        out[at] = replace(out[at], cautions=_joined(out[at].cautions, [caution]))
    return tuple(out)


def _last_cooking(steps: Sequence[Guessed], foods: Sequence[str]) -> int:
    """The step that ends the cooking of these foods: the last long one in a vessel of theirs.

    Long: at least half of the longest, so that no gravy afterwards counts.
    """
    vessels = {step.vessel for step in steps if set(foods) & set(step.ingredients)}
    hot = [at for at, step in enumerate(steps) if step.place in ("ring", "oven")]
    own = [at for at in hot if steps[at].vessel in vessels] or hot or [len(steps) - 1]
    longest = max(steps[at].high_s for at in own)
    return [at for at in own if 2 * steps[at].high_s >= longest][-1]


def _joined(own: Sequence[str], new: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*own, *new)))


def _called_for(step: Guessed, raw: dict[str, Line]) -> Iterator[Caution]:
    """By the ingredients that it handles, and by what it does ("fry")."""
    foods = [name for name in step.ingredients if name in raw and not _harmless_bean(name)]
    rows = [row for name in foods for row in _of(caution_index(), name)]
    rows += [
        row
        for match in caution_index().within(step.say)
        if verb_of(match.name.split()[-1])
        for row in match.rows
    ]
    for row in dict.fromkeys(rows):
        if row.source.status == "published":
            yield row


def _of(index: Index[Row], name: str) -> Iterator[Row]:
    """The rows about a food; none for what is only made of it: chicken stock is no chicken."""
    if canonical(name)[-1:] and canonical(name)[-1] not in recipe_words().made_of:
        for match in index.within(name):
            yield from match.rows


def _is_ready(line: Line) -> bool:
    """By its name and its tin alone: "8 chicken thighs (you can use drumsticks)" are raw."""
    return bool(_READY & set(canonical(f"{line.name} {line.amount}")))


def _harmless_bean(name: str) -> bool:
    return bool(fresh_beans(name) or _NO_PULSE.search(name))


def _temperatures(raw: dict[str, Line]) -> Iterator[tuple[list[str], str]]:
    """The foods that have a least inside temperature, and the strictest published one."""
    found: dict[str, list[SafeTemperature]] = {}
    for name in raw:
        if not shows(name).animal & _FLESH:
            continue
        for row in _of(safe_temperature_index(), name):
            if row.audience == "home":
                found.setdefault(name, []).append(row)
    strictest = {
        name: max(rows, key=lambda row: (row.celsius, row.hold_s)) for name, rows in found.items()
    }
    for row in dict.fromkeys(strictest.values()):
        foods = [name for name, own in strictest.items() if own is row]
        reads = f"{row.celsius:.0f} °C, {row.fahrenheit:.0f} °F"
        yield (
            foods,
            (
                f"Cooked when the thickest part of the {' and '.join(foods)} reads {reads}"
                f" ({row.source.short})."
            ),
        )

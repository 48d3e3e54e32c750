"""Our cautions for the steps of a draft: the published ones of domain/tables, each said once."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from assistant.ingredient_line import Line
from assistant.recipe_stove import Guessed
from domain.ingredients import shows
from domain.names import Index, Match, Row, canonical
from domain.recipe_words import verb_of
from domain.tables import Caution, SafeTemperature, caution_index, safe_temperature_index

_FLESH = frozenset(("meat", "pork", "fish", "shellfish"))
_READY = frozenset(("tin", "tinned", "can", "canned", "cooked", "smoked", "jar", "jarred"))


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
    cooking = [at for at, step in enumerate(out) if step.heated] or [len(out) - 1]
    last = out[cooking[-1]]
    out[cooking[-1]] = replace(last, cautions=_joined(last.cautions, _temperatures(raw)))
    return tuple(out)


def _joined(own: Sequence[str], new: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*own, *new)))


def _called_for(step: Guessed, raw: dict[str, Line]) -> Iterator[Caution]:
    """By the ingredients that it handles, and by what it does ("fry")."""
    rows = [row for name in step.ingredients if name in raw for row in _of(caution_index(), name)]
    rows += [
        row
        for match in caution_index().within(step.say)
        if verb_of(match.name.split()[-1])
        for row in match.rows
    ]
    for row in dict.fromkeys(rows):
        dried = row.name != "dried kidney beans" or any(map(_is_dried, raw.values()))
        if row.source.status == "published" and dried:
            yield row


def _of(index: Index[Row], name: str) -> Iterator[Row]:
    """The rows about the food that a name ends with: chicken stock is no chicken."""
    for match in index.within(name):
        if _ends(match, name):
            yield from match.rows


def _ends(match: Match[Row], name: str) -> bool:
    return match.start + match.words == len(canonical(name))


def _is_ready(line: Line) -> bool:
    return bool(_READY & set(canonical(f"{line.name} {line.amount} {line.written}")))


def _is_dried(line: Line) -> bool:
    words = set(canonical(f"{line.name} {line.prep} {line.written}"))
    return bool({"dried", "dry", "soaked"} & words)


def _temperatures(raw: dict[str, Line]) -> Iterator[str]:
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
        foods = " and ".join(name for name, own in strictest.items() if own is row)
        yield (
            f"Cooked when the thickest part of the {foods} reads {row.celsius:.0f} °C,"
            f" {row.fahrenheit:.0f} °F ({row.source.short})."
        )

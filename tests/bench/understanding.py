"""Scores the understanding on utterances that the phrase book has never met.

    python -m tests.bench.understanding open      # for work
    python -m tests.bench.understanding sealed    # once, at the end

Prints the shares right of intents, amounts and references, of what is out of scope and left
alone, the weakest intents and the confusions. Needs the trained intent model.
"""

import sys
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any

import yaml

from assistant import wiring
from assistant.meaning import AmountHeard, Understood
from assistant.two_requests import requests
from domain.units import convert

UNSEEN = Path(__file__).parents[1] / "unseen"
Meant = tuple[Understood, ...]
NEAR = 0.01  # amounts are compared as quantities, to a part in a hundred


def lines(half: str) -> Iterator[dict[str, Any]]:
    """Every utterance of a half, in the order of the files."""
    for path in sorted(UNSEEN.glob(f"{half}-*.yml")):
        yield from yaml.safe_load(path.read_text(encoding="utf-8"))


def meant_by(text: str, understand: Callable[[str], Understood]) -> Meant:
    """What is understood, of two requests in one breath each."""
    return tuple(understand(part) for part in requests(text, understand))


def intent_right(line: dict[str, Any], heard: Meant) -> bool:
    """The intents meant, or a fair reading of the first; None must stay None."""
    first = {line["intent"], *line.get("also", ())}
    if "then" in line:
        return len(heard) == 2 and heard[0].intent in first and heard[1].intent == line["then"]
    return all(one.intent in first for one in heard)


def same_amount(wanted: dict[str, Any], heard: AmountHeard) -> bool:
    """The same quantity, whatever unit it was said in; clock times on a twelve-hour face."""
    if wanted["kind"] != heard.kind:
        return False
    if wanted["kind"] == "clock":
        return _face(str(wanted["value"])) == _face(str(heard.value))
    if wanted["value"] is None or heard.value is None:
        return bool(wanted["value"] == heard.value and wanted["unit"] == heard.unit)
    value, unit = float(heard.value), wanted["unit"]
    if unit and heard.unit and unit != heard.unit:
        value = convert(value, heard.unit, unit).value
    return abs(value - wanted["value"]) <= NEAR * max(1.0, abs(wanted["value"]))


def _face(clock: str) -> tuple[int, str]:
    hour, minute = clock.split(":")
    return int(hour) % 12, minute


def amounts_right(line: dict[str, Any], heard: Meant) -> bool:
    """Every amount that must be heard is there, and none that must not."""
    left = [amount for one in heard for amount in one.amounts]
    for wanted in line.get("amounts", ()):
        match = next((amount for amount in left if same_amount(wanted, amount)), None)
        if match is None:
            return False
        left.remove(match)
    allowed = line.get("maybe_amounts", ())
    return all(any(same_amount(may, amount) for may in allowed) for amount in left)


def refs_right(line: dict[str, Any], heard: Meant) -> bool:
    """Every thing named is resolved to one of its acceptable names."""
    found = {ref.name for one in heard for ref in one.refs}
    return all(
        found & ({names} if isinstance(names, str) else set(names))
        for names in line.get("refs", ())
    )


def score(half: str) -> None:
    """Run a half through the real understanding and print what came of it."""
    rows: list[tuple[dict[str, Any], Meant]] = []
    by_menu: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for line in lines(half):
        by_menu[line.get("menu") or "harbour-supper"].append(line)
    for menu, spoken in sorted(by_menu.items()):
        with wiring.understanding(wiring.menu_named([menu])) as understand:
            rows += [(line, meant_by(line["say"], understand)) for line in spoken]
    report(half, rows)


def report(half: str, rows: list[tuple[dict[str, Any], Meant]]) -> None:
    """Print the table."""
    inside = [(line, heard) for line, heard in rows if line["intent"] is not None]
    outside = [(line, heard) for line, heard in rows if line["intent"] is None]
    met = [(line, heard) for line, heard in inside if all(one.by == "exact" for one in heard)]
    print(f"{half}: {len(inside)} in scope ({len(met)} met word for word), {len(outside)} not")
    _share("intent", [intent_right(*row) for row in inside])
    _share("intent, not met word for word", [intent_right(*r) for r in inside if r not in met])
    _share("amounts, where there are any", [amounts_right(*r) for r in inside if _counts(r)])
    _share("amounts, all lines", [amounts_right(*row) for row in inside])
    _share("references", [refs_right(*row) for row in inside if row[0].get("refs")])
    _share("asked back instead of acting", [not _acts(heard) for _, heard in inside])
    _share("out of scope left alone", [not _acts(heard) for _, heard in outside])
    for style in sorted({line["style"] for line, _ in inside}):
        _share(f"  intent, {style}", [intent_right(*r) for r in inside if r[0]["style"] == style])
    wrong = [row for row in inside if not intent_right(*row)]
    print("most confused (meant -> taken for):")
    for (meant, taken), times in Counter(
        (_wanted(r[0]), _intents(r[1])) for r in wrong
    ).most_common(25):
        print(f"  {times:3}  {meant} -> {taken}")
    if half == "open":
        for line, heard in wrong:
            taken = f"{_intents(heard)}, {[one.guesses[:2] for one in heard]}"
            print(f"    {line['say']!r}: {_wanted(line)} taken for {taken}")
        for line, heard in inside:
            if not amounts_right(line, heard):
                found = [amount for one in heard for amount in one.amounts]
                print(f"    amounts {line['say']!r}: {line.get('amounts')} got {found}")
            if not refs_right(line, heard):
                names = [ref.name for one in heard for ref in one.refs]
                print(f"    refs {line['say']!r}: {line['refs']} got {names}")
        for line, heard in outside:
            if _acts(heard):
                print(f"    acted on {line['say']!r}: {_intents(heard)}")


def _acts(heard: Meant) -> bool:
    return any(one.intent is not None for one in heard)


def _intents(heard: Meant) -> str:
    return " + ".join(str(one.intent) for one in heard)


def _wanted(line: dict[str, Any]) -> str:
    return f"{line['intent']} + {line['then']}" if "then" in line else str(line["intent"])


def _counts(row: tuple[dict[str, Any], Meant]) -> bool:
    return bool(row[0].get("amounts"))


def _share(title: str, right: Iterable[bool]) -> None:
    values = list(right)
    if values:
        print(f"{title:40} {sum(values):4} of {len(values):4}  {sum(values) / len(values):6.1%}")


if __name__ == "__main__":
    score(sys.argv[1] if len(sys.argv) > 1 else "open")

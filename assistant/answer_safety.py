"""Answers about temperatures: inside food, of fridge and freezer, of food held hot.

Every figure comes from a table's row and is told with its source. Where sources differ the
strictest is told, by name. What no table knows is said to be unknown.
"""

import re

from assistant.advised import advice_on
from assistant.figures import (
    allowed,
    asked_about,
    degrees,
    joined,
    length,
    plain_degrees,
    says,
    sources_of,
    unknown,
)
from assistant.inside_temperature import (
    ANY_FOOD,
    Asked,
    celsius_told,
    figure,
    temperatures_asked,
    verdict,
)
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from domain.tables import (
    Limit,
    SafeTemperature,
    Topic,
    caution,
    caution_index,
    limits_on,
    safe_temperature_index,
)

_HELD_HOT = (
    r"\b(keep|hold|held|holding|kept|stay)\b.*\b(hot|warm)\b|\bhot hold|"
    r"\b(hot|warm)\b.*\b(keep|hold|held|kept|stay)\b"
)
# Settings and holdings asked for under "what temperature ...", by the words that mean them.
_PLACES: tuple[tuple[str, Topic, str], ...] = (
    (r"\bfreezer\b", "freezer", "Freezer"),
    (r"\b(fridge|refrigerator|chiller)\b", "fridge", "Fridge"),
    (_HELD_HOT, "hot holding", "Hot food"),
    (r"danger zone", "danger zone", "Danger zone"),
)


def answer_safe_temperature(ask: Understood, scene: Scene) -> Reply:
    """The least inside temperature of a food; of a fridge, a freezer, or food held hot.

    Where the question tells a temperature, or something pink or raw, whether that will do.
    """
    ruled = advice_on(ask, scene)
    if ruled:
        return ruled
    if place := place_asked(ask, scene):
        return place
    asked = temperatures_asked(ask, scene)
    return temperatures_reply(ask, asked, scene) if asked else _no_temperature(ask, scene)


def _no_temperature(ask: Understood, scene: Scene) -> Reply:
    general = next(row for row in safe_temperature_index().within("meat")[0].rows if row.hold_s)
    known = safe_temperature_index().nearest(asked_about(ask.text))
    near = f" I do know {joined(known)}." if known else ""
    more = f"For cooked food in general {general.source.short} says {figure(general, scene)}.{near}"
    return Reply(unknown(asked_about(ask.text)), more=more)


def temperatures_reply(ask: Understood, asked: Asked, scene: Scene) -> Reply:
    """The strictest figure of each kind of food, and whether what was told will do."""
    said = verdict(ask, tuple(asked.told.values()), scene)
    dangers = [row for match in caution_index().within(asked.names) for row in match.rows]
    measuring = "meat done" if caution("meat done") in dangers else "measured in the middle"
    sentences = [said, *asked.lines(scene), caution(measuring).say]
    chosen = list(dict.fromkeys(asked.told.values()))
    more = [*(_as_good(row, scene) for row in chosen), *(row.note for row in chosen)]
    more += [_other(row, scene) for row in asked.others]
    more += [row.say for row in dict.fromkeys(dangers) if row.name == "raw meat"]
    cited = sources_of(row.source for row in (*chosen, *asked.others))
    spoken = " ".join(filter(None, sentences))
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(filter(None, more)))


def _as_good(row: SafeTemperature, scene: Scene) -> str:
    """ "As good: 75 degrees Celsius for 30 seconds or ...", "" where the source names none."""
    pairs = [
        f"{degrees(one.celsius, one.fahrenheit, scene)} for {length(one.hold_s)}"
        for one in row.equals
    ]
    return f"As good: {joined(pairs, 'or')}." if pairs else ""


def _other(row: SafeTemperature, scene: Scene) -> str:
    whom = " for businesses" if row.audience == "food service" else ""
    about = "" if row.food == ANY_FOOD else f", {row.food}"
    parts = (
        f"{capital(row.source.short)}{whom}{about}: {figure(row, scene)}.",
        _as_good(row, scene),
        row.note,
    )
    return " ".join(filter(None, parts))


def place_asked(ask: Understood, scene: Scene) -> Reply | None:
    """The limit of a fridge, a freezer or food held hot, where the question is about one."""
    text = ask.text.lower()
    found = next(((topic, name) for words, topic, name in _PLACES if re.search(words, text)), None)
    return _place(*found, scene, celsius_told(ask)) if found else None


def _place(topic: Topic, name: str, scene: Scene, told: float | None) -> Reply:
    """The strictest limit of a fridge, a freezer, food held hot, or the danger zone.

    told: the temperature that the question names, in °C, judged by the limit.
    """
    rows = limits_on(topic)
    usable = [row for row in rows if allowed(row.source, scene)] or list(rows)
    pick = max if usable[0].bound == "least" else min
    strict = pick(usable, key=lambda row: row.celsius or 0.0)
    line = says(f"{name}: {_limit_words(strict, scene)}", strict.source)
    head = " ".join(filter(None, (_place_verdict(strict, told, scene), line, strict.rule)))
    others = [row for row in rows if row != strict]
    more = [f"{capital(row.source.short)}: {_limit_words(row, scene)}." for row in others]
    return Reply(head, f"{head}\n{sources_of(row.source for row in rows)}", " ".join(more))


def _place_verdict(row: Limit, told: float | None, scene: Scene) -> str:
    """ "No, 8 degrees Celsius is too warm.", "" where no temperature was told."""
    if told is None or row.celsius is None or not row.bound:
        return ""
    high = round(told, 1) > row.celsius
    low = round(told, 1) < row.celsius
    words = plain_degrees(told, scene)
    if row.bound == "most":
        return f"No, {words} is too warm." if high else f"Yes, {words} is cold enough."
    return f"No, {words} is too cool." if low else f"Yes, {words} is hot enough."


def _limit_words(row: Limit, scene: Scene) -> str:
    """A limit's temperatures: "4 degrees Celsius or below"."""
    bound = {"least": " or above", "most": " or below", "": ""}[row.bound]
    high = degrees(
        row.celsius or 0.0, row.fahrenheit or 0.0, scene, "most" if row.bound == "most" else "least"
    )
    if row.from_celsius is not None and row.from_fahrenheit is not None:
        low = degrees(row.from_celsius, row.from_fahrenheit, scene, "most")
        return f"{low} to {high}"
    return f"{high}{bound}"

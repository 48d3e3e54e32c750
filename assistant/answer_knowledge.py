"""Answers from the kitchen's tables: swaps, water and times of grains and pulses, altitude."""

import re
from collections.abc import Sequence

from assistant.answer_allergens import answer_allergens, answer_who_cannot
from assistant.answer_amounts import measures_of
from assistant.answer_keeping import answer_keeps
from assistant.answer_safety import answer_cool_down, answer_reheat, answer_safe_temperature
from assistant.figures import (
    asked_about,
    food,
    joined,
    named_foods,
    plain_degrees,
    sources_of,
)
from assistant.measures import amount, capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from domain.altitude import (
    HIGHEST_M,
    LOWEST_M,
    METRES_PER_FOOT,
    altitude_changes,
    boils_at_celsius,
)
from domain.cooking import CookTime, Grain, cook_time_index, grain_index
from domain.errors import KitchenError
from domain.ingredients import shows
from domain.names import Match
from domain.substitutions import Part, Swap, swap_index
from domain.tables import caution_index, safe_temperature_index
from domain.units import convert

_ALTITUDE = re.compile(r"(\d[\d,]*(?:\.\d+)?)\s*(m|metres?|meters?|ft|foot|feet)\b")


def answer_swap(ask: Understood, scene: Scene) -> Reply:
    """What to use instead, scaled to the amount asked for, and what changes."""
    found = swap_index().within(ask.text)
    for name in () if found else named_foods(ask, scene):
        found = (*found, *swap_index().within(name))
    name = asked_about(ask.text)
    found = found or swap_index().find(name)
    if not found:
        known = swap_index().nearest(name)
        near = f"I do have one for {joined(known)}." if known else ""
        return Reply(f"I have no swap for {name or 'that'} that I can vouch for.", more=near)
    rows = found[0].rows
    first, *others = [row for row in rows if _purpose_named(row, ask.text)] or rows
    others = [row for row in rows if row not in (first,)]
    factor, note = _factor(first, ask, scene)
    brings = _brings(first)
    sentences = [_swap_words(first, factor, scene), first.then, first.changes, note]
    if brings:
        sentences.append(f"It brings in {joined(brings)}.")
    spoken = " ".join(filter(None, sentences))
    more = " ".join(_swap_words(row, factor, scene) for row in others)
    return Reply(spoken, f"{spoken}\n{sources_of([first.source])}", more)


def _purpose_named(row: Swap, text: str) -> bool:
    """Whether the question says what it is for: "to bind", "for moisture", "to lift"."""
    stem = row.purpose.split(",")[0].split(" ")[0].removesuffix("ing")[:6]
    return len(stem) > 3 and stem in text.lower()


def _factor(row: Swap, ask: Understood, scene: Scene) -> tuple[float, str]:
    """How many times the row's amount was asked for; else 1, and a sentence that says so."""
    said = next((a for a in ask.amounts if isinstance(a.value, int | float)), None)
    if said is None or said.kind not in ("mass", "volume", "count"):
        return 1.0, ""
    value = float(said.value or 0)
    try:
        if said.kind == "count" and not row.of.unit:
            return value / row.of.value, ""
        asked = convert(
            value,
            said.unit or "piece",
            row.of.unit or "piece",
            measures=measures_of(scene),
            ingredient=row.of.food,
        )
    except KitchenError:
        return 1.0, f"That is for {_part(row.of, scene)}."
    return asked.value / row.of.value, ""


def _brings(row: Swap) -> list[str]:
    """The allergens that come in with the swap and were not there before."""
    before = shows(row.of.food).contains
    after = frozenset[str]().union(*(shows(part.food).contains for part in row.use))
    return sorted(after - before)


def _swap_words(row: Swap, factor: float, scene: Scene) -> str:
    """ "For 3 eggs, binding: 3 tablespoons of flaxseed and 9 tablespoons of water."""
    goal = f", {row.purpose}" if row.purpose else ""
    use = joined([_part(part.times(factor), scene) for part in row.use])
    return f"For {_part(row.of.times(factor), scene)}{goal}: {use}."


def _part(part: Part, scene: Scene) -> str:
    name = food(part.food, scene)
    if part.unit:
        return f"{amount(part.value, part.unit)} of {name}"
    plural = part.value > 1 and not name.endswith("s")
    return f"{amount(part.value, '')} {name}{'s' if plural else ''}"


def answer_water_ratio(ask: Understood, scene: Scene) -> Reply:
    """How much water for a grain or pulse: for the amount asked, else by volume."""
    found = _grain(ask, scene)
    if not found:
        return _no_grain(ask)
    rows = [row for row in found.rows if row.water]
    if not rows:
        timed = found.rows[0]
        line = f"I have no published water for {timed.food}; cover them well with fresh water."
        return _with_beans(line, [timed], scene)
    first = rows[0]
    assert first.water is not None
    water = _water(first, ask, scene)
    time = f" {_time_words(first)}" if first.time else ""
    line = f"{water}, says {first.source.short}.{time}"
    gives = f"It gives about {first.gives:g} times its volume cooked." if first.gives else ""
    return _with_beans(line, rows, scene, gives)


def _grain(ask: Understood, scene: Scene) -> Match[Grain] | None:
    """The grain asked about: in the words, else the one that was named, else a near miss."""
    found = grain_index().within(ask.text)
    for name in () if found else named_foods(ask, scene):
        found = (*found, *grain_index().within(name))
    found = found or grain_index().find(asked_about(ask.text))
    return found[0] if found else None


def _no_grain(ask: Understood) -> Reply:
    name = asked_about(ask.text)
    near = grain_index().nearest(name)
    known = f"I do know {joined(near)}." if near else ""
    return Reply(f"I have no published figure for {name or 'that'}; go by its packet.", more=known)


def _water(row: Grain, ask: Understood, scene: Scene) -> str:
    """ "300 g of rice: 670 to 770 ml of water", or "Rice: 2 parts water to one, by volume"."""
    assert row.water is not None
    low, high = row.water
    said = next((a for a in ask.amounts if a.kind in ("mass", "volume")), None)
    if said is not None and isinstance(said.value, int | float) and said.unit:
        try:
            dry = convert(
                said.value,
                said.unit,
                "millilitre",
                measures=measures_of(scene),
                ingredient=row.weigh_as or row.food,
            ).value
        except KitchenError:
            return f"{capital(food(row.food, scene))}: {_parts(low, high)}, by volume"
        asked = convert(said.value, said.unit, said.unit, measures=measures_of(scene))
        label = f"{amount(asked.value, asked.unit)} of {food(row.food, scene)}"
        return f"{capital(label)}: {_volumes(dry * low, dry * high, scene)} of water"
    return f"{capital(food(row.food, scene))}: {_parts(low, high)}, by volume"


def _volumes(low_ml: float, high_ml: float, scene: Scene) -> str:
    target = "us_cup" if measures_of(scene) == "us" else "millilitre"
    ends = [convert(value, "millilitre", target).value for value in (low_ml, high_ml)]
    if target == "millilitre":
        ends = [5.0 * round(value / 5) for value in ends]  # what a jug can show
    words = [amount(value, target) for value in dict.fromkeys(ends)]
    return " to ".join(words)


def _parts(low: float, high: float) -> str:
    return (
        f"{low:g} to {high:g} parts water to one" if high > low else f"{low:g} parts water to one"
    )


def answer_cook_time(ask: Understood, scene: Scene) -> Reply:
    """How long a food takes in general; for meat and fish, to go by its inside temperature."""
    grain = _grain_within(ask, scene)
    if grain:
        rows = [row for row in grain.rows if row.time]
        if rows:
            line = f"{capital(food(rows[0].food, scene))}: {_time_words(rows[0])}"
            soak = f"Soak {rows[0].soak}." if rows[0].soak not in ("", "no soaking") else ""
            return _with_beans(f"{line[:-1]}, says {rows[0].source.short}.", rows, scene, soak)
    roast = _first(cook_time_index().within(ask.text), ask, scene)
    if roast:
        return _roast(roast, scene)
    animal = safe_temperature_index().within(ask.text)
    for name in () if animal else named_foods(ask, scene):
        animal = (*animal, *safe_temperature_index().within(name))
    if animal:
        hot = answer_safe_temperature(ask, scene)
        line = "I have no published time for that; go by the inside temperature."
        return Reply(f"{line} {hot.spoken}", f"{line} {hot.shown}", hot.more)
    return _no_grain(ask)


def _grain_within(ask: Understood, scene: Scene) -> Match[Grain] | None:
    roast = cook_time_index().within(ask.text)
    found = grain_index().within(ask.text)
    return found[0] if found else (None if roast else _grain(ask, scene))


def _first(found: Sequence[Match[CookTime]], ask: Understood, scene: Scene) -> CookTime | None:
    for name in () if found else named_foods(ask, scene):
        found = (*found, *cook_time_index().within(name))
    return found[0].rows[0] if found else None


def _roast(row: CookTime, scene: Scene) -> Reply:
    line = f"{capital(row.food)}: about {row.time.shown} at {plain_degrees(row.celsius, scene)}."
    spoken = f"{line} {row.note} That is {row.source.short}."
    return Reply(spoken, f"{spoken}\n{sources_of([row.source])}")


def _time_words(row: Grain) -> str:
    assert row.time is not None
    if row.off_heat:
        return f"{row.note} Leave it {row.time.shown}."
    return f"Simmer {row.time.shown}."


def _with_beans(line: str, rows: Sequence[Grain], scene: Scene, *then: str) -> Reply:
    """The line, with the caution that dried beans need, and the sources that differ."""
    first, *others = rows
    dangers = [
        row for match in caution_index().within(first.food) for row in match.rows
        if row.name == "dried kidney beans"
    ]  # fmt: skip
    sentences = [line, *(danger.say for danger in dangers), *then]
    spoken = " ".join(filter(None, sentences))
    more = [f"{capital(row.source.short)}: {_figures(row)}." for row in others]
    cited = sources_of([*(row.source for row in rows), *(danger.source for danger in dangers)])
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(more))


def _figures(row: Grain) -> str:
    water = f"{_parts(*row.water)} of {row.food}" if row.water else row.food
    return f"{water}, {row.time.shown}" if row.time else water


def answer_altitude(ask: Understood, scene: Scene) -> Reply:
    """Where water boils at this kitchen's altitude, or the one asked for, and what changes."""
    own = scene.settings.altitude_m
    metres = _metres(ask)
    if metres is None:
        metres = scene.kitchen.altitude_m if own is None else own
    if not LOWEST_M <= metres <= HIGHEST_M:
        return Reply("No kitchen stands there; tell me your height above the sea in metres.")
    boils = plain_degrees(boils_at_celsius(metres), scene)
    high = f"{metres:,.0f} metres"
    changes = [row for row in altitude_changes() if metres >= row.from_metres]
    told = [row for row in changes if row.from_metres] or changes
    spoken = " ".join([f"At {high} water boils at {boils}.", *(row.rule for row in told[:2])])
    more = " ".join(row.rule for row in (*told[2:], *(r for r in changes if r not in told)))
    formula = "Worked out from ISO 2533:1975 (air pressure) and IAPWS-IF97 region 4 (boiling)."
    cited = sources_of(row.source for row in changes)
    return Reply(spoken, f"{spoken}\n{formula}\n{cited}", more)


def _metres(ask: Understood) -> float | None:
    """The altitude said in the question, in metres; None when it says none."""
    for said in ask.amounts:
        if said.kind == "length" and said.unit and isinstance(said.value, int | float):
            return convert(said.value, said.unit, "metre").value
    found = _ALTITUDE.search(ask.text.lower())
    if not found:
        return None
    value = float(found[1].replace(",", ""))
    return value * METRES_PER_FOOT if found[2].startswith("f") else value


# The list of intents names this module for all of them.
__all__ = [
    "answer_allergens",
    "answer_altitude",
    "answer_cook_time",
    "answer_cool_down",
    "answer_keeps",
    "answer_reheat",
    "answer_safe_temperature",
    "answer_swap",
    "answer_water_ratio",
    "answer_who_cannot",
]

"""Answers from the kitchen's tables: water and times of grains and pulses, altitude."""

import re
from collections.abc import Sequence

from assistant.answer_allergens import answer_allergens, answer_who_cannot
from assistant.answer_cooling import answer_cool_down, answer_reheat
from assistant.answer_keeping import answer_keeps
from assistant.answer_safety import answer_safe_temperature
from assistant.answer_swaps import answer_swap
from assistant.figures import (
    asked_about,
    food,
    fresh_beans,
    joined,
    named_foods,
    oven_degrees,
    plain_degrees,
    says,
    short,
    sources_of,
)
from assistant.measures import amount, capital, measures_of
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from assistant.wording import plain
from domain.boiling import (
    HIGHEST_M,
    LOWEST_M,
    METRES_PER_FOOT,
    altitude_changes,
    boils_at_celsius,
)
from domain.cooking import CookTime, Grain, cook_time_index, grain_index
from domain.errors import KitchenError
from domain.names import Match
from domain.tables import Caution, caution_index, safe_temperature_index
from domain.units import convert

_ALTITUDE = re.compile(r"(\d[\d,]*(?:\.\d+)?)\s*(m|metres?|meters?|ft|foot|feet)\b")

_UNSOAKED = re.compile(r"\b(?:skip|without|no) soak|\bnot (?:to )?soak|\bunsoaked\b")
_READY = re.compile(r"\b(?:tins?|tinned|canned|jarred|from a (?:can|jar))\b")
_NO_GRAIN = "I have no published figure for that; go by its packet."


def answer_water_ratio(ask: Understood, scene: Scene) -> Reply:
    """How much water for a grain or pulse, for the amount asked, else by volume; or its soaking."""
    found = _grain(ask, scene)
    if "soak" in ask.text.lower():
        return _soaking(found, ask, scene)
    if not found:
        return _no_grain(ask)
    rows = [row for row in found.rows if row.water]
    if not rows and "bean" in found.name:
        rows = [row for row in grain_index().within("dried bean")[0].rows if row.water]
    if not rows:
        return _no_grain(ask)
    first = rows[0]
    sentences = _water(first, ask, scene)
    if first.time:
        sentences.append(f"{capital(_time_words(first))}.")
    if first.gives:
        sentences.append(f"It gives about {first.gives:g} times its volume cooked.")
    return _with_beans(sentences, [*rows, *(row for row in found.rows if row not in rows)])


def _soaking(found: Match[Grain] | None, ask: Understood, scene: Scene) -> Reply:
    """Whether and how long a pulse or grain is soaked; fresh and tinned beans are not."""
    names = " ".join((ask.text, *named_foods(ask, scene))).lower()
    fresh = fresh_beans(names)
    if fresh or _READY.search(names):
        beans = grain_index().within("dried bean")[0].rows[0]
        line = f"No soaking: {f'{fresh} are fresh' if fresh else 'tinned ones are cooked'}."
        more = says(f"Dried beans: soak {beans.soak}", beans.source)
        return Reply(line, f"{line}\n{sources_of([beans.source])}", more)
    rows = [row for row in found.rows if row.soak] if found else []
    if not rows:
        return _no_grain(ask)
    first = rows[0]
    label = capital(food(first.food, scene))
    if first.soak == "no soaking":
        line = says(f"{label}: no soaking needed", first.source)
        return Reply(line, f"{line}\n{sources_of([first.source])}")
    said = plain(ask.text)
    yes = "No. " if _UNSOAKED.search(said) else "" if re.match(r"how\b", said) else "Yes. "
    dangers = _dangers_of(rows)
    sources = [danger.source for danger in dangers] or [first.source]
    line = says(f"{yes}{label}: soak {first.soak}", sources[0])
    spoken = " ".join([line, *(danger.say for danger in dangers)])
    return Reply(spoken, f"{spoken}\n{sources_of([*sources, first.source])}")


def _dangers_of(rows: Sequence[Grain]) -> list[Caution]:
    """The caution that dried beans call for."""
    named = caution_index().within(" ".join(one.food for one in rows))
    dangers = [row for match in named for row in match.rows if row.name == "dried kidney beans"]
    return list(dict.fromkeys(dangers))


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
    line = f"I have no published figure for {name}; go by its packet."
    return Reply(line if name and short(line) else _NO_GRAIN, more=known)


def _water(row: Grain, ask: Understood, scene: Scene) -> list[str]:
    """ "670 to 770 ml of water." for the amount asked; else "Rice: 2 parts water to one"."""
    assert row.water is not None
    label = food(row.food, scene)
    said = next((a for a in ask.amounts if a.kind in ("mass", "volume")), None)
    if said is not None and isinstance(said.value, int | float) and said.unit:
        measures = measures_of(scene)
        try:
            dry, here = (
                convert(said.value, said.unit, target, measures=measures, ingredient=row.weigh_as)
                for target in ("millilitre", said.unit)
            )
        except KitchenError as error:
            return [_by_volume(row, label), f"{capital(str(error))}."]
        ends = [dry.value * parts for parts in row.water]
        who = f"That is for {amount(here.value, here.unit)} of {label}"
        return [f"{capital(_volumes(ends, scene))} of water.", says(who, row.source)]
    return [_by_volume(row, label)]


def _by_volume(row: Grain, label: str) -> str:
    assert row.water is not None
    return says(f"{capital(label)}: {_parts(*row.water)}", row.source)


def _volumes(ends_ml: Sequence[float], scene: Scene) -> str:
    target = "us_cup" if measures_of(scene) == "us" else "millilitre"
    ends = [convert(value, "millilitre", target).value for value in ends_ml]
    if target == "millilitre":
        ends = [10.0 * round(value / 10) for value in ends]  # what a jug can show
    return " to ".join(amount(value, target) for value in dict.fromkeys(ends))


def _parts(low: float, high: float) -> str:
    parts = [amount(value, "") for value in dict.fromkeys((low, high))]
    return f"{' to '.join(parts)} parts water to one"


def answer_cook_time(ask: Understood, scene: Scene) -> Reply:
    """How long a food takes in general, or soaks; meat and fish go by their inside temperature."""
    if "soak" in ask.text.lower():
        return _soaking(_grain(ask, scene), ask, scene)
    grain = _grain_within(ask, scene)
    rows = [row for row in grain.rows if row.time] if grain else []
    if rows:
        line = f"{capital(food(rows[0].food, scene))}: {_time_words(rows[0])}"
        return _with_beans([says(line, rows[0].source)], rows)
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
    line = f"{capital(row.food)}: about {row.time.shown} at {oven_degrees(row.celsius, scene)}."
    spoken = f"{line} {row.note} That is {row.source.short}."
    return Reply(spoken, f"{spoken}\n{sources_of([row.source])}")


def _time_words(row: Grain) -> str:
    """ "simmer 15 minutes", or to stand off the heat."""
    assert row.time is not None
    return f"covered off the heat {row.time.shown}" if row.off_heat else f"simmer {row.time.shown}"


def _with_beans(sentences: Sequence[str], rows: Sequence[Grain]) -> Reply:
    """The sentences, with the caution that dried beans need, and the sources that differ."""
    first, *others = rows
    dangers = _dangers_of(rows)
    soak = f"Soak {first.soak}." if first.soak not in ("", "no soaking") and not dangers else ""
    cautions = [one.say for one in dangers]
    spoken = " ".join(filter(None, (*sentences, first.note, soak, *cautions)))
    more = " ".join(f"{capital(row.source.short)}: {_figures(row)}." for row in others)
    cited = sources_of([*(row.source for row in rows), *(danger.source for danger in dangers)])
    return Reply(spoken, f"{spoken}\n{cited}", more)


def _figures(row: Grain) -> str:
    water = f"{_parts(*row.water)} of {row.food}" if row.water else row.food
    return f"{water}, {row.time.shown}" if row.time else water


def answer_altitude(ask: Understood, scene: Scene) -> Reply:
    """Where water boils at this kitchen's altitude, or the one asked for, and what changes."""
    own = scene.settings.altitude_m
    metres = metres_said(ask)
    if metres is None:
        metres = scene.kitchen.altitude_m if own is None else own
    if not LOWEST_M <= metres <= HIGHEST_M:
        return Reply("No kitchen stands there; tell me your height above the sea.")
    high = [f"{metres:,.0f} metres", f"{metres / METRES_PER_FOOT:,.0f} feet"]
    if measures_of(scene) == "us":
        high.reverse()
    line = f"At {high[0]} water boils at {plain_degrees(boils_at_celsius(metres), scene)}."
    changes = [row for row in altitude_changes() if metres >= row.from_metres]
    told = [row for row in changes if row.from_metres] or changes
    spoken = " ".join([line, *(row.rule for row in told[:2])])
    more = " ".join(row.rule for row in changes if row not in told[:2])
    formula = "Worked out from ISO 2533:1975 (air pressure) and IAPWS-IF97 region 4 (boiling)."
    return Reply(spoken, f"{spoken}\n{formula}\n{sources_of(r.source for r in changes)}", more)


def metres_said(ask: Understood) -> float | None:
    """The altitude said in the question, in metres; None when it says none."""
    found = _ALTITUDE.search(ask.text.lower())
    if found:
        value = float(found[1].replace(",", ""))
        return value * METRES_PER_FOOT if found[2].startswith("f") else value
    for said in ask.amounts:
        if said.kind == "length" and said.unit and isinstance(said.value, int | float):
            return convert(said.value, said.unit, "metre").value
    return 0.0 if "sea level" in ask.text.lower() else None


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

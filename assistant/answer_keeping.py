"""How long food keeps, in the fridge, in the freezer, in the cupboard, and out of all of them.

The shortest time any source gives is told, by name; the others follow on "more". Food that no
table knows is said to be unknown.
"""

import re
from collections.abc import Sequence

from assistant.advised import advice_on
from assistant.figures import (
    about_rice,
    allowed,
    as_said,
    asked_about,
    degrees,
    food,
    is_rice,
    joined,
    length,
    named_foods,
    says,
    sources_of,
    unknown,
)
from assistant.kept_for import kept_s
from assistant.measures import capital
from assistant.reply import Reply
from assistant.safety_words import left_out, power_cut
from assistant.scene import Scene
from assistant.subject import dishes_named
from assistant.understand import Understood
from assistant.wording import plain
from domain.ingredients import shows
from domain.menu import Dish
from domain.sources import Span
from domain.tables import Storage, caution, limits_on, storage_index

_LONG = re.compile(
    r"\b(overnight|(all|over) (the )?(night|day|evening|afternoon|morning)|yesterday|hours|"
    r"this morning|last night|till tomorrow|until tomorrow|for ages|forgot(?:ten)?|"
    r"since|lunch(?:time)?)\b"
)
# What asks for a figure is not answered with yes or no.
_ASKS_LENGTH = re.compile(r"\bhow (?:long|many)\b")
_ASKS_FIGURE = re.compile(rf"^(?:how|what|when|where|which)\b|{_ASKS_LENGTH.pattern}")
_COOKED = re.compile(r"\b(cooked|left ?overs?|boiled|roast(ed)?|grilled|baked|fried)\b")
_MADE = re.compile(r"\b(make|made|making|cook|bake|baking)\b")
_FREEZE = re.compile(r"\b(freez\w*|frozen)\b")
_MEAT = frozenset({"meat", "pork", "fish", "shellfish", "egg"})


def answer_keeps(ask: Understood, scene: Scene) -> Reply:
    """How long a food or a dish keeps, or whether it may stand out of the fridge."""
    ruled = advice_on(ask, scene)
    if ruled:
        return ruled
    if stood_out(ask):
        return stood_reply(ask, scene)
    label, rows = _asked(ask, scene)
    return _told(label, rows, scene, ask) if rows else _not_known(label, ask)


def too_old(ask: Understood, scene: Scene) -> bool:
    """Whether the question tells of a longer time than the food it is about may keep or stand."""
    if stood_out(ask):
        return _longer_than(_stood_limit(ask, scene), ask, scene)
    first = strictest(_usable(_asked(ask, scene)[1], scene))
    if first is None or first.fridge is None or _FREEZE.search(ask.text.lower()):
        return False
    return (_judged_s(ask, scene) or 0.0) > first.fridge.high_s


def _asked(ask: Understood, scene: Scene) -> tuple[str, list[Storage]]:
    """What to call the food asked about, "" for its row's own name; its rows, none if unknown."""
    text = ask.text.lower()
    found = storage_index().within(text)
    named = dishes_named(ask.refs)
    if named and not any(row.cooked for match in found for row in match.rows):
        dish = scene.menu.dish(named[0])
        return f"the {dish.title.lower()}", of_dish(dish)
    for name in () if found else named_foods(ask, scene):
        found = (*found, *storage_index().within(name))
    if not found and (name := asked_about(text)):
        found = storage_index().find(name)
        if not found and _MADE.search(text):
            return name, _leftovers()
        if not found:
            return name, []
    rows = [row for match in found for row in match.rows] or _leftovers()
    label = ""
    if _COOKED.search(text):
        cooked = [row for row in rows if row.cooked]
        if not cooked and found:
            label = f"cooked {as_said(text, found[0].name)}"
        rows = cooked or _leftovers()
    return label, rows


def of_dish(dish: Dish) -> list[Storage]:
    """The rows for a cooked dish: leftovers with or without meat, fish or egg, and its grain's."""
    animal = any(shows(line.name).animal & _MEAT for line in dish.ingredients)
    kind = "meat" if animal else "vegetable"
    rows = list(storage_index().within(f"leftover {kind}")[0].rows)
    for line in dish.ingredients:
        found = storage_index().within(line.name)
        rows += [row for match in found for row in match.rows if row.cooked]
        rows += storage_index().within("cooked rice")[0].rows if is_rice(line.name) else ()
    return list(dict.fromkeys(rows))


def _leftovers() -> list[Storage]:
    return list(storage_index().within("leftover")[0].rows)


def _not_known(name: str, ask: Understood) -> Reply:
    if _FREEZE.search(ask.text.lower()):
        return _frozen_unknown(name)
    rows = [row for row in _leftovers() if row.fridge]
    general = min(rows, key=lambda row: _longest(row.fridge))
    near = storage_index().nearest(name)
    known = f" I do know {joined(near)}." if near else ""
    shown = general.fridge.shown if general.fridge else ""
    more = (
        f"Cooked leftovers in general: {shown} in the fridge, says {general.source.short}.{known}"
    )
    return Reply(unknown(name), more=more)


def _told(label: str, rows: Sequence[Storage], scene: Scene, ask: Understood) -> Reply:
    """The shortest time of the place asked about, with its source; the rest under more.

    label: what to call it, "" for the row's own name.
    """
    rows = [row for row in dict.fromkeys(rows) if row.audience == "home"]
    if _FREEZE.search(ask.text.lower()):
        return _frozen(label, rows, scene, ask)
    usable = _usable(rows, scene)
    first = strictest(usable)
    if first is None:
        return _pantry(label, usable, scene)
    assert first.fridge is not None
    fridge = limits_on("fridge")[0]
    cold = degrees(fridge.celsius or 0.0, fridge.fahrenheit or 0.0, scene, "most")
    label = label or food(first.food, scene)
    said = _verdict(ask, first.fridge, scene)
    head = says(f"{said}{capital(label)}: {first.fridge.shown} in the fridge", first.source)
    spoken = " ".join(filter(None, (head, first.note, f"Keep the fridge at {cold} or below.")))
    others = [row for row in rows if row != first]
    more = [*(_other(row) for row in others), *_frozen_lines([first])]
    cited = sources_of([first.source, *(row.source for row in others), fridge.source])
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(more))


def _usable(rows: Sequence[Storage], scene: Scene) -> list[Storage]:
    """The rows for homes that this cook goes by, else all for homes."""
    home = [row for row in rows if row.audience == "home"]
    return [row for row in home if allowed(row.source, scene)] or home


def strictest(rows: Sequence[Storage]) -> Storage | None:
    """The row with the shortest time in the fridge; None when none tells one."""
    chilled = [row for row in rows if row.fridge]
    return min(chilled, key=lambda row: _longest(row.fridge), default=None)


def _verdict(ask: Understood, time: Span, scene: Scene) -> str:
    """ "No. " where the question names a longer time, "Yes, chilled at once. " for a shorter."""
    kept = _judged_s(ask, scene)
    if kept is None:
        return ""
    if kept > time.high_s:
        return "No. "
    return "Yes, if chilled at once. " if kept <= time.low_s else "That is the very limit. "


def _judged_s(ask: Understood, scene: Scene) -> float | None:
    """The time that is asked about with yes or no, in seconds; None where there is none."""
    return None if _ASKS_FIGURE.search(plain(ask.text)) else kept_s(ask, scene.now)


def _pantry(label: str, rows: Sequence[Storage], scene: Scene) -> Reply:
    dry = [row for row in rows if row.pantry]
    if not dry:
        return Reply(unknown(label or food(rows[0].food, scene)))
    first = min(dry, key=lambda row: _longest(row.pantry))
    assert first.pantry is not None
    label = label or food(first.food, scene)
    line = says(f"{capital(label)}: {first.pantry.shown} in the cupboard", first.source)
    return Reply(line, f"{line}\n{sources_of([first.source])}")


def _frozen(label: str, rows: Sequence[Storage], scene: Scene, ask: Understood) -> Reply:
    """How long it keeps frozen, or that its source advises against it."""
    against = [row for row in rows if row.freezer_no]
    timed = [row for row in rows if row.freezer]
    if not against and not timed:
        return _frozen_unknown(label or food(rows[0].food, scene))
    freezer = limits_on("freezer")[0]
    cold = degrees(freezer.celsius or 0.0, freezer.fahrenheit or 0.0, scene, "most")
    if against:
        label = label or food(against[0].food, scene)
        line = says(f"{capital(label)}: freezing is not recommended", against[0].source)
        return Reply(line, f"{line}\n{sources_of([against[0].source])}")
    first = min(timed, key=lambda row: _longest(row.freezer))
    assert first.freezer is not None
    label = label or food(first.food, scene)
    line = says(f"{capital(label)}: {first.freezer.shown} in the freezer", first.source)
    kept = kept_s(ask, scene.now)
    if kept is not None and kept > first.freezer.high_s:
        line = f"Safe, if it stayed frozen, but past its best. {line}"
    spoken = f"{line} That is for its quality, at {cold} or below."
    return Reply(spoken, f"{spoken}\n{sources_of([first.source, freezer.source])}")


def _frozen_unknown(name: str) -> Reply:
    """Frozen food that no table times: what is known of its safety, and what is not."""
    row = limits_on("kept frozen")[0]
    line = f"{unknown(f'frozen {name}')} {row.rule}"
    return Reply(line, f"{line}\n{sources_of([row.source])}")


def _frozen_lines(rows: Sequence[Storage]) -> list[str]:
    return [f"In the freezer: {row.freezer.shown}." for row in rows if row.freezer]


def _other(row: Storage) -> str:
    parts = []
    if row.fridge:
        parts.append(f"{row.fridge.shown} in the fridge")
    if row.freezer:
        parts.append(f"{row.freezer.shown} in the freezer")
    if row.pantry:
        parts.append(f"{row.pantry.shown} in the cupboard")
    if row.freezer_no:
        parts.append("do not freeze")
    return f"{capital(row.source.short)}, {row.food}: {', '.join(parts)}."


def _longest(time: Span | None) -> tuple[int, int]:
    """What a stricter time is shorter by: its end, then its start, in seconds."""
    return (time.high_s, time.low_s) if time else (10**12, 10**12)


def stood_out(ask: Understood) -> bool:
    """Whether the question is about food that stood, or would stand, out of the cold."""
    return left_out(ask.text) or power_cut(ask.text)


def stood_reply(ask: Understood, scene: Scene) -> Reply:
    """Whether food may stand out: never longer than the strictest limit; rice less."""
    if power_cut(ask.text):
        return _power_cut(ask, scene)
    rice = about_rice(ask, scene)
    rows = limits_on("left out", "cooked rice" if rice else "")
    first, general = rows[0], rows[-1]
    limit = _stood_limit(ask, scene)
    assert general.within_warm_s is not None
    assert general.above_celsius is not None
    assert general.above_fahrenheit is not None
    warm = degrees(general.above_celsius, general.above_fahrenheit, scene, "most")
    about = "Cooked rice" if rice else "Food that belongs in the fridge"
    most = "cool it within" if rice else "at most"
    start = "No. " if _longer_than(limit, ask, scene) else ""
    sentences = [says(f"{start}{about}: {most} {length(limit)}", first.source)]
    if rice:
        sentences.append(first.rule)
    sentences.append(f"Above {warm}, no food longer than {length(general.within_warm_s)}.")
    sentences.append(general.rule)
    more = caution("reheated rice" if rice else "cooling").say
    spoken = " ".join(sentences)
    return Reply(spoken, f"{spoken}\n{sources_of(row.source for row in rows)}", more)


def _stood_limit(ask: Understood, scene: Scene) -> float:
    """How long what is asked about may stand out of the cold, seconds."""
    food_out = "cooked rice" if about_rice(ask, scene) else ""
    cut = power_cut(ask.text)
    row = (limits_on("power cut") if cut else limits_on("left out", food_out))[0]
    return row.within_s or 0


def _power_cut(ask: Understood, scene: Scene) -> Reply:
    """Whether what is in a fridge that was off may still be eaten."""
    row = limits_on("power cut")[0]
    limit = _stood_limit(ask, scene)
    start = "No. " if _longer_than(limit, ask, scene) else ""
    line = says(f"{start}A fridge without power: {length(limit)}", row.source)
    spoken = f"{line} {row.rule}"
    return Reply(spoken, f"{spoken}\n{sources_of([row.source])}")


def _longer_than(limit_s: float, ask: Understood, scene: Scene) -> bool:
    """Whether the question tells of a longer time than this."""
    stood = kept_s(ask, scene.now)
    if stood is None:
        asks = _ASKS_LENGTH.search(plain(ask.text))
        return bool(_LONG.search(ask.text.lower()) and not asks)
    return stood > limit_s

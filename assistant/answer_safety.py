"""Answers about food safety: inside temperatures, reheating, cooling.

Every figure comes from a table's row and is told with its source. Where sources differ the
strictest is told, by name. What no table knows is said to be unknown.
"""

import re
from collections.abc import Sequence

from assistant.figures import (
    allowed,
    as_said,
    asked_about,
    degrees,
    food,
    joined,
    length,
    named_foods,
    says,
    sources_of,
    unknown,
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

_ANY_FOOD = "any cooked food"
_RICE = re.compile(
    r"\b(rice(?! (vinegar|noodle|paper|flour|wine|milk|drink))|risotto|pilaf|biryani|paella)\b"
)
_TWICE = re.compile(r"\b(twice|second time|again|two times|more than once)\b")
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
    """The least inside temperature of a food; of a fridge, a freezer, or food held hot."""
    text = ask.text.lower()
    for pattern, topic, name in _PLACES:
        if re.search(pattern, text):
            return _place(topic, name, scene)
    found = safe_temperature_index().within(text)
    for name in () if found else named_foods(ask, scene):
        found = (*found, *safe_temperature_index().within(name))
    found = found or safe_temperature_index().find(asked_about(text))
    if not found:
        return _no_temperature(ask, scene)
    rows = list(dict.fromkeys(row for match in found for row in match.rows))
    names = joined(list(dict.fromkeys(as_said(text, match.name) for match in found)))
    return _temperatures(names, rows, scene)


def _no_temperature(ask: Understood, scene: Scene) -> Reply:
    general = next(row for row in safe_temperature_index().within("meat")[0].rows if row.hold_s)
    known = safe_temperature_index().nearest(asked_about(ask.text))
    near = f" I do know {joined(known)}." if known else ""
    more = (
        f"For cooked food in general {general.source.short} says {_figure(general, scene)}.{near}"
    )
    return Reply(unknown(asked_about(ask.text)), more=more)


def _temperatures(names: str, rows: Sequence[SafeTemperature], scene: Scene) -> Reply:
    """The strictest row of each kind of food; the other rows under more."""
    general = [row for row in rows if row.food == _ANY_FOOD]
    kinds: dict[str, list[SafeTemperature]] = {}
    for row in rows:
        if row.audience == "home" and row.food != _ANY_FOOD:
            kinds.setdefault(row.food, []).append(row)
    kinds = kinds or {rows[0].food: list(rows)}
    told = {kind: _strictest([*own, *general], scene) for kind, own in kinds.items()}
    told = dict(sorted(told.items(), key=lambda item: _strictness(item[1]), reverse=True))
    sentences = []
    for kind, row in told.items():
        label = capital(names if len(told) == 1 else food(kind, scene))
        sentences.append(says(f"{label}: {_figure(row, scene)}", row.source))
    dangers = [row for match in caution_index().within(names) for row in match.rows]
    measuring = "meat done" if caution("meat done") in dangers else "measured in the middle"
    sentences.append(caution(measuring).say)
    others = [row for row in rows if row not in told.values()]
    chosen = list(dict.fromkeys(told.values()))
    more = [*(_as_good(row, scene) for row in chosen), *(row.note for row in chosen)]
    more += [_other(row, scene) for row in others]
    more += [row.say for row in dict.fromkeys(dangers) if row.name == "raw meat"]
    cited = sources_of(row.source for row in (*told.values(), *others))
    spoken = " ".join(sentences)
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(filter(None, more)))


def _as_good(row: SafeTemperature, scene: Scene) -> str:
    """ "As good: 75 degrees Celsius for 30 seconds or ...", "" where the source names none."""
    pairs = [
        f"{degrees(one.celsius, one.fahrenheit, scene)} for {length(one.hold_s)}"
        for one in row.equals
    ]
    return f"As good: {joined(pairs, 'or')}." if pairs else ""


def _strictness(row: SafeTemperature) -> tuple[int, int]:
    """The highest temperature, then the longest hold: what is meant by the strictest."""
    return round(row.celsius), row.hold_s + row.rest_s


def _strictest(rows: Sequence[SafeTemperature], scene: Scene) -> SafeTemperature:
    usable = [row for row in rows if allowed(row.source, scene)] or rows
    return max(usable, key=lambda row: (_strictness(row), row.audience == "home"))


def _figure(row: SafeTemperature, scene: Scene) -> str:
    """ "70 degrees Celsius for 2 minutes"."""
    hold = f" for {length(row.hold_s)}" if row.hold_s else ""
    rest = f", then {length(row.rest_s)} of rest" if row.rest_s else ""
    return f"{degrees(row.celsius, row.fahrenheit, scene)}{hold}{rest}"


def _other(row: SafeTemperature, scene: Scene) -> str:
    whom = " for businesses" if row.audience == "food service" else ""
    about = "" if row.food == _ANY_FOOD else f", {row.food}"
    parts = (
        f"{capital(row.source.short)}{whom}{about}: {_figure(row, scene)}.",
        _as_good(row, scene),
        row.note,
    )
    return " ".join(filter(None, parts))


def _place(topic: Topic, name: str, scene: Scene) -> Reply:
    """The strictest limit of a fridge, a freezer, food held hot, or the danger zone."""
    rows = limits_on(topic)
    usable = [row for row in rows if allowed(row.source, scene)] or list(rows)
    pick = max if usable[0].bound == "least" else min
    strict = pick(usable, key=lambda row: row.celsius or 0.0)
    line = says(f"{name}: {_limit_words(strict, scene)}", strict.source)
    head = " ".join(filter(None, (line, strict.rule)))
    others = [row for row in rows if row != strict]
    more = [f"{capital(row.source.short)}: {_limit_words(row, scene)}." for row in others]
    return Reply(head, f"{head}\n{sources_of(row.source for row in rows)}", " ".join(more))


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


def answer_reheat(ask: Understood, scene: Scene) -> Reply:
    """How hot to reheat, the strictest first; rice once only; a microwave's extra rules."""
    rice = about_rice(ask, scene)
    rows = [row for row in limits_on("reheat", "cooked rice") if row.celsius is not None]
    home = [row for row in rows if row.audience == "home" and allowed(row.source, scene)]
    strict = max(home, key=lambda row: (round(row.celsius or 0.0), row.hold_s))
    used = [strict]
    sentences = [says(f"Reheat to {_limit_figure(strict, scene)} right through", strict.source)]
    hotter = [row for row in rows if _hotter(row, strict) and allowed(row.source, scene)]
    sentences += [_other_limit(row, scene) for row in hotter]
    used += hotter
    if rice:
        own = limits_on("reheat", "cooked rice")[0]
        used.append(own)
        start = "No. Rice" if _TWICE.search(ask.text.lower()) else "Rice"
        line = f"{start}: once only, until steaming hot throughout"
        sentences.insert(0, says(line, own.source))
    if "microwave" in ask.text.lower():
        micro = limits_on("reheat in a microwave")[0]
        used.append(micro)
        sentences.append(f"In a microwave: {micro.rule[0].lower()}{micro.rule[1:]}")
    others = [row for row in rows if row not in used]
    more = [caution("reheated rice").say] if rice else []
    more += [_other_limit(row, scene) for row in others]
    cited = sources_of(row.source for row in (*used, *others))
    return Reply(" ".join(sentences), f"{' '.join(sentences)}\n{cited}", " ".join(more))


def _hotter(row: Limit, than: Limit) -> bool:
    return round(row.celsius or 0.0) > round(than.celsius or 0.0)


def _other_limit(row: Limit, scene: Scene) -> str:
    whom = " for businesses" if row.audience == "food service" else ""
    rule = f" {row.rule}" if row.rule else ""
    return f"{capital(row.source.short)}{whom}: {_limit_figure(row, scene)}.{rule}"


def _limit_figure(row: Limit, scene: Scene) -> str:
    hold = f" for {length(row.hold_s)}" if row.hold_s else ""
    within = f", reached within {length(row.within_s)}" if row.within_s else ""
    return f"{degrees(row.celsius or 0.0, row.fahrenheit or 0.0, scene)}{hold}{within}"


def about_rice(ask: Understood, scene: Scene) -> bool:
    """Whether cooked rice is asked about, by name or in the dish that was named."""
    return any(_RICE.search(name) for name in (ask.text.lower(), *named_foods(ask, scene)))


def answer_cool_down(ask: Understood, scene: Scene) -> Reply:
    """How fast and how to cool what is left over; rice within the hour."""
    rice = about_rice(ask, scene)
    rows = limits_on("cool", "cooked rice" if rice else "")
    usable = [row for row in rows if allowed(row.source, scene)] or list(rows)
    first = usable[0] if rice else min(usable, key=lambda row: row.within_s or 0)
    method = limits_on("cooling method")[0]
    within = length(first.within_s or 0)
    if first.upto_s:
        within = f"{within.split()[0]} to {length(first.upto_s)}"
    what = "Rice" if rice else "Leftovers"
    danger = caution("reheated rice" if rice else "cooling")
    sentences = [says(f"{what}: cool within {within}", first.source), first.rule, method.rule]
    if not rice:
        sentences.append(danger.say)
    others = [row for row in rows if row != first]
    more = " ".join(_cooling(row, scene) for row in others)
    cited = sources_of([first.source, method.source, danger.source, *(r.source for r in others)])
    spoken = " ".join(filter(None, sentences))
    return Reply(spoken, f"{spoken}\n{cited}", more)


def _cooling(row: Limit, scene: Scene) -> str:
    """ "The FDA Food Code: from 57 to 21 degrees Celsius within 2 hours." """
    within = f"within {length(row.within_s or 0)}"
    if row.celsius is None or row.fahrenheit is None:
        upto = f", {length(row.upto_s)} at most" if row.upto_s else ""
        return f"{capital(row.source.short)}: {within}{upto}."
    low = degrees(row.celsius, row.fahrenheit, scene, "most")
    start = "down"
    if row.from_celsius is not None and row.from_fahrenheit is not None:
        start = f"from {degrees(row.from_celsius, row.from_fahrenheit, scene, 'most')}"
    return f"{capital(row.source.short)}: {start} to {low} {within}."

"""Answers about reheating and cooling, which come before a fridge and after it.

Every figure comes from a table's row and is told with its source. Where sources differ the
strictest is told, by name.
"""

import re

from assistant.advised import advice_on
from assistant.answer_keeping import answer_keeps, too_old
from assistant.answer_safety import place_asked
from assistant.figures import (
    about_rice,
    allowed,
    degrees,
    length,
    plain_degrees,
    says,
    sources_of,
)
from assistant.inside_temperature import celsius_told, undone
from assistant.kept_for import kept_s
from assistant.measures import capital
from assistant.reply import Reply
from assistant.scene import Scene
from assistant.understand import Understood
from assistant.wording import plain
from domain.tables import Limit, caution, limits_on

_TWICE = re.compile(r"\b(twice|second time|again|two times|three times|more than once)\b")
_HEATING = re.compile(r"\b(?:re ?heat\w*|warm\w*|heat\w*|microwav\w*)\b")
# "How cold must the fridge be" is no question of cooling.
_PLACE = re.compile(
    r"\bhow (?:\w+ )?(?:cold|hot|warm)\b.*\b(?:fridge|freezer|refrigerator)\b.*\b(?:be|set|at)\b"
    r"|\bhow (?:\w+ )?(?:cold|hot|warm) (?:\w+ ){1,2}(?:fridge|freezer|refrigerator)\b"
)
_MAY = re.compile(r"^(?:can|could|may|is it|should|would it)\b|\b(?:okay|safe) to\b")


def answer_reheat(ask: Understood, scene: Scene) -> Reply:
    """How hot to reheat, the strictest first; once only; a microwave's extra rules."""
    text = plain(ask.text)
    rice = about_rice(ask, scene)
    again = advice_on(ask, scene)
    if again and not (rice and _TWICE.search(text)):
        return again
    if kept_s(ask, scene.now) is not None and _MAY.search(text):
        return _reheat_old(ask, scene)
    return _reheat(ask, scene)


def _reheat_old(ask: Understood, scene: Scene) -> Reply:
    """Whether food of a told age may be reheated: first how long it keeps."""
    kept = answer_keeps(ask, scene)
    if too_old(ask, scene):
        return kept
    heat = _reheat(ask, scene)
    return Reply(f"{kept.spoken} {heat.spoken}", f"{kept.shown}\n{heat.shown}", heat.more)


def _reheat(ask: Understood, scene: Scene) -> Reply:
    text = plain(ask.text)
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
        start = "No. Rice" if _TWICE.search(text) else "Rice"
        line = f"{start}: once only, until steaming hot throughout"
        sentences.insert(0, says(line, own.source))
    else:
        sentences.insert(0, _reheat_verdict(ask, strict, scene))
    if "microwave" in text:
        micro = limits_on("reheat in a microwave")[0]
        used.append(micro)
        sentences.append(f"In a microwave: {micro.rule[0].lower()}{micro.rule[1:]}")
    others = [row for row in rows if row not in used]
    more = [caution("reheated rice").say] if rice else []
    more += [_other_limit(row, scene) for row in others]
    cited = sources_of(row.source for row in (*used, *others))
    spoken = " ".join(filter(None, sentences))
    return Reply(spoken, f"{spoken}\n{cited}", " ".join(more))


def _reheat_verdict(ask: Understood, strict: Limit, scene: Scene) -> str:
    """ "No, 60 degrees Celsius is too low." for a temperature told; else whether at all."""
    told = celsius_told(ask)
    if told is not None:
        words = plain_degrees(told, scene)
        enough = round(told, 1) >= (strict.celsius or 0.0)
        return f"Yes, {words} is enough." if enough else f"No, {words} is too low."
    text = plain(ask.text)
    may = _MAY.search(text) and _HEATING.search(text) and not undone(ask)
    return "Yes, once." if may and kept_s(ask, scene.now) is None else ""


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


def answer_cool_down(ask: Understood, scene: Scene) -> Reply:
    """How fast and how to cool what is left over; rice within the hour."""
    ruled = advice_on(ask, scene)
    if ruled:
        return ruled
    if _PLACE.search(plain(ask.text)) and (place := place_asked(ask, scene)):
        return place
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

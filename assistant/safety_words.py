"""Questions of food safety that are known by their words, however unsure the intent model is.

The tables of advice hold the words of known dangers. They only tell, so a guess at them does no
harm, while a danger that is not understood may.
"""

import re

from assistant.inside_temperature import celsius_told, undone
from assistant.kept_for import kept_s
from assistant.meaning import Understood
from assistant.wording import plain
from domain.advice import advised
from domain.tables import safe_temperature_index
from domain.written import DAY_S

# What makes a question, or a wish to be told that it is fine, of a statement.
_ASKS = re.compile(
    r"\b(?:can|could|should|shall|may|might|must|need|safe|okay|fine|good|eat|use|serve|bin|throw|"
    r"risk|right|edible|enough|is it|is that|are they|are these|isnt it|is not it|how do i|plan|"
    r"or not|or no)\b"
)
# What says that a length of time is the age of food, not how long it cooks.
_AGED = re.compile(r"\b(?:fridge|old|leftovers?|from|since|opened|still good|ago|after)\b")
# Said in passing more often than asked.
_IDLE = frozenset({"food for an animal", "food for somebody ill"})
_LEFT_OUT = re.compile(
    r"\b(left|leave|leaving|sit|sits|sitting|sat|stand|standing|stood|been|stay|stays|stayed|"
    r"forgot|forgotten)\b.*"
    r"\b(out|overnight|counter|worktop|side|table|hob|stove|stand|warm|room)\b"
    r"|\b(?:nights?|hours?|days?)\b.*\b(?:on|at) the (?:counter|worktop|side|table|hob|stove)\b"
    r"|\bon the (?:counter|worktop|side|hob|stove)\b.*\b(?:since|all|hours?|days?|overnight)\b"
    r"|\bout (all|over)|room temperature|out of the (fridge|refrigerator)|unrefrigerated"
)
_COLD_PLACE = re.compile(r"(?<!out of the )\b(fridge|refrigerator|freezer|refrigerated|frozen)\b")
_LONG = re.compile(r"\b(?:since|hours?|days?|overnight|nights?|yesterday|all (?:day|morning))\b")
_POWER_CUT = re.compile(
    r"\bpower (?:cut|outage|failure|was|went|is|has)\b|\bpower\b.*\b(?:off|out|gone)\b|"
    r"\bunplugged\b|"
    r"\b(?:fridge|freezer|refrigerator) (?:was|has been|is|went|door was) (?:left )?"
    r"(?:off|broken|open|warm|unplugged)\b"
)


def left_out(text: str) -> bool:
    """Whether food is meant that stood, or would stand, out of the cold."""
    lower = text.lower()
    return bool(_LEFT_OUT.search(lower) and not _COLD_PLACE.search(lower))


def power_cut(text: str) -> bool:
    """Whether food is meant whose fridge was off."""
    return bool(_POWER_CUT.search(plain(text)))


def _stood_long(text: str) -> bool:
    return bool((left_out(text) and _LONG.search(text.lower())) or power_cut(text))


def safety_asked(heard: Understood) -> str | None:
    """The intent of a question of food safety that its words tell; None when they tell none."""
    text, wording = heard.text, plain(heard.text)
    if not _ASKS.search(wording):
        return None
    row = advised("eating", wording, weak=False)
    if (row is not None and row.name not in _IDLE) or _stood_long(text):
        return "safe_to_eat"
    if advised("handling", wording, weak=False):
        return "hygiene"
    if safe_temperature_index().within(text):
        if celsius_told(heard) is not None:
            return "safe_temperature"
        if undone(heard):
            return "safe_to_eat"
    aged = (kept_s(heard, 0.0) or 0.0) >= DAY_S / 2 and _AGED.search(wording)
    return "keeps" if aged else None

"""How long food has been kept, or would be, by the words of a question."""

import re
from datetime import datetime

from assistant.meaning import Understood
from assistant.wording import plain
from domain.errors import ImpossibleAmount
from domain.sources import TIMES_S
from domain.units import convert
from domain.written import DAY_S

_LONGER = re.compile(
    r"\b(?:(?P<one>last|an?|one)|(?P<few>few|several)) (?:old )?"
    r"(?P<unit>week|fortnight|month|year)s?\b"
)
_FEW = 3  # what "a few days" is taken for: the strict side of a few is more, not fewer
# Day words (regular expressions), the longest first; a night counts as a whole day: the strict
# side.
_DAYS = (
    ("day before yesterday", 2.0),
    ("day after tomorrow", 2.0),
    ("the other day", 3.0),
    ("yesterday", 1.0),
    ("last night", 1.0),
    ("tomorrow", 1.0),
    ("overnight", 1.0),
    ("(?:a|one|all|the whole) night", 1.0),
    ("few days", 3.0),
    ("couple of days", 2.0),
    ("all week", 7.0),
)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_UNTIL = re.compile(r"\b(?:until|till|til|by) (?:\w+ )?$")
_TO_COME = re.compile(r"\b(?:will|keep|save|for|on)\b")
_GONE = re.compile(r"\b(?:from|since|last|made|cooked|bought|opened|was|been)\b")


def kept_s(ask: Understood, now: float) -> float | None:
    """For how many seconds the food was or would be kept; None when the question does not say.

    now: POSIX seconds, from which a weekday is counted.
    """
    for amount in ask.amounts:
        if not isinstance(amount.value, int | float):
            continue
        value = float(amount.high or amount.value)
        if amount.kind == "duration" and amount.unit:
            try:
                return convert(value, amount.unit, "second").value
            except ImpossibleAmount:
                return float("inf")
        unit = re.match(r"[\s-]*(week|fortnight|month|year)s?\b", ask.text[amount.end :].lower())
        if amount.kind == "count" and unit:
            return value * TIMES_S[unit[1]]
    return _in_words(plain(ask.text), now)


def _in_words(text: str, now: float) -> float | None:
    for words, days in _DAYS:
        if re.search(rf"\b{words}\b", text):
            return days * DAY_S
    longer = _LONGER.search(text)
    if longer:
        return TIMES_S[longer["unit"]] * (_FEW if longer["few"] else 1)
    named = next((day for day in _WEEKDAYS if re.search(rf"\b{day}\b", text)), None)
    if named is None:
        return None
    today = datetime.fromtimestamp(now).weekday()
    ahead = (_WEEKDAYS.index(named) - today) % 7 or 7
    before = text[: text.index(named)]
    if _UNTIL.search(before) or (_TO_COME.search(before) and not _GONE.search(before)):
        return ahead * DAY_S
    return (7 - ahead or 7) * DAY_S

"""Two requests in one breath: "how long on the rice, and set a timer for five minutes"."""

import re
from collections.abc import Callable

from assistant.meaning import Understood
from assistant.supposing import WHAT_IF
from assistant.understand import LONGEST
from assistant.wording import plain

# Each half must be understood as surely as this by itself: of two guesses one is mostly wrong.
SURE = 0.9
_JOINS = re.compile(
    r"[,;.?!]*\s+(?P<word>and|then|also|plus|but)\b(?:\s+(?:then|also))?\s+|[,;.?!]\s+", re.I
)
# Each place costs two questions to the intent server, so of rambling talk only the likeliest are
# tried: those with a word that joins, and the last.
_MOST_PLACES = 2
# What only goes on with what was said before, or answers something.
_GOES_ON = re.compile(
    r"(?:for|with|without|in|on|at|to|into|until|till|because|so|or|if|which|that|it|call it|"
    r"name it|not|no|yes|please|thanks|when (?!do|does|will|is|are|can|should))\b"
)
_NO_HALF = frozenset(
    {WHAT_IF, "yes", "no", "correction", "again", "more", "thanks", "greet", "help", "stop"}
)
_LEANS = re.compile(r"\b(?:it|them)\b")
_REPORTS = frozenset({"report_done", "report_begun", "report_gate"})
# After these "what now" asks about them.
_TROUBLE = frozenset({"report_spoilt", "report_forgot", "swap", "equipment_lost"})


def requests(text: str, understand: Callable[[str], Understood]) -> tuple[str, ...]:
    """The two requests of `text`, in their order; `text` alone where it is one, or may be."""
    halves = _halves(text)
    whole = understand(text) if halves else None
    if whole is None or whole.by in ("exact", "emergency"):
        return (text,)
    parted = []
    for first, second in halves:
        one = understand(first)
        other = understand(second) if _stands(one) else None
        if other is not None and _are_two(one, other, whole):
            parted.append((min(one.confidence, other.confidence), len(first), (first, second)))
    return max(parted)[2] if parted else (text,)


def _halves(text: str) -> list[tuple[str, str]]:
    """The likeliest places where a second request begins, each as what stands on either side."""
    if len(text) > LONGEST:
        return []
    found = []
    for join in _JOINS.finditer(text):
        first, second = text[: join.start()].strip(), text[join.end() :].strip()
        if first and second and not _GOES_ON.match(plain(second)):
            found.append((join["word"] is not None, len(first), (first, second)))
    return [halves for _, _, halves in sorted(found)[-_MOST_PLACES:]]


def _are_two(one: Understood, other: Understood, whole: Understood) -> bool:
    """Whether the second is a request of its own as the first is, and the whole nothing else."""
    if not _stands(other):
        return False
    if _two_reports(one, other):
        return True
    if one.intent not in _REPORTS and not other.refs and _LEANS.search(plain(other.text)):
        return False  # "there is rice left, how do I keep it" is one question
    if one.intent == other.intent:
        return False
    if one.intent in _TROUBLE and other.intent == "what_now":
        return False
    if one.intent == "timer_set" and other.amounts and other.amounts[0].start == 0:
        return False  # "five minutes for the eggs and seven for the beans"
    return whole.intent in (None, one.intent, other.intent)


def _two_reports(one: Understood, other: Understood) -> bool:
    """Whether each tells beyond doubt of another step: "peas are in, yoghurt is stirred"."""
    sure = one.by == other.by == "exact" and {one.intent, other.intent} <= _REPORTS
    named = [[ref.name for ref in half.refs if ref.kind == "step"] for half in (one, other)]
    return sure and all(named) and named[0] != named[1]


def _stands(half: Understood) -> bool:
    """Whether this is a request that needs nothing beside it."""
    return half.intent is not None and half.confidence >= SURE and half.intent not in _NO_HALF

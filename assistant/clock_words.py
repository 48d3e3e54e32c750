"""Times of day as cooks type and say them: "19:10", "ten past seven", "half seven", "at seven"."""

from dataclasses import dataclass
from datetime import datetime

from assistant.number_words import Number, Token, glued, low, read_number, word_set

_BEFORE = word_set("at by until till before around towards it's its about for")
_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (0, 0)}
_PAST = frozenset(("past", "after"))
_TO = frozenset(("to", "before", "til", "till"))
_MEALS = word_set(
    "service dinner supper lunch breakfast eat eating meal serve serving plate time guests table"
)
_SHIFTS = word_set("move push shift delay postpone")
_MOVES = _SHIFTS | word_set("bring put change set")
_READY = word_set("ready done finished alarm on good late up work")
_HOPES = word_set("we we'll will can still")  # "will we make seven", not "make ten"
_HEADS = word_set("people guests persons degrees places percent of")
_SCALING = word_set("multiply multiplied divide divided times scale scaled cut increase")
# Words after which a bare number is surely no hour: "at six people", "by two degrees".
_FOLLOWS = word_set(
    """please and then so or but for with instead sharp tonight today tomorrow not is are we will
    the if in on to i can when that what how because now this at right won't isn't aren't can't"""
)


@dataclass(frozen=True)
class Clock:
    """A time of day that was read: "HH:MM" on the 24-hour clock, tokens [start, end)."""

    value: str
    start: int
    end: int


def read_clock(tokens: list[Token], i: int, now: datetime | None) -> Clock | None:
    """The time of day that begins at token i, or None.

    Without am or pm, and not written as "07:30" or "19:30", it is the next such time after
    `now`; with no `now` it stays as said.
    """
    word = low(tokens, i)
    if word in _NAMED:
        hour, minute = _NAMED[word]
        return Clock(f"{hour:02}:{minute:02}", i, i + 1)
    return (
        _colon(tokens, i, now)
        or _past_or_to(tokens, i, now)
        or _half_hour(tokens, i, now)
        or _spoken(tokens, i, now)
    )


def _colon(tokens: list[Token], i: int, now: datetime | None) -> Clock | None:
    """ "19:10", "7:30 pm", and "7.30" where a time is due."""
    word = low(tokens, i)
    if word.isdecimal() and low(tokens, i + 1) == ":" and glued(tokens, i + 1):
        hour, minute, end = word, low(tokens, i + 2), i + 3
    elif "." in word and (low(tokens, i - 1) in _BEFORE or _half_of_day(tokens, i + 1)[0]):
        hour, minute = word.split(".", 1)
        end = i + 1
    else:
        return None
    if not (minute.isdecimal() and hour.isdecimal() and len(minute) == 2 and len(hour) <= 2):
        return None
    exact = len(hour) == 2 and (hour[0] == "0" or int(hour) > 12)
    return _clock(tokens, i, end, int(hour), int(minute), now, exact=exact)


def _past_or_to(tokens: list[Token], i: int, now: datetime | None) -> Clock | None:
    """ "ten past seven", "quarter to eight", "half past six", "twelve minutes to nine"."""
    k = i + 1 if low(tokens, i) == "a" and low(tokens, i + 1) == "quarter" else i
    said = read_number(tokens, k)
    if said is None or said.pair:
        return None
    minutes, end = said.value, said.end
    if said.fraction:
        minutes = 60 * minutes
    named = low(tokens, end) in ("minute", "minutes")
    end += named
    way = low(tokens, end)
    if minutes != int(minutes) or not 1 <= minutes <= 59 or way not in _PAST | _TO:
        return None
    if way in _TO and not (named or said.fraction or minutes in (5, 10, 20, 25)):
        return None
    if way in ("after", "before") and named:
        return None  # "ten minutes before seven" is a duration and a time
    hour = _hour(tokens, end + 1)
    if hour is None:
        return None
    h, m = hour, int(minutes)
    if way in _TO:
        h, m = (h - 1) % 12, 60 - m
    after = end + 2 + _oclock(tokens, end + 2)
    return _clock(tokens, i, after, h, m, now)


def _hour(tokens: list[Token], i: int) -> int | None:
    """The hour of a clock face said in one word at i, or None."""
    hour = read_number(tokens, i)
    if hour is None or hour.end != i + 1 or hour.value not in range(1, 13):
        return None
    return None if low(tokens, i) in ("dozen", "couple") else int(hour.value)


def _half_hour(tokens: list[Token], i: int, now: datetime | None) -> Clock | None:
    """ "half seven", as said in the UK: half past."""
    if low(tokens, i) != "half":
        return None
    hour = _hour(tokens, i + 1)
    if hour is None or not (low(tokens, i - 1) in _BEFORE or _closes(tokens, i + 2)):
        return None
    return _clock(tokens, i, i + 2, hour, 30, now)


def _spoken(tokens: list[Token], i: int, now: datetime | None) -> Clock | None:
    """ "seven thirty", "seven pm", "seven o'clock", and "seven" where a time is due."""
    said = read_number(tokens, i)
    if said is None or said.fraction:
        return None
    if said.pair:
        hour, minute = said.pair
        if hour > 23 or minute > 59:
            return None
        return _clock(tokens, i, said.end, hour, minute, now, exact=hour > 12)
    if said.value not in range(0, 24):
        return None
    oclock = _oclock(tokens, said.end)
    # "We are six tonight" counts heads; "at six tonight" is due as an hour anyway.
    halved = _half_of_day(tokens, said.end)[0] and low(tokens, said.end) != "tonight"
    if oclock or halved or _hour_is_due(tokens, i, said):
        hour = int(said.value)
        return _clock(tokens, i, said.end + oclock, hour, 0, now, exact=hour > 12 or hour == 0)
    return None


def _oclock(tokens: list[Token], i: int) -> int:
    """How many tokens "o'clock" takes at i; 0 when it is not there."""
    if low(tokens, i) in ("o'clock", "oclock"):
        return 1
    if low(tokens, i) == "o" and low(tokens, i + 1) in ("clock", "'"):
        return 2 if low(tokens, i + 1) == "clock" else 3
    return 0


def _hour_is_due(tokens: list[Token], i: int, said: Number) -> bool:
    """True when the bare number can only be an hour: "at seven", "ready for eight"."""
    before, earlier = low(tokens, i - 1), low(tokens, i - 2)
    if not 1 <= said.value <= 23:
        return False
    if before in ("at", "until", "till") and said.value > 1:
        return low(tokens, said.end) not in _HEADS
    if not _closes(tokens, said.end):
        return before == "is" and low(tokens, said.end) in ("still", "possible", "realistic")
    words = {token.low for token in tokens}
    if before in ("at", "until", "till", "before", "towards", "it's"):
        return True
    if before in ("by", "around"):
        return not words & _SCALING
    if before == "make":
        return bool(words & _HOPES)
    if before == "for":
        hoped = earlier == "it" and bool(words & _HOPES)
        return hoped or earlier in _READY or (earlier in _MEALS and bool(words & _MOVES))
    shifted = bool(words & _SHIFTS) and earlier == "it"
    return before == "to" and (shifted or bool(words & _MOVES and words & _MEALS))


def _closes(tokens: list[Token], i: int) -> bool:
    """True when nothing that could be counted follows."""
    word = low(tokens, i)
    return not word or not word[0].isalnum() or word in _FOLLOWS


def _half_of_day(tokens: list[Token], i: int) -> tuple[str, int]:
    """("am" | "pm" | "", tokens taken) for what is said after an hour."""
    word = low(tokens, i)
    if word in ("am", "pm"):
        return word, 1
    if word in ("a", "p"):
        rest = [low(tokens, i + k) for k in range(1, 4)]
        if rest[0] == "m":
            return f"{word}m", 2
        if rest[:2] == [".", "m"]:
            return f"{word}m", 4 if rest[2] == "." else 3
    if word == "tonight":
        return "pm", 1
    phrase = tuple(low(tokens, i + k) for k in range(3))
    if phrase[:2] in (("in", "the"), ("this", "evening"), ("this", "afternoon"), ("at", "night")):
        if phrase[0] != "in":
            return "pm", 2
        if phrase[2] in ("morning", "afternoon", "evening"):
            return ("am" if phrase[2] == "morning" else "pm"), 3
    return "", 0


def _clock(
    tokens: list[Token],
    start: int,
    end: int,
    hour: int,
    minute: int,
    now: datetime | None,
    *,
    exact: bool = False,
) -> Clock | None:
    """The time with its half of the day, said or worked out; None for no time of day."""
    if hour > 23 or minute > 59:
        return None
    half, taken = _half_of_day(tokens, end)
    if half and hour <= 12:
        hour = hour % 12 + (12 if half == "pm" else 0)
    elif not exact and now is not None:
        hour = _next_hour(hour, minute, now)
    return Clock(f"{hour:02}:{minute:02}", start, end + taken)


def _next_hour(hour: int, minute: int, now: datetime) -> int:
    """The hour on the 24-hour clock at which this clock face next comes after now."""
    since_midnight = now.hour * 60 + now.minute
    faces = [(hour % 12) + half for half in (0, 12)]
    return min(faces, key=lambda h: (h * 60 + minute - since_midnight - 1) % 1440)

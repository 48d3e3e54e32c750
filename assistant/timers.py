"""The timers that are set: which one is meant, how a new one is called, and how long."""

import re
from collections.abc import Iterator

from assistant.meaning import AmountHeard, Ref, Understood
from assistant.measures import listed, span
from assistant.reply import Reply
from assistant.resolve import stem
from assistant.scene import Scene
from assistant.wording import plain
from scheduling.events import Timer

MOST_TIMERS = 20
_MARK = "|"  # stands where an amount stood
_NAMED = re.compile(r"\b(?:called|named|labelled|call (?:it|that|them)|name it)\s+([a-z][\w' -]*)")
_FOR = re.compile(r"\b(?:for|on|about)\s+((?:the|my|our)\s+[a-z][\w' -]*)")
_ITS_TIMER = re.compile(r"\b([a-z][\w'-]*)\s+timers?\b")
_DETERMINED = re.compile(r"^(?:(?:the|my|our|a|an|some)\s+)+")
_AFTERWARDS = re.compile(
    r"\s+(?:for|please|and|now|to|in|at|until|till|then|thanks|as well|should|is|was|has|will)\b"
    r".*$"
)
_NO_NAME = frozenset(
    """a an another any first it kitchen last minute minutes my new next one other our second
    seconds set start stop that the third this timer timers hour hours of up two three four five
    time your cancel delete clear add change which what every all both no old same for put
    another-one separate extra on""".split()  # noqa: SIM905
)
_BETWEEN = frozenset({"", "and", "&", "then"})


def ringing_order(scene: Scene) -> list[Timer]:
    """The timers that run or ring, the next to ring first."""
    timers = [timer for timer in scene.live.state.timers.values() if not timer.acknowledged]
    return sorted(timers, key=lambda timer: timer.ends_at)


def timers_named(ask: Understood, scene: Scene) -> list[Timer]:
    """Those that are named, by a word of theirs; none where none is."""
    timers = ringing_order(scene)
    named = {ref.name for ref in ask.refs if ref.kind == "timer"}
    words = {stem(word) for word in plain(ask.text).split()} - _COMMON
    return [timer for timer in timers if timer.name in named] or [
        timer for timer in timers if words & {stem(word) for word in plain(timer.name).split()}
    ]


def timers_meant(ask: Understood, scene: Scene) -> list[Timer]:
    """Those that are named, else all."""
    return timers_named(ask, scene) or ringing_order(scene)


def timers_left(timers: list[Timer], scene: Scene) -> Reply:
    """The time left on each of these."""
    if not timers:
        return Reply("No timer is running.")
    return listed("Timers", [f"{timer.name}, {timer_span(timer, scene)}" for timer in timers])


def timer_span(timer: Timer, scene: Scene) -> str:
    left = timer.ends_at - scene.now
    return span(left) if left > 0 else "ringing"


def timer_ref(timer: Timer) -> Ref:
    """The timer as if it had been named."""
    return Ref(timer.name, "timer", timer.name, 1.0, 0, 0)


def lengths(ask: Understood) -> list[AmountHeard]:
    """The durations that are told, in order: of "five, seven and nine minutes" all three."""
    found: list[AmountHeard] = []
    unit, following = None, len(ask.text)
    for amount in reversed(ask.amounts):
        between = ask.text[amount.end : following].strip(" ,").lower()
        if amount.kind == "duration" and amount.value is not None:
            unit = amount.unit
            found.append(amount)
        elif amount.kind == "count" and unit and between in _BETWEEN:
            found.append(AmountHeard(**{**vars(amount), "unit": unit, "kind": "duration"}))
        else:
            unit = None
        following = amount.start
    return found[::-1]


def name_said(ask: Understood) -> str:
    """What a new timer is called, or is for, in the cook's words; "" when that is not said."""
    return next(_names_said(ask), "")


def _names_said(ask: Understood) -> Iterator[str]:
    text = _without_amounts(ask)
    for ref in ask.refs:  # a thing that was told since, as a correction, holds
        if ref.kind != "timer" and ref.text.lower() not in text:
            yield _tidy(ref.text.lower())
    for pattern in (_NAMED, _FOR):
        for match in pattern.finditer(text):
            if name := _tidy(match[1]):
                yield name
    for match in _ITS_TIMER.finditer(text):
        if match[1] not in _NO_NAME:
            yield match[1]
    for ref in ask.refs:
        if ref.kind != "timer":
            yield _tidy(ref.text.lower())


def _without_amounts(ask: Understood) -> str:
    text = ask.text
    for amount in sorted(ask.amounts, key=lambda amount: -amount.start):
        if told_here(amount, ask):
            text = f"{text[: amount.start]}{_MARK}{text[amount.end :]}"
    return text.lower()


def told_here(amount: AmountHeard, ask: Understood) -> bool:
    """Whether the amount stands in these words, and was not told afterwards ("for how long?")."""
    return ask.text[amount.start : amount.end] == amount.text


def _tidy(name: str) -> str:
    name = _DETERMINED.sub("", _AFTERWARDS.sub("", name.strip(" '-"))).strip()
    words = [word for word in name.split() if word not in ("timer", "timers")]
    return " ".join(words[:4])


def free_names(wanted: str, scene: Scene) -> Iterator[str]:
    """Names for new timers that no other has: "egg timer", "egg timer 2", ..."""
    return numbered(f"{wanted} timer" if wanted else "timer", scene)


def numbered(base: str, scene: Scene) -> Iterator[str]:
    """This name, or with the next number, where no timer that runs or rings has it."""
    running = {timer.name for timer in ringing_order(scene)}
    for name in (base, *(f"{base} {n}" for n in range(2, 2 * MOST_TIMERS + 2))):
        if name not in running:
            yield name


_COMMON = frozenset(map(stem, _NO_NAME)) | {stem(word) for word in ("timer", "check", "take")}

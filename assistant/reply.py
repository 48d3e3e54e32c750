"""What an answer is: words to speak and show, what it changes, and a question it may ask back."""

from dataclasses import dataclass, replace
from typing import Any

from rapidfuzz import fuzz

from assistant.learning import Learned
from assistant.meaning import Understood
from assistant.two_forms import to_say, to_show
from assistant.wording import plain
from scheduling.events import Event

_ORDINALS = {"first": 0, "1st": 0, "former": 0, "second": 1, "2nd": 1, "latter": 1, "third": 2}
_ROUND_AN_AMOUNT = frozenset(
    """a an and another about around at by er for in just longer make it maybe more of on only or
    perhaps please say so sorry the to um until well yes""".split()  # noqa: SIM905
)
_EMPTY = {"a", "an", "the", "one", "i", "mean", "meant", "it", "that", "is", "for", "please", "yes"}
_ALIKE = 80.0  # rapidfuzz ratio for one word against one word; our own choice


@dataclass(frozen=True)
class Question:
    """A short question with its likely answers: (label, what is then meant).

    amount_for: what is meant once an amount is said by itself ("How much longer?" "Ten minutes.").
    """

    choices: tuple[tuple[str, Understood], ...]
    amount_for: Understood | None = None

    def chosen(self, text: str) -> Understood | None:
        """What `text` picks: a place ("the second") or words that stand in one label alone.

        None when it picks nothing, more than one, or says more than an answer would.
        """
        words = [word for word in plain(text).split() if word not in _EMPTY]
        if not words:
            return None
        if len(words) == 1 and _ORDINALS.get(words[0], len(self.choices)) < len(self.choices):
            return self.choices[_ORDINALS[words[0]]][1]
        fits = [meant for label, meant in self.choices if _stands_in(words, label)]
        return fits[0] if len(fits) == 1 else None

    def answered(self, ask: Understood) -> Understood | None:
        """What is meant when `ask` is the amount asked for and nothing else."""
        if self.amount_for is None or not ask.amounts:
            return None
        text = ask.text
        for amount in sorted(ask.amounts, key=lambda amount: -amount.start):
            text = f"{text[: amount.start]} {text[amount.end :]}"
        if set(plain(text).split()) - _ROUND_AN_AMOUNT:
            return None
        return replace(self.amount_for, amounts=ask.amounts, confidence=1.0)


@dataclass(frozen=True)
class Measured:
    """An amount in the air, for follow-ups ("and in cups?", "half of that").

    unit: a unit name of `domain.units`, "" for a count; ingredient: "" when none was named;
    high: the end of a range.
    """

    value: float
    unit: str
    ingredient: str = ""
    high: float | None = None


@dataclass(frozen=True)
class Reply:
    """An answer.

    spoken: its first sentence has at most fifteen words. shown: the same for the eye, with
    exact figures. more, more_shown: further sentences, for when more is asked. Values written
    with `two_forms.both` are taken apart here. events: to be stored.
    settings: (name, new value) of `domain.settings`. learned: the cook's own times as they shall
    be kept from now on. measured: the amount that was told.
    stops: speech falls silent at once. hush_s: calls are kept back for so many seconds (0: no
    longer; infinity: until the cook carries on, heat included); None leaves that as it is.
    step: key of the step that was told, for "read it again".
    """

    spoken: str
    shown: str = ""
    more: str = ""
    events: tuple[Event, ...] = ()
    question: Question | None = None
    settings: tuple[tuple[str, Any], ...] = ()
    measured: Measured | None = None
    stops: bool = False
    hush_s: float | None = None
    more_shown: str = ""
    learned: Learned | None = None
    step: str = ""

    def followed_by(self, other: "Reply") -> "Reply":
        """This answer's words and then the other's; what they do has been done."""
        if not self.shown or not other.shown:
            return other if other.shown else self
        return replace(
            other,
            spoken=f"{self.spoken} {other.spoken}",
            shown=f"{self.shown}\n{other.shown}",
            more=" ".join(filter(None, (self.more, other.more))),
            more_shown=" ".join(filter(None, (self.more_shown, other.more_shown))),
            stops=self.stops or other.stops,
        )

    def __post_init__(self) -> None:
        forms = {
            "shown": to_show(self.shown or self.spoken),
            "more_shown": to_show(self.more_shown or self.more),
            "spoken": to_say(self.spoken),
            "more": to_say(self.more),
        }
        for name, text in forms.items():
            object.__setattr__(self, name, text)


def _stands_in(words: list[str], label: str) -> bool:
    known = plain(label).split()
    return all(any(fuzz.ratio(word, other) >= _ALIKE for other in known) for word in words)

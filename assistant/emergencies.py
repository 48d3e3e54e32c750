"""Emergencies, matched before everything else and without any model."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from assistant.wording import plain
from domain.yamlfile import Entry, read

_LISTS = ("emergencies", "in_passing", "over", "words")
_GO_ON = re.compile(r"\b(?:carry|go|move) on\b(?! fire)|\bcontinue\b|\bresume\b")
_STILL = re.compile(r"\b(?:not|still|again|cannot|never)\b")
TABLE = Path(__file__).parents[1] / "domain" / "tables" / "emergencies.yaml"

# How overheard words of danger are heeded: at once; by the same advice and nothing else ("If
# someone is cut: ..."); not at all, as talk among others.
Heed = Literal["at once", "in case", "not"]

# Words of danger are a report where they were heard surely, where hardly anything else was said,
# and where little else was, other words at most so many, unless they were hardly heard. In
# misheard prose, of which nothing is heard surely, danger stands among other words; there, and
# where as good as nothing was heard, it may be a report.
SURELY_HEARD, HEARD, HARDLY_HEARD = 0.3, 0.15, 0.03
HARDLY_OTHERS, FEW_OTHERS, SOME_OTHERS = 1, 2, 5
# What is said around a report, and says nothing else.
_AROUND = frozenset(
    """a about an and are at be been but by can come do does er for from get god got had has have
    he help her here his i in into is it its just me my no not now of off oh on ouch our out
    over ow please quick quickly she so some something that the their them there they think
    this to uh um up us was we what whole with yes you your""".split()  # noqa: SIM905
)


@dataclass(frozen=True)
class Emergency:
    """What is said at once (`say`), what follows (`more`), whose advice it is, how it is known.

    when: what comes before `say` where it is not sure that there is any emergency.
    status: "published" or "common practice".
    """

    intent: str
    when: str
    say: str
    more: str
    source: str
    status: str
    patterns: tuple[re.Pattern[str], ...]
    unless: tuple[re.Pattern[str], ...]

    def is_told_by(self, wording: str) -> bool:
        """Whether the plain wording reports this emergency."""
        return any(pattern.search(wording) for pattern in self.patterns) and not any(
            pattern.search(wording) for pattern in self.unless
        )

    def others(self, wording: str) -> int:
        """How many words of the plain wording have nothing to do with this emergency."""
        for pattern in self.patterns:
            wording = pattern.sub(lambda found: "\0" * len(found[0]), wording)
        words = (word for word in wording.split() if "\0" not in word)
        return sum(word not in _AROUND for word in words)


@cache
def emergencies(path: Path = TABLE) -> tuple[Emergency, ...]:
    """The table, in its order. Raises FileProblem."""
    fields = read(path).fields(_LISTS)
    words = _words(fields["words"])
    return tuple(_emergency(entry, words) for entry in fields["emergencies"].items())


@cache
def _in_passing(path: Path = TABLE) -> tuple[re.Pattern[str], ...]:
    return read(path).fields(_LISTS)["in_passing"].patterns()


@cache
def _over(path: Path = TABLE) -> tuple[re.Pattern[str], ...]:
    fields = read(path).fields(_LISTS)
    return fields["over"].patterns(_words(fields["words"]))


def _words(entry: Entry) -> dict[str, str]:
    return {name: words.text() for name, words in entry.pairs().items()}


def is_over(text: str) -> bool:
    """Whether the cook says that an emergency is over and that we go on, and tells of no other."""
    wording = rest = plain(text)
    if not _GO_ON.search(wording) or _STILL.search(wording):
        return False
    for pattern in _over():
        rest = pattern.sub(" ", rest)
    return rest != wording and told(rest) is None


def told(text: str, known: Sequence[Emergency] | None = None) -> Emergency | None:
    """The emergency that `text` tells of, None when it tells of none."""
    wording = plain(text)
    for emergency in emergencies() if known is None else known:
        if emergency.is_told_by(wording):
            return emergency
    return None


def only_sounds_like(intent: str, text: str) -> bool:
    """Whether `text` has a wording that only sounds like the emergency of this intent."""
    wording = plain(text)
    rows = (row for row in emergencies() if row.intent == intent)
    return any(pattern.search(wording) for row in rows for pattern in row.unless)


def heeded(text: str, confidence: float) -> Heed:
    """How words taken for an emergency are heeded that were overheard with this confidence."""
    wording, emergency, sure = plain(text), told(text), confidence >= SURELY_HEARD
    if any(pattern.search(wording) for pattern in _in_passing()):
        return "not"
    if emergency is None:  # a guess of the intent model
        return "in case" if sure else "not"
    others = emergency.others(wording)
    if confidence < HARDLY_HEARD:
        return "in case" if others <= FEW_OTHERS else "not"
    if sure or others <= (FEW_OTHERS if confidence >= HEARD else HARDLY_OTHERS):
        return "at once"
    return "in case" if others <= SOME_OTHERS else "not"


def _emergency(entry: Entry, words: dict[str, str]) -> Emergency:
    texts = ("intent", "if", "say", "more", "source", "status")
    fields = entry.fields((*texts, "patterns", "unless"))
    intent, when, say, more, source, status = (fields[name].text() for name in texts)
    patterns, unless = (fields[name].patterns(words) for name in ("patterns", "unless"))
    return Emergency(intent, when, say, more, source, status, patterns, unless)

"""Emergencies, matched before everything else and without any model."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from assistant.wording import plain
from domain.yamlfile import Entry, read

TABLE = Path(__file__).parents[1] / "domain" / "tables" / "emergencies.yaml"


@dataclass(frozen=True)
class Emergency:
    """What is said at once (`say`), what follows (`more`), whose advice it is, how it is known.

    status: "published" or "common practice".
    """

    intent: str
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


@cache
def emergencies(path: Path = TABLE) -> tuple[Emergency, ...]:
    """The table, in its order. Raises FileProblem."""
    fields = read(path).fields(("emergencies", "words"))
    words = {name: entry.text() for name, entry in fields["words"].pairs().items()}
    return tuple(_emergency(entry, words) for entry in fields["emergencies"].items())


def told(text: str, known: Sequence[Emergency] | None = None) -> Emergency | None:
    """The emergency that `text` tells of, None when it tells of none."""
    wording = plain(text)
    for emergency in emergencies() if known is None else known:
        if emergency.is_told_by(wording):
            return emergency
    return None


def _emergency(entry: Entry, words: dict[str, str]) -> Emergency:
    fields = entry.fields(("intent", "say", "more", "source", "status", "patterns", "unless"))

    def compiled(name: str) -> tuple[re.Pattern[str], ...]:
        patterns = []
        for item in fields[name].items():
            written = item.text()
            for word, stands_for in words.items():
                written = written.replace(word, stands_for)
            try:
                patterns.append(re.compile(written))
            except re.error as error:
                raise item.problem(f"is no regular expression: {error}", "correct it") from error
        return tuple(patterns)

    say, more, source, status = (fields[n].text() for n in ("say", "more", "source", "status"))
    return Emergency(
        fields["intent"].text(), say, more, source, status, compiled("patterns"), compiled("unless")
    )

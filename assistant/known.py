"""What is known of the phrase book beforehand: its wordings, for matching without the server.

Reading the amounts of a whole book takes seconds, so training keeps the result in a file.
"""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from assistant.masking import THING_ENTITY, Masker
from assistant.phrasebook import OUT_OF_SCOPE, PhraseBook
from assistant.wording import exact_key, plain

FOLDER = Path(__file__).parents[1] / "models" / "intents"
# The modules that decide how a wording is masked; what was kept is of no use when they change.
_DECIDING = (
    *("amounts.py", "clock_words.py", "corrections.py", "number_words.py", "unit_words.py"),
    *("masking.py", "phrasebook.py", "wording.py"),
)


@dataclass(frozen=True)
class Known:
    """exact: normalised masked wording to its intent.

    ordinary: words that are themselves, and no misspelt or misheard name of something else.
    """

    exact: dict[str, str]
    ordinary: frozenset[str]


def known(book: PhraseBook, folder: Path = FOLDER) -> Known:
    """What was kept for this very book, else worked out anew."""
    file = _file(book, folder)
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        return Known(kept["exact"], frozenset(kept["ordinary"]))
    except (OSError, ValueError, KeyError, TypeError):
        return work_out(book)


def keep(book: PhraseBook, folder: Path = FOLDER) -> None:
    """Keep what `known` needs for this book, in place of what was kept before."""
    folder.mkdir(parents=True, exist_ok=True)
    for old in folder.glob("known-*.json"):
        old.unlink()
    found = work_out(book)
    content = {"exact": found.exact, "ordinary": sorted(found.ordinary)}
    part = _file(book, folder).with_suffix(".part")
    part.write_text(json.dumps(content), encoding="utf-8")
    part.rename(_file(book, folder))


def work_out(book: PhraseBook) -> Known:
    """The wordings that belong to one intent only, and the words around amounts and things."""
    masker = Masker(book.lookups.get(THING_ENTITY, ()))
    owners: dict[str, set[str]] = {}
    ordinary = {word for food in book.lookups.get(THING_ENTITY, ()) for word in food.split()}
    for intent in book.intents.values():
        for example in intent.examples:
            things = [(s.start, s.end) for s in example.spans if s.entity == THING_ENTITY]
            wording = masker.masked(example.text, things=things)
            owners.setdefault(exact_key(wording), set()).add(intent.name)
            ordinary.update(plain(example.masked).split(), example.masked.lower().split())
    exact = {
        key: next(iter(names))
        for key, names in owners.items()
        if key and len(names) == 1 and OUT_OF_SCOPE not in names
    }
    return Known(exact, frozenset(ordinary))


def _file(book: PhraseBook, folder: Path) -> Path:
    digest = hashlib.sha256(book.digest.encode())
    for name in _DECIDING:
        digest.update(Path(__file__).with_name(name).read_bytes())
    return folder / f"known-{digest.hexdigest()[:16]}.json"

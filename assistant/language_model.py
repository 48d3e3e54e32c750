"""What can be said, as a trigram and a pronouncing dictionary for PocketSphinx.

The same book and menu always give the same model, kept in a cache folder under the hash of all
that went in.
"""

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_cache_path

from assistant.drawing import Amounts, gate_words, menu_words, sentences, step_words
from assistant.models import installed
from assistant.phrasebook import PhraseBook
from assistant.pronounce import pronunciations
from assistant.published import SPOKEN_WORDS, published, unaccented
from assistant.spelling import Speller
from assistant.trigram import arpa
from domain.errors import KitchenError
from domain.menu import Menu
from domain.whole_file import write_whole

# Of the manifest; its last file is the dictionary.
ACOUSTIC_MODEL = "pocketsphinx-en-us"
# The modules that decide what a model is.
_CODE = ["arpabet", "drawing", "language_model", "pronounce", "published", "spelling", "trigram"]


@dataclass(frozen=True)
class LanguageModel:
    """A compiled model, as files: n-grams, pronouncing dictionary, and what it was drawn from."""

    key: str
    arpa: Path
    words: Path
    drawn: Path

    def phrases(self) -> list[str]:
        """The different sentences that the model was drawn from, the most frequent first."""
        counted = Counter(self.drawn.read_text(encoding="utf-8").splitlines())
        return [sentence for sentence, _ in counted.most_common()]

    def notes(self) -> list[str]:
        """What cannot be heard of it, for want of a pronunciation."""
        said = set(self.drawn.read_text(encoding="utf-8").split())
        lines = self.words.read_text(encoding="utf-8").splitlines()
        mute = sorted(said - {line.split(" ", 1)[0] for line in lines})
        return [f"cannot be pronounced, so not heard: {', '.join(mute)}"] if mute else []


def compile_model(
    book: PhraseBook,
    menu: Menu | None = None,
    folder: Path | None = None,
    called: str = "",
    stops: float = 0.0,
) -> LanguageModel:
    """The model of all that can be said of this menu, from the cache when nothing changed.

    called, stops: as in `sentences`. folder: where compiled models are kept, by default the
    user's cache folder.
    """
    folder = folder or user_cache_path("hobside") / "language"
    key = _key(book, menu, called, stops)
    files = [folder / f"{key}.{kind}" for kind in ("arpa", "dict", "txt")]
    model = LanguageModel(key, *files)
    if not all(file.exists() for file in files):
        drawn = sentences(book, menu, called=called, stops=stops)
        lines = [*dictionary({w for s in drawn for w in s.split()})]
        if not lines:
            raise KitchenError("no word of the phrase book can be pronounced; write it in English")
        write_whole(model.drawn, "\n".join(drawn).encode())
        write_whole(model.words, "".join(lines).encode())
        write_whole(model.arpa, "".join(arpa(drawn)).encode())
    return model


def dictionary(words: set[str]) -> Iterator[str]:
    """Lines "word PHONES", "word(2) PHONES": as PocketSphinx's own dictionary says the word, as
    an American and a British dictionary print it; where it is in none, or is a foreign word by
    its accents, as eSpeak NG says it in both ways of speaking and as its spelling suggests."""
    variants = {word: [*said] for word, said in _own(words).items()}
    for word, said in published(variants).items():
        variants[word] += said
    unknown = [word for word, said in variants.items() if not said or not word.isascii()]
    spell = Speller()
    for word, guessed in pronunciations(unknown).items():
        variants[word] += [*guessed, spell(word)]
    for word, pronounced in variants.items():
        for number, phones in enumerate(dict.fromkeys(pronounced), start=1):
            yield f"{word}({number}) {phones}\n" if number > 1 else f"{word} {phones}\n"


def _own(words: set[str]) -> dict[str, list[str]]:
    """How PocketSphinx's dictionary says each word, also when it writes it without accents."""
    listed: dict[str, list[str]] = {word: [] for word in sorted(words)}
    plain = {unaccented(word): word for word in listed if not word.isascii()}
    *_, dictionary = installed(ACOUSTIC_MODEL)
    with dictionary.open() as lines:
        for line in lines:
            word, phones = line.rstrip().split(" ", 1)
            word = word.split("(")[0]
            for written in (word, plain.get(word, "")):
                if written in listed:
                    listed[written].append(phones)
    return listed


def _key(book: PhraseBook, menu: Menu | None, called: str, stops: float) -> str:
    """Hash of all that decides the model, this module with it."""
    said = [
        (name, [(e.text, e.spans) for e in intent.examples])
        for name, intent in book.intents.items()
    ]
    parts = (
        said,
        book.lookups,
        book.synonyms,
        menu_words(menu),
        step_words(menu),
        gate_words(menu),
        Amounts().text,
        called,
        stops,
    )
    code = SPOKEN_WORDS.read_bytes() + b"".join(
        Path(__file__).with_name(f"{name}.py").read_bytes() for name in _CODE
    )
    return hashlib.sha256(repr(parts).encode() + code).hexdigest()[:16]

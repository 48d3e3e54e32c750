"""Trains the intent model: a masked copy of the phrase book, through Rasa's own command."""

import hashlib
import os
import random
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import yaml

from assistant.known import keep
from assistant.masking import THING_ENTITY, Masker
from assistant.phrasebook import OUT_OF_SCOPE, Intent, PhraseBook, read_phrase_book
from assistant.wording import plain
from domain.errors import KitchenError, MissingModel

ROOT = Path(__file__).parents[1]
GET = "run: make setup"
ASIDE = "aside"
_DECIDING = {".yml", ".py", ".txt"}
# Rambling examples of an intent, and of all that is out of scope; more of them made it act more
# often on what is out of scope.
RAMBLING, RAMBLING_OUTSIDE = 20, 300
PARTS_OUTSIDE, PART = 14, "+"


@dataclass(frozen=True)
class Places:
    """Where the intent layer's things are.

    project: the Rasa project; python: the interpreter of Rasa's own environment; models: the
    folder for trained models, logs, and all that Rasa would else write into the home folder.
    """

    project: Path = ROOT / "domain" / "intents"
    python: Path = ROOT / ".venv-rasa" / "bin" / "python"
    models: Path = ROOT / "models"

    @property
    def phrases(self) -> Path:
        return self.project / "nlu"

    @property
    def trained(self) -> Path:
        return self.models / "intents"

    def surroundings(self) -> dict[str, str]:
        """The environment for Rasa: nothing sent, nothing written outside the models' folder."""
        home = self.models / "rasa-home"
        home.mkdir(parents=True, exist_ok=True)
        kept = {name: os.environ[name] for name in ("PATH", "LANG", "TZ") if name in os.environ}
        return kept | {
            "HOME": str(home),
            "PYTHONPATH": str(self.project),
            "PYTHONDONTWRITEBYTECODE": "1",
            "RASA_TELEMETRY_ENABLED": "false",
            "TF_CPP_MIN_LOG_LEVEL": "3",
            "CUDA_VISIBLE_DEVICES": "",
            "SQLALCHEMY_SILENCE_UBER_WARNING": "1",
            "OMP_NUM_THREADS": "1",
        }


HERE = Places()


def write_training(book: PhraseBook, folder: Path) -> None:
    """Write the masked copy of the book, `nlu.yml` and its `domain.yml`, in `folder`.

    An example with a thing is written with the thing's mask and with its words, so that foods
    nobody listed are understood too; and some of an intent's examples once more among asides, as
    people ramble. Asides alone are out of scope.
    """
    masker = Masker(book.lookups.get(THING_ENTITY, ()))
    owners: dict[str, str] = {}
    items = {}
    for intent in book.intents.values():
        wordings = list(_wordings(intent, masker))
        wordings += _among_asides(wordings, book.lookups.get(ASIDE, ()), intent.name)
        own = [w for w in wordings if owners.setdefault(w, intent.name) == intent.name]
        items.update(_in_parts(own) if intent.name == OUT_OF_SCOPE else {intent.name: own})
    nlu = [
        {"intent": name, "examples": "".join(f"- {wording}\n" for wording in wordings)}
        for name, wordings in items.items()
    ]
    for name, content in (
        ("nlu.yml", {"version": "3.1", "nlu": nlu}),
        ("domain.yml", {"version": "3.1", "intents": list(items)}),
    ):
        text = yaml.safe_dump(content, sort_keys=False, width=1000)
        (folder / name).write_text(text, encoding="utf-8")


def _in_parts(wordings: list[str]) -> dict[str, list[str]]:
    """What is out of scope as several intents, in the book's order, which is by subject.

    The classifier gives every intent the same weight, and "anything else" needs more than one.
    """
    ends = [len(wordings) * part // PARTS_OUTSIDE for part in range(PARTS_OUTSIDE + 1)]
    return {
        f"{OUT_OF_SCOPE}{PART}{part}": wordings[first:last]
        for part, (first, last) in enumerate(pairwise(ends))
        if first < last
    }


def _among_asides(wordings: list[str], asides: tuple[str, ...], name: str) -> list[str]:
    """Some of the wordings with an aside before, behind or at both ends, the same every time."""
    if not asides or not wordings:
        return []
    chance = random.Random(name)
    outside = name == OUT_OF_SCOPE
    rambling = [plain(aside) for aside in asides] if outside else []
    for wording in chance.choices(wordings, k=RAMBLING_OUTSIDE if outside else RAMBLING):
        before, behind = chance.choice(((1, 0), (1, 0), (2, 0), (0, 1), (1, 1)))
        spoken = [*chance.sample(asides, before), wording, *chance.sample(asides, behind)]
        rambling.append(plain(" ".join(spoken)))
    return rambling


def _wordings(intent: Intent, masker: Masker) -> Iterator[str]:
    """The different masked wordings of an intent's examples."""
    seen = {""}
    for example in intent.examples:
        things = [(s.start, s.end) for s in example.spans if s.entity == THING_ENTITY]
        for wording in (
            masker.masked(example.text, things=things),
            masker.masked(example.text, foods=False),
        ):
            if wording not in seen:
                seen.add(wording)
                yield wording


def trained_model(places: Places = HERE) -> Path | None:
    """The newest model, None when none was trained yet."""
    models = places.trained.glob("*.tar.gz")
    return max(models, key=lambda file: file.stat().st_mtime, default=None)


def train(places: Places = HERE) -> Path:
    """Train unless this very model is there already; older models are deleted.

    A model is named by a hash of its training text and the project's own files. Raises
    FileProblem for the phrase book, MissingModel when Rasa's environment is not there, and
    KitchenError with the log's place when training fails.
    """
    if not places.python.exists():
        raise MissingModel("for what cooks say", GET)
    book = read_phrase_book(places.phrases)
    keep(book, places.trained)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        write_training(book, copy)
        digest = hashlib.sha256((copy / "nlu.yml").read_bytes())
        for file in sorted(f for f in places.project.iterdir() if f.suffix in _DECIDING):
            digest.update(file.name.encode() + b"\0" + file.read_bytes() + b"\0")
        model = places.trained / f"{digest.hexdigest()[:16]}.tar.gz"
        if not model.exists():
            _run_rasa(places, copy, model)
    for old in places.trained.glob("*.tar.gz"):
        if old != model:
            old.unlink()
    return model


def _run_rasa(places: Places, copy: Path, model: Path) -> None:
    """`rasa train nlu` in the copy's folder, its words into a log."""
    log = places.models / "intent-training.log"
    made = copy / "made"
    command = [
        *(str(places.python), "-m", "rasa", "train", "nlu"),
        *("--config", str(places.project / "config.yml"), "--domain", "domain.yml"),
        *("--nlu", "nlu.yml", "--out", str(made), "--fixed-model-name", "intents"),
    ]
    surroundings = places.surroundings()
    with log.open("wb") as written:
        done = subprocess.run(
            command,
            cwd=copy,
            env=surroundings,
            stdin=subprocess.DEVNULL,
            stdout=written,
            stderr=subprocess.STDOUT,
            check=False,
        )
    trained = made / "intents.tar.gz"
    if done.returncode or not trained.exists():
        raise KitchenError(f"the intent model could not be trained; see {log}")
    places.trained.mkdir(parents=True, exist_ok=True)
    shutil.move(trained, model.with_suffix(".part"))
    model.with_suffix(".part").rename(model)

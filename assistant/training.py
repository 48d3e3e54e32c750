"""Trains the intent model: a masked copy of the phrase book, through Rasa's own command."""

import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import yaml

from assistant.known import keep
from assistant.masking import THING_ENTITY, Masker
from assistant.phrasebook import Intent, PhraseBook, read_phrase_book
from domain.errors import KitchenError, MissingModel

ROOT = Path(__file__).parents[1]
GET = "run: make setup"


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
    """Write the masked copy of the book as one Rasa NLU file, `nlu.yml` in `folder`.

    An example with a thing is written with the thing's mask and with its words, so that foods
    nobody listed are understood too.
    """
    masker = Masker(book.lookups.get(THING_ENTITY, ()))
    owners: dict[str, str] = {}
    items = []
    for intent in book.intents.values():
        lines = []
        for wording in _wordings(intent, masker):
            if owners.setdefault(wording, intent.name) == intent.name:
                lines.append(wording)
        items.append({"intent": intent.name, "examples": "".join(f"- {w}\n" for w in lines)})
    text = yaml.safe_dump({"version": "3.1", "nlu": items}, sort_keys=False, width=1000)
    (folder / "nlu.yml").write_text(text, encoding="utf-8")


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
        for file in sorted(f for f in places.project.iterdir() if f.is_file()):
            digest.update(file.name.encode() + b"\0" + file.read_bytes() + b"\0")
        model = places.trained / f"{digest.hexdigest()[:16]}.tar.gz"
        if not model.exists():
            shutil.copy(places.project / "domain.yml", copy)
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

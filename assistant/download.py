"""`hobside models`: what is there, and a model from its publisher when the cook asks for it."""

import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import httpx

from assistant.models import FOLDER, MANIFEST, BadArchive, Model, add, listing, named, state_of
from domain.errors import KitchenError

Progress = Callable[[int, int], None]  # bytes so far, bytes in all (0: not known)

_CHUNK = 1 << 18
_PATIENCE_S = 30.0
# An archive and what is unpacked from it are on the disk at once, for a moment.
_ROOM = 3


def get(name: str, sha256: str = "", folder: Path = FOLDER, manifest: Path = MANIFEST) -> Model:
    """Fetch, check and unpack the model of this name; returns what it is.

    An archive placed in `folder` by hand is taken instead of the network, a download broken off
    is carried on. sha256: for a model whose checksum the manifest lacks. Raises KitchenError.
    """
    model = named(name, manifest)
    if model.comes != "download":
        raise KitchenError(f"{name} is not fetched; it comes with the set-up (“make setup”)")
    if state_of(model, folder) == "installed":
        return model
    if not (model.sha256 or sha256):
        raise KitchenError(
            f"the manifest has no checksum for {name}; give one that you trust with --sha256"
        )
    archive = folder / model.archive
    if archive.is_file():
        add(archive, sha256, folder, manifest)
    else:
        _check_room(model, folder)
        part = archive.with_name(archive.name + ".part")
        with _progress(model.archive) as progress:
            _fetch(model, part, progress)
        part.rename(archive)
        try:
            add(archive, sha256, folder, manifest)
        except BadArchive:  # it would fail the same check for ever
            archive.unlink()
            raise
    archive.unlink()
    return model


def command(words: Sequence[str], sha256: str, tell: Callable[[str], None]) -> int:
    """`hobside models`, `models get NAME` and `models add FILE`; returns the exit status.

    words: what follows “models”. Raises KitchenError.
    """
    match words:
        case []:
            for line in listing():
                tell(line)
            return 0
        case ["get", name]:
            model = get(name, sha256)
        case ["add", file]:
            model = add(Path(file), sha256)
        case _:
            raise KitchenError("type “hobside models”, “models get NAME” or “models add FILE”")
    tell(f"{model.name} is installed; for {model.purpose}")
    return 0


def _check_room(model: Model, folder: Path) -> None:
    free, wanted = shutil.disk_usage(folder).free, int(_ROOM * model.gigabytes * 1e9)
    if free < wanted:
        raise KitchenError(
            f"{model.name} needs {_size(wanted)} of disk while it is unpacked, and"
            f" {folder} has {_size(free)}; make room and type the same again"
        )


def _fetch(model: Model, part: Path, progress: Progress) -> None:
    """Bring the file `part` to its full length, from where it ends. Raises KitchenError."""
    have = part.stat().st_size if part.is_file() else 0
    if model.size and have == model.size:
        return
    try:
        with httpx.stream(
            "GET",
            model.address,
            headers={"Accept-Encoding": "identity", "Range": f"bytes={have}-"},
            follow_redirects=True,
            timeout=_PATIENCE_S,
        ) as answer:
            if answer.status_code == httpx.codes.REQUESTED_RANGE_NOT_SATISFIABLE:
                part.unlink()  # longer than the publisher's own: not a part of it
                raise KitchenError("what was fetched before is of no use; type the same again")
            answer.raise_for_status()
            _write(answer, part, progress)
    except (httpx.HTTPError, httpx.InvalidURL) as trouble:
        raise KitchenError(_no_network(model, part, trouble)) from trouble


def _write(answer: httpx.Response, part: Path, progress: Progress) -> None:
    """Append what comes, or begin anew where the server sends all of it."""
    have = part.stat().st_size if part.is_file() else 0
    goes_on = answer.headers.get("Content-Range", "").startswith(f"bytes {have}-")
    have = have if goes_on else 0
    coming = int(answer.headers.get("Content-Length", 0))
    total = have + coming if coming else 0
    with part.open("ab" if goes_on else "wb") as file:
        for chunk in answer.iter_raw(_CHUNK):
            file.write(chunk)
            have += len(chunk)
            progress(have, total)


def _no_network(model: Model, part: Path, trouble: Exception) -> str:
    kept = part.stat().st_size if part.is_file() else 0
    go_on = f" {_size(kept)} are kept: type the same to go on." if kept else ""
    why = str(trouble).partition("\n")[0] or type(trouble).__name__
    place = part.with_suffix("")
    return (
        f"{model.archive} could not be fetched ({why}).{go_on} Without a network: fetch"
        f" {model.address} on any machine, place the file at {place}, and type the same again"
    )


@contextmanager
def _progress(title: str) -> Iterator[Progress]:
    """A progress bar on a terminal; elsewhere a line for each tenth. On standard error."""
    if not sys.stderr.isatty():
        yield _tenths(title)
        return
    from prompt_toolkit.output import create_output
    from prompt_toolkit.shortcuts.progress_bar import ProgressBar, ProgressBarCounter

    with ProgressBar(output=create_output(sys.stderr)) as bar:
        counter: ProgressBarCounter[object] = bar(label=title)

        def show(have: int, total: int) -> None:
            counter.items_completed, counter.total = have >> 20, total >> 20 or None  # in MiB
            bar.invalidate()

        yield show


def _tenths(title: str) -> Progress:
    told = -1

    def show(have: int, total: int) -> None:
        nonlocal told
        tenth = have * 10 // total if total else have // 10_000_000
        if tenth > told:
            told = tenth
            share = f"{tenth * 10}% of {_size(total)}" if total else _size(have)
            print(f"{title}: {share}", file=sys.stderr)

    return show


def _size(count: int) -> str:
    return f"{count / 1e9:.1f} GB" if count >= 1e9 else f"{count / 1e6:.1f} MB"

"""The models on this machine: what the manifest names, whether it is there, whether it is whole."""

import hashlib
import importlib.metadata
import shutil
import stat
import tempfile
import zipfile
import zlib
from base64 import urlsafe_b64encode
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Literal

from domain import yamlfile
from domain.errors import KitchenError, MissingModel

FOLDER = Path(__file__).resolve().parent.parent / "models"
MANIFEST = FOLDER / "manifest.yaml"

State = Literal["installed", "missing", "altered"]
_AS_PACKAGED = "package"
_LARGEST_UNPACKED = 6_000_000_000  # bytes; the largest model named is under 3 GB
_HEX = frozenset("0123456789abcdef")


class BadArchive(KitchenError):
    """An archive that is not what its publisher made, or not safe to unpack."""


@dataclass(frozen=True)
class Model:
    """One model of the manifest.

    files: path in its package to SHA-256, or "package" for the checksum it was installed with.
    archive, gigabytes (about), size (bytes, 0 unknown), sha256 ("" unknown): of a download.
    """

    name: str
    purpose: str
    version: str
    publisher: str
    licence: str
    comes: Literal["wheel", "training", "download"]
    package: str = ""
    files: tuple[tuple[str, str], ...] = ()
    address: str = ""
    archive: str = ""
    gigabytes: float = 0.0
    size: int = 0
    sha256: str = ""


_COMMON = ("for", "version", "publisher", "licence", "comes")
_FIELDS = {
    "wheel": ("package", "files"),
    "training": (),
    "download": ("address", "archive", "gigabytes"),
}


def read_manifest(path: Path = MANIFEST) -> tuple[Model, ...]:
    """Read the manifest, in its order. Raises FileProblem."""
    return tuple(_model(name, entry) for name, entry in yamlfile.read(path).pairs().items())


def _model(name: str, entry: yamlfile.Entry) -> Model:
    pairs = entry.pairs()
    comes = pairs["comes"].choice(_FIELDS) if "comes" in pairs else "wheel"
    optional = ("bytes", "sha256") if comes == "download" else ()
    fields = entry.fields((*_COMMON, *_FIELDS[comes]), optional)
    files = fields["files"].pairs() if "files" in fields else {}
    return Model(
        name=name,
        purpose=fields["for"].text(),
        version=fields["version"].text(),
        publisher=fields["publisher"].text(),
        licence=fields["licence"].text(),
        comes=comes,  # type: ignore[arg-type]  # one of _FIELDS
        package=fields["package"].text() if "package" in fields else "",
        files=tuple((file, _checksum(value, wheel=True)) for file, value in files.items()),
        address=fields["address"].text() if "address" in fields else "",
        archive=fields["archive"].text() if "archive" in fields else "",
        gigabytes=fields["gigabytes"].number(0, 10) if "gigabytes" in fields else 0.0,
        size=fields["bytes"].whole(1, _LARGEST_UNPACKED) if "bytes" in fields else 0,
        sha256=_checksum(fields["sha256"], wheel=False) if "sha256" in fields else "",
    )


def _checksum(entry: yamlfile.Entry, wheel: bool) -> str:
    written = entry.text().lower()
    if (wheel and written == _AS_PACKAGED) or (len(written) == 64 and set(written) <= _HEX):
        return written
    raise entry.problem("is not a SHA-256 checksum", "write 64 hexadecimal digits")


def named(name: str, manifest: Path = MANIFEST) -> Model:
    """Return the model of that name. Raises MissingModel when the manifest has none."""
    models = {model.name: model for model in read_manifest(manifest)}
    if name not in models:
        raise MissingModel(name, f"models/manifest.yaml names {', '.join(models)}")
    return models[name]


def installed(name: str, folder: Path = FOLDER) -> list[Path]:
    """Return where the model is, checked: the files of a wheel, or the folder or file of others.

    Raises MissingModel, saying what to do, when it is missing or altered.
    """
    model = named(name)
    state = state_of(model, folder)
    if state != "installed":
        changed = "its files are not what they were; " if state == "altered" else ""
        raise MissingModel(name, changed + remedy(model, folder))
    return _places(model, folder)


def _places(model: Model, folder: Path) -> list[Path]:
    if model.comes == "wheel":
        package = importlib.metadata.distribution(model.package)
        return [Path(str(package.locate_file(file))) for file, _ in model.files]
    if model.comes == "training":
        return sorted((folder / model.name).glob("*.tar.gz"))
    return [folder / model.name]


def state_of(model: Model, folder: Path = FOLDER) -> State:
    """Return whether the model is there, and unchanged since it was installed (by hash)."""
    if model.comes == "wheel":
        return _wheel_state(model)
    places = _places(model, folder)
    if not places or not places[0].exists():
        return "missing"
    return "installed" if model.comes == "training" else _folder_state(places[0])


def _wheel_state(model: Model) -> State:
    try:
        package = importlib.metadata.distribution(model.package)
    except importlib.metadata.PackageNotFoundError:
        return "missing"
    listed = {str(file): file.hash.value for file in package.files or () if file.hash}
    for file, wanted in model.files:
        place = Path(str(package.locate_file(file)))
        if not place.is_file():
            return "missing"
        digest = _digest(place)
        packed = urlsafe_b64encode(bytes.fromhex(digest)).decode().rstrip("=")
        if digest != wanted and not (wanted == _AS_PACKAGED and packed == listed.get(file)):
            return "altered"
    return "installed"


def _folder_state(place: Path) -> State:
    """Compare a placed model with the checksums written when it was unpacked."""
    sums = place.with_name(place.name + ".sha256")
    if not sums.is_file():
        return "altered"
    for line in sums.read_text().splitlines():
        digest, _, file = line.partition("  ")
        if not (place / file).is_file() or _digest(place / file) != digest:
            return "altered"
    return "installed"


def remedy(model: Model, folder: Path = FOLDER) -> str:
    """Return what the cook can do to have the model."""
    if model.comes == "wheel":
        # The set-up leaves alone what it has installed, so that it is asked to begin anew.
        again = "make test" if model.purpose == "tests" else "make setup"
        return f"remove the folder .venv, then type “{again}”"
    if model.comes == "training":
        return "type “make setup”, which trains it"
    checksum = "" if model.sha256 else " --sha256 ITS-CHECKSUM"
    return (
        f"type “hobside models get {model.name}{checksum}”; without a network, fetch"
        f" {model.address} on any machine and type “hobside models add {model.archive}{checksum}”"
    )


def listing(folder: Path = FOLDER, manifest: Path = MANIFEST) -> list[str]:
    """Return one line for each model, and for one that is not installed what to do."""
    lines = []
    for model in read_manifest(manifest):
        state = state_of(model, folder)
        size = f", {model.gigabytes:g} GB" if model.gigabytes else ""
        lines.append(
            f"{model.name}: {state}; for {model.purpose}; version {model.version},"
            f" {model.publisher}, {model.licence}{size}"
        )
        if state != "installed":
            lines.append(f"  to have it: {remedy(model, folder)}")
    return lines


def add(archive: Path, sha256: str = "", folder: Path = FOLDER, manifest: Path = MANIFEST) -> Model:
    """Check a fetched archive and unpack it into the models folder; returns what it is.

    sha256: from whom the cook trusts, for an archive whose checksum the manifest lacks.
    Raises KitchenError for an unknown, cut-short, altered or unsafe archive; nothing stays then.
    """
    models = {model.archive: model for model in read_manifest(manifest) if model.archive}
    if archive.name not in models:
        known = ", ".join(models)
        raise KitchenError(f"{archive.name} is not a model I know; keep the name of one of {known}")
    model = models[archive.name]
    if not archive.is_file():
        raise KitchenError(f"there is no file {archive}")
    _check_archive(archive, model, sha256.strip().lower())
    with tempfile.TemporaryDirectory(dir=folder, prefix=".unpacking-") as scratch:
        _unpack(archive, Path(scratch))
        fresh = Path(scratch) / model.name
        if not fresh.is_dir():
            raise BadArchive(f"{archive.name} holds no folder {model.name}; fetch it again")
        place = folder / model.name
        shutil.rmtree(place, ignore_errors=True)
        files = sorted(file for file in fresh.rglob("*") if file.is_file())
        sums = [f"{_digest(file)}  {file.relative_to(fresh).as_posix()}\n" for file in files]
        fresh.rename(place)
        place.with_name(place.name + ".sha256").write_text("".join(sums))
    return model


def _check_archive(archive: Path, model: Model, given: str) -> None:
    size = archive.stat().st_size
    if model.size and size != model.size:
        raise BadArchive(
            f"{archive.name} has {size} bytes, not {model.size}: cut short? fetch it again"
        )
    wanted = model.sha256 or given
    if not wanted:
        raise KitchenError(
            f"the manifest has no checksum for {archive.name}; give one that you trust"
            f" with --sha256 (this file's is {_digest(archive)})"
        )
    if _digest(archive) != wanted:
        raise BadArchive(f"{archive.name} does not have the checksum {wanted}; fetch it again")


def _unpack(archive: Path, into: Path) -> None:
    """Unpack a ZIP file. Raises KitchenError for want of room, BadArchive for links, for names
    that lead out, for a bomb."""
    try:
        with zipfile.ZipFile(archive) as packed:
            _refuse_unsafe(archive.name, packed.infolist())
            packed.extractall(into)
    except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError) as error:
        raise BadArchive(f"{archive.name} is not a whole ZIP file; fetch it again") from error
    except OSError as error:
        raise KitchenError(f"{archive.name} cannot be unpacked: {error.strerror}") from error


def _refuse_unsafe(archive: str, members: Iterable[zipfile.ZipInfo]) -> None:
    total = 0
    for member in members:
        name = PurePosixPath(member.filename)
        kind = stat.S_IFMT(member.external_attr >> 16)
        leads_out = name.is_absolute() or ".." in name.parts or set("\\:") & set(member.filename)
        if leads_out or kind not in (0, stat.S_IFREG, stat.S_IFDIR):
            raise BadArchive(f"{archive} is refused: its entry {member.filename} is unsafe")
        total += member.file_size
        if total > _LARGEST_UNPACKED:
            raise BadArchive(f"{archive} is refused: it would unpack to over 6 GB")


def _digest(file: Path) -> str:
    with file.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()

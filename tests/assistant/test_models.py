"""The manifest, and models placed by hand."""

import hashlib
import stat
import zipfile
from pathlib import Path

import pytest

from assistant import models
from domain.errors import FileProblem, KitchenError, MissingModel

_ARCHIVE = "vosk-model-small-en-us-0.15.zip"
_NAME = "vosk-model-small-en-us-0.15"
_MANIFEST = """
vosk-model-small-en-us-0.15:
  for: hearing
  version: "0.15"
  publisher: Alpha Cephei
  licence: Apache-2.0
  comes: download
  address: somewhere
  archive: vosk-model-small-en-us-0.15.zip
  gigabytes: 0.04
"""
_GOOD = {f"{_NAME}/am/final.mdl": b"acoustic", f"{_NAME}/conf/model.conf": b"settings"}


@pytest.fixture
def kitchen(tmp_path: Path) -> Path:
    """A models folder with a manifest of one download without a checksum."""
    folder = tmp_path / "models"
    folder.mkdir()
    (folder / "manifest.yaml").write_text(_MANIFEST)
    return folder


def _zip(path: Path, entries: dict[str, bytes], link: str = "") -> str:
    with zipfile.ZipFile(path, "w") as packed:
        for name, content in entries.items():
            packed.writestr(name, content)
        if link:
            entry = zipfile.ZipInfo(link)
            entry.external_attr = (stat.S_IFLNK | 0o777) << 16
            packed.writestr(entry, "/etc")
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _add(kitchen: Path, archive: Path, sha256: str) -> models.Model:
    return models.add(archive, sha256, kitchen, kitchen / "manifest.yaml")


def test_our_manifest_names_publisher_licence_and_source_of_every_model() -> None:
    for model in models.read_manifest():
        assert model.publisher, model.name
        assert model.licence, model.name
        assert model.files or model.archive or model.comes == "training", model.name


def test_models_in_wheels_are_installed_and_unchanged() -> None:
    wheels = [model for model in models.read_manifest() if model.comes == "wheel"]
    assert {model.name: models.state_of(model) for model in wheels} == {
        model.name: "installed" for model in wheels
    }
    assert [file.name for file in models.installed("en_US-joe-medium")] == [
        "en_US-joe-medium.onnx",
        "en_US-joe-medium.onnx.json",
    ]


def test_a_wheel_file_with_another_checksum_is_altered() -> None:
    voice = models.named("en_US-joe-medium")
    settings = voice.files[1][0]
    changed = models.Model(
        *("voice", "speaking", "1", "nobody", "CC0-1.0", "wheel", voice.package),
        files=((settings, "0" * 64),),
    )
    assert models.state_of(changed) == "altered"


def test_an_archive_is_checked_unpacked_and_then_watched(kitchen: Path, tmp_path: Path) -> None:
    checksum = _zip(tmp_path / _ARCHIVE, _GOOD)
    model = _add(kitchen, tmp_path / _ARCHIVE, checksum.upper())
    assert models.state_of(model, kitchen) == "installed"
    assert (kitchen / _NAME / "am" / "final.mdl").read_bytes() == b"acoustic"
    assert sorted(file.name for file in kitchen.iterdir()) == [
        "manifest.yaml",
        _NAME,
        f"{_NAME}.sha256",
    ]
    (kitchen / _NAME / "am" / "final.mdl").write_bytes(b"acoustiC")
    assert models.state_of(model, kitchen) == "altered"
    (kitchen / _NAME / "am" / "final.mdl").unlink()
    assert models.state_of(model, kitchen) == "altered"


def test_adding_again_mends_an_altered_model(kitchen: Path, tmp_path: Path) -> None:
    checksum = _zip(tmp_path / _ARCHIVE, _GOOD)
    model = _add(kitchen, tmp_path / _ARCHIVE, checksum)
    (kitchen / _NAME / "conf" / "model.conf").write_bytes(b"")
    assert models.state_of(_add(kitchen, tmp_path / _ARCHIVE, checksum), kitchen) == "installed"
    assert model.name == _NAME


def test_without_any_checksum_an_archive_is_refused(kitchen: Path, tmp_path: Path) -> None:
    _zip(tmp_path / _ARCHIVE, _GOOD)
    with pytest.raises(KitchenError, match="--sha256"):
        _add(kitchen, tmp_path / _ARCHIVE, "")
    assert not (kitchen / _NAME).exists()


def test_the_manifest_s_checksum_is_not_overruled(kitchen: Path, tmp_path: Path) -> None:
    manifest = kitchen / "manifest.yaml"
    manifest.write_text(_MANIFEST + f"  sha256: {'a' * 64}\n")
    checksum = _zip(tmp_path / _ARCHIVE, _GOOD)
    with pytest.raises(KitchenError, match="does not have the checksum aaaa"):
        _add(kitchen, tmp_path / _ARCHIVE, checksum)


def test_an_archive_cut_short_is_told_by_its_size(kitchen: Path, tmp_path: Path) -> None:
    (kitchen / "manifest.yaml").write_text(_MANIFEST + "  bytes: 41205931\n")
    checksum = _zip(tmp_path / _ARCHIVE, _GOOD)
    with pytest.raises(KitchenError, match="cut short"):
        _add(kitchen, tmp_path / _ARCHIVE, checksum)


@pytest.mark.parametrize(
    ("entries", "link"),
    [
        ({**_GOOD, "../outside": b"x"}, ""),
        ({**_GOOD, f"{_NAME}/../../outside": b"x"}, ""),
        ({**_GOOD, "/tmp/outside": b"x"}, ""),
        ({**_GOOD, "..\\outside": b"x"}, ""),
        ({**_GOOD, "C:outside": b"x"}, ""),
        (_GOOD, f"{_NAME}/rescore"),
        ({"other-model/final.mdl": b"x"}, ""),
    ],
)
def test_an_unsafe_archive_leaves_nothing_behind(
    kitchen: Path, tmp_path: Path, entries: dict[str, bytes], link: str
) -> None:
    checksum = _zip(tmp_path / _ARCHIVE, entries, link)
    before = set(tmp_path.rglob("*"))
    with pytest.raises(KitchenError):
        _add(kitchen, tmp_path / _ARCHIVE, checksum)
    assert set(tmp_path.rglob("*")) == before


def test_what_is_no_zip_file_is_told(kitchen: Path, tmp_path: Path) -> None:
    (tmp_path / _ARCHIVE).write_bytes(b"<html>not found</html>")
    checksum = hashlib.sha256(b"<html>not found</html>").hexdigest()
    with pytest.raises(KitchenError, match="not a whole ZIP file"):
        _add(kitchen, tmp_path / _ARCHIVE, checksum)


def test_an_unknown_archive_is_told_the_names_known(kitchen: Path, tmp_path: Path) -> None:
    with pytest.raises(KitchenError, match=_ARCHIVE):
        _add(kitchen, tmp_path / "model.zip", "")


def test_a_missing_model_says_how_to_get_it(kitchen: Path) -> None:
    with pytest.raises(
        MissingModel, match=f"hobside models get {_NAME}.*hobside models add {_ARCHIVE}"
    ):
        models.installed(_NAME, kitchen)
    listed = "\n".join(models.listing(kitchen, kitchen / "manifest.yaml"))
    assert f"{_NAME}: missing" in listed
    assert "--sha256" in listed


@pytest.mark.parametrize(
    ("written", "field"),
    [
        (_MANIFEST.replace("licence", "license"), "license"),
        (_MANIFEST.replace("download", "pigeon"), "comes"),
        (_MANIFEST + "  sha256: 123\n", "sha256"),
        (_MANIFEST + "  package: vosk\n", "package"),
    ],
)
def test_a_wrong_manifest_names_the_field(kitchen: Path, written: str, field: str) -> None:
    (kitchen / "manifest.yaml").write_text(written)
    with pytest.raises(FileProblem) as told:
        models.read_manifest(kitchen / "manifest.yaml")
    assert told.value.field == f"{_NAME}.{field}" or field in str(told.value)
    assert told.value.line

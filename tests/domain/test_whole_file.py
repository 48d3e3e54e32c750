"""A file is written whole or stays as it was."""

import os
from pathlib import Path

import pytest

from domain.whole_file import write_whole


def test_it_is_written_with_its_folder_and_over_an_older_one(tmp_path: Path) -> None:
    file = tmp_path / "new" / "kept.json"
    write_whole(file, b"first")
    write_whole(file, b"second")
    assert file.read_bytes() == b"second"
    assert [one.name for one in file.parent.iterdir()] == ["kept.json"]


def test_a_disk_that_fails_leaves_the_old_one_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "kept.json"
    write_whole(file, b"first")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_whole(file, b"second")
    assert file.read_bytes() == b"first"
    assert [one.name for one in tmp_path.iterdir()] == ["kept.json"]

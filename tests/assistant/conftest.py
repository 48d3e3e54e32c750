"""Folders of their own for tests that run whole commands."""

from pathlib import Path

import pytest


@pytest.fixture
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's configuration, state and log folders, empty and in the test's own folder."""
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("CONFIG", "STATE", "DATA", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))
    return tmp_path

"""Folders of their own for tests that run whole commands, and a small phrase book."""

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from assistant.phrasebook import PhraseBook, read_phrase_book


@pytest.fixture
def own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The user's configuration, state and log folders, empty and in the test's own folder."""
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("CONFIG", "STATE", "DATA", "CACHE"):
        monkeypatch.setenv(f"XDG_{name}_HOME", str(tmp_path / name.lower()))
    return tmp_path


@pytest.fixture
def wall_clock(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], None]]:
    """Sets the wall clock's zone, as POSIX writes it, for one test."""

    def set_to(zone: str) -> None:
        monkeypatch.setenv("TZ", zone)
        time.tzset()

    yield set_to
    monkeypatch.undo()
    time.tzset()


_BOOK = """
version: "3.1"
nlu:
- intent: report_done
  examples: |
    - done
    - the [rice](thing) is done
- intent: convert
  examples: |
    - convert [400 g](mass) to [ounces](unit)
    - set a [ten minute](duration) timer
- intent: order
  examples: |
    - a [large](size) coffee
    - 2 coffees
- lookup: size
  examples: |
    - small
    - extra large
"""


@pytest.fixture
def small_book(tmp_path: Path) -> PhraseBook:
    file = tmp_path / "book.yml"
    file.write_text(_BOOK)
    return read_phrase_book(file)

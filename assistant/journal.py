"""One cook's events, kept so that nothing is lost: committed before they are acknowledged.

Each cook is an SQLite file of its own in the user's state folder. It holds the menu and the
kitchen as they were, so that a restart goes on though their files have changed since.
"""

import sqlite3
import threading
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import replace
from pathlib import Path

import platformdirs
from pydantic import TypeAdapter, ValidationError

from domain.errors import FileProblem
from domain.kitchen import Kitchen
from domain.menu import Menu
from scheduling.clock import Anchor
from scheduling.events import Event

_VERSION = 1
_SCHEMA = f"""
CREATE TABLE cook (
    menu TEXT NOT NULL,        -- JSON
    kitchen TEXT NOT NULL,     -- JSON
    anchor TEXT NOT NULL,      -- JSON: the clock that the events were timed by
    plan TEXT,                 -- JSON: the latest plan
    ended_at REAL              -- POSIX seconds; NULL while the cook goes on
);
CREATE TABLE event (
    seq INTEGER PRIMARY KEY,
    at REAL NOT NULL,          -- POSIX seconds
    kind TEXT NOT NULL,
    subject TEXT NOT NULL,
    value REAL,
    by TEXT NOT NULL,
    note TEXT NOT NULL
);
PRAGMA user_version = {_VERSION};
"""
_MENU, _KITCHEN = TypeAdapter(Menu), TypeAdapter(Kitchen)
_ANCHOR, _EVENT = TypeAdapter(Anchor), TypeAdapter(Event)
_COLUMNS = ("at", "kind", "subject", "value", "by", "note", "seq")


def cooks_folder() -> Path:
    """Where the cooks of this user are kept."""
    return platformdirs.user_state_path("hobside") / "cooks"


class Journal:
    """The events of one cook, in one file. Only one process at a time may have it open.

    menu, kitchen: as they were when the cook began; anchor: of the clock it was timed by. Any
    trouble with the file, at opening or later, raises FileProblem.
    """

    def __init__(self, path: Path) -> None:
        """Open a cook that exists."""
        if not path.exists():
            raise FileProblem(str(path), 0, "", "is not there", "start the cook anew")
        self.path = path
        self._lock = threading.Lock()
        with self._explained():
            self._db = _connect(path)
            try:
                self._check_version()
                row = self._db.execute("SELECT menu, kitchen, anchor FROM cook").fetchone()
                if row is None:
                    raise self._damaged("holds no cook")
                self.menu = _MENU.validate_json(row[0])
                self.kitchen = _KITCHEN.validate_json(row[1])
                self.anchor = _ANCHOR.validate_json(row[2])
            except BaseException:
                self._db.close()
                raise

    @classmethod
    def create(cls, menu: Menu, kitchen: Kitchen, anchor: Anchor, folder: Path) -> "Journal":
        """Begin a cook of its own file in this folder, which is made if need be."""
        path = _free_path(folder, menu.name, anchor.wall_s)
        unfinished = path.with_suffix(".new")  # never found half-written
        row = (_MENU.dump_json(menu), _KITCHEN.dump_json(kitchen), _ANCHOR.dump_json(anchor))
        try:
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            with closing(_connect(unfinished)) as db:
                db.executescript(_SCHEMA)
                db.execute(
                    "INSERT INTO cook (menu, kitchen, anchor) VALUES (?, ?, ?)",
                    tuple(text.decode() for text in row),
                )
            unfinished.chmod(0o600)
            unfinished.rename(path)
        except (sqlite3.Error, OSError) as error:
            raise FileProblem(
                str(path), 0, "", f"cannot be written ({error})", "see to the disk and the folder"
            ) from error
        return cls(path)

    @property
    def ended(self) -> bool:
        """True once the cook was ended for good."""
        with self._explained():
            (ended_at,) = self._db.execute("SELECT ended_at FROM cook").fetchone()
        return ended_at is not None

    def append(self, events: Sequence[Event]) -> tuple[Event, ...]:
        """Keep the events, all or none; when this returns they survive a power cut."""
        with self._explained(), self._db:
            self._db.execute("BEGIN IMMEDIATE")
            (last,) = self._db.execute("SELECT coalesce(max(seq), 0) FROM event").fetchone()
            stored = tuple(replace(event, seq=last + 1 + i) for i, event in enumerate(events))
            self._db.executemany(
                f"INSERT INTO event ({', '.join(_COLUMNS)}) VALUES (?, ?, ?, ?, ?, ?, ?)",
                [tuple(getattr(event, column) for column in _COLUMNS) for event in stored],
            )
        return stored

    def read(self) -> list[Event]:
        """Every event kept, in order of seq."""
        with self._explained():
            rows = self._db.execute(
                f"SELECT {', '.join(_COLUMNS)} FROM event ORDER BY seq"
            ).fetchall()
            return [_EVENT.validate_python(dict(zip(_COLUMNS, row, strict=True))) for row in rows]

    def keep_plan(self, text: str) -> None:
        """Keep the latest plan, so that a restart goes on with it."""
        with self._explained(), self._db:
            self._db.execute("UPDATE cook SET plan = ?", (text,))

    def plan(self) -> str | None:
        """The plan kept last."""
        with self._explained():
            text: str | None = self._db.execute("SELECT plan FROM cook").fetchone()[0]
            return text

    def end(self, at: float) -> None:
        """The cook is over (POSIX seconds): it will not be resumed."""
        with self._explained(), self._db:
            self._db.execute("UPDATE cook SET ended_at = ?", (at,))

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    def _check_version(self) -> None:
        (version,) = self._db.execute("PRAGMA user_version").fetchone()
        if version != _VERSION:
            raise self._damaged(f"is of version {version}, not {_VERSION}")

    def _damaged(self, wrong: str) -> FileProblem:
        return FileProblem(str(self.path), 0, "", wrong, "move it away to start this cook anew")

    @contextmanager
    def _explained(self) -> Iterator[None]:
        """One thread at a time; the database's errors in the cook's words."""
        with self._lock:
            try:
                yield
            except sqlite3.OperationalError as error:
                busy = "locked" in str(error)
                raise FileProblem(
                    str(self.path),
                    0,
                    "",
                    "is in use by another assistant" if busy else f"cannot be used ({error})",
                    "close the other one" if busy else "see to the disk, then start again",
                ) from error
            except (sqlite3.DatabaseError, ValidationError) as error:
                raise self._damaged("is damaged") from error


def resume(menu_name: str, folder: Path, since: float = 0.0) -> Journal | None:
    """The latest unfinished cook of this menu that began at `since` (POSIX seconds) or later.

    None when there is none. Raises FileProblem when that file cannot be used: the cook in it
    is not passed over in silence.
    """
    for path in sorted(folder.glob(f"*~{menu_name}.sqlite"), reverse=True):
        if float(path.name.split("~")[0]) < since:
            return None
        journal = Journal(path)
        if not journal.ended:
            return journal
        journal.close()
    return None


def _free_path(folder: Path, menu_name: str, at: float) -> Path:
    """A new file, whose name sorts by time: POSIX milliseconds, then the menu's name."""
    seconds = at
    while (path := folder / f"{seconds:014.3f}~{menu_name}.sqlite").exists():
        seconds += 0.001
    return path


def _connect(path: Path) -> sqlite3.Connection:
    """Exclusive, and on the disk before a commit returns."""
    db = sqlite3.connect(path, timeout=1.0, isolation_level=None, check_same_thread=False)
    db.execute("PRAGMA locking_mode = EXCLUSIVE")
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA synchronous = FULL")
    db.execute("BEGIN IMMEDIATE")
    db.execute("COMMIT")
    return db

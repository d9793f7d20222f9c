"""Connections to a pit log's SQLite file: for one call each, told in plain words where they fail."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from planner.errors import FillmarkError
from planner.files.looking import REFUSAL, may_only_look

BUSY_SECONDS = 10.0
TURN_SECONDS = 30.0
_TURNS: dict[str, threading.Lock] = {}

MIGRATIONS: tuple[tuple[int, str, str], ...] = (
    (
        1,
        "entries that only grow",
        """
        CREATE TABLE entry (
            number INTEGER PRIMARY KEY AUTOINCREMENT,
            event TEXT NOT NULL, id TEXT NOT NULL, at TEXT NOT NULL, kind TEXT NOT NULL, value TEXT NOT NULL,
            written TEXT NOT NULL, checksum INTEGER NOT NULL,
            UNIQUE (event, id));
        CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'the pit log only grows'); END;
        CREATE TRIGGER entry_holds BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'the pit log only grows'); END;
        """,
    ),
)


class NotStored(FillmarkError):
    """An entry that could not be stored; the sender keeps it and may send it again."""


class Damaged(FillmarkError):
    """A log file that is no sound database."""


@contextmanager
def reading(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection to read; where the folder is read-only, to the file as it stands."""
    with _told(path), closing(_connected_to_read(path)) as connection:
        yield connection


def _connected_to_read(path: Path) -> sqlite3.Connection:
    connection = _connect(path, "mode=rw")
    try:
        connection.execute("SELECT 1 FROM sqlite_master").fetchone()
    except sqlite3.OperationalError as reason:
        connection.close()
        if "readonly" not in str(reason) and "unable to open" not in str(reason):
            raise
        return _connect(path, "mode=ro&immutable=1")
    return connection


@contextmanager
def writing(path: Path) -> Iterator[sqlite3.Connection]:
    """A connection within one transaction that is on disk when the block ends."""
    if may_only_look():
        raise NotStored(REFUSAL)
    with _turn(path), _told(path), closing(_connect(path, "mode=rwc")) as connection:
        _begin(connection)
        try:
            _migrate(connection)
            yield connection
            connection.execute("COMMIT")
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


@contextmanager
def _turn(path: Path) -> Iterator[None]:
    """Threads of this program write to a file one after the other; SQLite's own waiting is a lottery among many."""
    lock = _TURNS.setdefault(str(path.resolve()), threading.Lock())
    if not lock.acquire(timeout=TURN_SECONDS):
        raise NotStored(f"{path}: {_remedy('busy')}")
    try:
        yield
    finally:
        lock.release()


def _begin(connection: sqlite3.Connection) -> None:
    """Begin to write; a switch of the journal's mode is refused at once where another is at it, so try again."""
    begun = time.monotonic()
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            connection.execute("PRAGMA synchronous = FULL")
            connection.execute("BEGIN IMMEDIATE")
            return
        except sqlite3.OperationalError as reason:
            if "locked" not in str(reason) or time.monotonic() - begun > BUSY_SECONDS:
                raise
            time.sleep(0.01)


def _connect(path: Path, mode: str) -> sqlite3.Connection:
    address = f"{path.resolve().as_uri()}?{mode}"
    connection = sqlite3.connect(address, uri=True, timeout=BUSY_SECONDS, isolation_level=None)
    connection.text_factory = _text
    connection.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")
    return connection


def _text(raw: bytes) -> str:
    """Stored text; what a damaged file made unreadable is replaced, so that its row's checksum tells."""
    return raw.decode(errors="replace")


def _migrate(connection: sqlite3.Connection) -> None:
    """Bring the file to the newest form. Raises NotStored for a file of a newer program."""
    connection.execute("CREATE TABLE IF NOT EXISTS migration (number INTEGER PRIMARY KEY, name TEXT, at TEXT)")
    done = connection.execute("SELECT coalesce(max(number), 0) FROM migration").fetchone()[0]
    if done > MIGRATIONS[-1][0]:
        raise NotStored("the pit log was written by a newer Fillmark; use that one, or start the event in a new folder")
    for number, name, statements in MIGRATIONS:
        if number > done:
            for statement in _statements(statements):
                connection.execute(statement)
            stamp = datetime.now(UTC).isoformat()
            connection.execute("INSERT INTO migration VALUES (?, ?, ?)", (number, name, stamp))


def _statements(script: str) -> Iterator[str]:
    """A script's statements one by one, so that they stay within the transaction."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


@contextmanager
def _told(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into what a person can do about them."""
    try:
        yield
    except sqlite3.OperationalError as reason:
        raise NotStored(f"{path}: {_remedy(str(reason))}") from reason
    except (sqlite3.DatabaseError, UnicodeDecodeError) as reason:
        raise Damaged(f"{path}: {reason}") from reason


def _remedy(reason: str) -> str:
    if "full" in reason:
        return "the disk is full, so the entry is not stored; free some space and send it again"
    if "locked" in reason or "busy" in reason:
        return f"another program has held the log for {BUSY_SECONDS:.0f} s; close it and send the entry again"
    if "readonly" in reason or "unable to open" in reason:
        return "the folder or file cannot be written, so the entry is not stored; allow writing there and send it again"
    return f"the log cannot be used ({reason}), so the entry is not stored; check the disk and send it again"


def must_be_sound(connection: sqlite3.Connection) -> None:
    """Raises Damaged where the database's own check finds a fault."""
    verdict = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if verdict != "ok":
        raise Damaged(str(verdict))

"""Ticks of packing lists, kept beside the event in `pack.sqlite`: each is stored at once, and survives a restart.

The same file keeps a text by its kind and key: what a list is for, and the calendar that was handed out last.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from planner.errors import BadInput, Fault
from planner.files.looking import REFUSAL, may_only_look

NAME = "pack.sqlite"


def ticks_path(*event_paths: Path) -> Path:
    """Where the ticks of a list lie: beside the event file that comes first by its path, whatever the order given."""
    return min(event_paths, key=lambda path: path.resolve().as_posix()).parent / NAME


def read_ticks(path: Path, packing: str) -> frozenset[str]:
    """Ids of the lines that are ticked on one list (its key); none where there is no file yet.

    Raises BadInput for a file of another kind.
    """
    if not path.exists():
        return frozenset()
    with _store(path) as store:
        return frozenset(row[0] for row in store.execute("SELECT item FROM tick WHERE list = ?", (packing,)))


def set_tick(path: Path, packing: str, item_id: str, *, on: bool = True) -> None:
    """Tick a line of a list, or take its tick away. Raises BadInput where the file cannot be written."""
    with _store(path, write=True) as store:
        if on:
            now = datetime.now(UTC).isoformat(timespec="seconds")
            store.execute("INSERT OR IGNORE INTO tick (list, item, at) VALUES (?, ?, ?)", (packing, item_id, now))
        else:
            store.execute("DELETE FROM tick WHERE list = ? AND item = ?", (packing, item_id))


def clear_ticks(path: Path, packing: str) -> None:
    """Take all ticks of a list away, for the next time. Raises BadInput where the file cannot be written."""
    with _store(path, write=True) as store:
        store.execute("DELETE FROM tick WHERE list = ?", (packing,))


def kept_text(path: Path, kind: str, key: str) -> str:
    """The text last kept of a kind under a key; empty where there is none yet. Raises BadInput as `read_ticks` does."""
    if not path.exists():
        return ""
    with _store(path) as store:
        row = store.execute("SELECT text FROM kept WHERE kind = ? AND key = ?", (kind, key)).fetchone()
    return row[0] if row else ""


def keep_text(path: Path, kind: str, key: str, *, text: str) -> None:
    """Keep a text of a kind under a key, over what stood there. Raises BadInput where the file cannot be written."""
    with _store(path, write=True) as store:
        store.execute("INSERT OR REPLACE INTO kept (kind, key, text) VALUES (?, ?, ?)", (kind, key, text))


@contextmanager
def _store(path: Path, *, write: bool = False) -> Iterator[sqlite3.Connection]:
    """The open store; what is done inside is stored as one, or not at all."""
    if write and may_only_look():
        raise BadInput([Fault("", path.name, "", REFUSAL)])
    try:
        with closing(sqlite3.connect(path, timeout=10.0)) as store, store:
            store.execute(
                "CREATE TABLE IF NOT EXISTS tick (list TEXT, item TEXT, at TEXT NOT NULL, PRIMARY KEY (list, item))"
            )
            store.execute("CREATE TABLE IF NOT EXISTS kept (kind TEXT, key TEXT, text TEXT, PRIMARY KEY (kind, key))")
            yield store
    except sqlite3.Error as reason:
        remedy = f"the ticks cannot be kept here ({reason}); move the file away, or make the folder writable"
        raise BadInput([Fault(str(path), "", "", remedy)]) from reason

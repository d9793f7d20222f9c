"""Ticks of packing lists, kept beside the event in `pack.sqlite`: each is stored at once, and survives a restart."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

from planner.errors import BadInput, Fault

NAME = "pack.sqlite"


def ticks_path(event_path: Path) -> Path:
    """Where the ticks of an event's list lie: beside the event file, as those of all lists in that folder."""
    return event_path.parent / NAME


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
    with _store(path) as store:
        if on:
            now = datetime.now(UTC).isoformat(timespec="seconds")
            store.execute("INSERT OR IGNORE INTO tick (list, item, at) VALUES (?, ?, ?)", (packing, item_id, now))
        else:
            store.execute("DELETE FROM tick WHERE list = ? AND item = ?", (packing, item_id))


def clear_ticks(path: Path, packing: str) -> None:
    """Take all ticks of a list away, for the next time. Raises BadInput where the file cannot be written."""
    with _store(path) as store:
        store.execute("DELETE FROM tick WHERE list = ?", (packing,))


@contextmanager
def _store(path: Path) -> Iterator[sqlite3.Connection]:
    """The open store; what is done inside is stored as one, or not at all."""
    try:
        with closing(sqlite3.connect(path, timeout=10.0)) as store, store:
            store.execute(
                "CREATE TABLE IF NOT EXISTS tick (list TEXT, item TEXT, at TEXT NOT NULL, PRIMARY KEY (list, item))"
            )
            yield store
    except sqlite3.Error as reason:
        remedy = f"the ticks cannot be kept here ({reason}); move the file away, or make the folder writable"
        raise BadInput([Fault(str(path), "", "", remedy)]) from reason

"""The pit log: entries in `pit.sqlite` beside the event file, which only ever grows.

Each entry is one committed row before the caller hears of it (write-ahead log, synchronous full). Events in one folder
share the file; rows are keyed by the event file's name. A connection lives for one call, so several processes and
threads may write at once. A damaged file is set aside and its readable rows are carried over.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from planner.entry import Entry, checked, new_id, value_text, with_undone
from planner.errors import BadInput, Fault
from planner.files.pit_connection import Damaged, NotStored, must_be_sound, reading, writing
from planner.files.pit_recovery import Recovered, Row, checksum_of, set_aside

FILE_NAME = "pit.sqlite"

T = TypeVar("T")
_ATTEMPTS = 3


class PitLog:
    """The log of one event. `path` is the file; nothing is created before the first entry."""

    def __init__(self, event_path: Path) -> None:
        self.event = event_path.name
        self.path = event_path.parent / FILE_NAME

    def entries(self) -> tuple[Entry, ...]:
        """Every entry of the event in the order stored, undone ones marked. Mends a damaged file first."""
        if not self.path.exists():
            return ()
        return self._mended(self._read)

    def newest(self) -> int:
        """Number of the event's newest entry, 0 if there is none: cheap, to see whether anything is new."""
        if not self.path.exists():
            return 0
        return self._mended(self._newest)

    def append(self, entry: Entry) -> Entry:
        """Store an entry and return it as stored; an id already there returns the first entry of that id.

        Raises BadInput for an entry that the log does not take, NotStored where the file cannot be written.
        """
        return self.append_all([entry])[0]

    def append_all(self, entries: Sequence[Entry]) -> list[Entry]:
        """Store entries in order, all or none; as `append`."""
        for entry in entries:
            checked(entry)
        return self._mended(lambda: self._write(entries))

    def undo(self, undoes: str | None = None, *, at: datetime, id: str | None = None) -> Entry:
        """Take back the entry of an id, or the last one that stands. Raises BadInput if there is none."""
        entry_id = id or new_id()
        known = self.entries()
        if not known:
            raise BadInput([Fault("pit log", "undo", "", "there is no entry to take back")])
        with writing(self.path) as connection:
            rows = with_undone(_entry(row) for row in _rows(connection, self.event))
            already = next((entry for entry in rows if entry.id == entry_id), None)
            undo = already or checked(Entry(entry_id, at, "undo", {"undoes": _undoable(rows, undoes)}))
            return already or _stored(connection, self.event, undo)

    def _read(self) -> tuple[Entry, ...]:
        with reading(self.path) as connection:
            must_be_sound(connection)
            return with_undone(_entry(row) for row in _rows(connection, self.event))

    def _newest(self) -> int:
        with reading(self.path) as connection:
            return max((row[0] for row in _select(connection, "max(number)", self.event) if row[0]), default=0)

    def _write(self, entries: Sequence[Entry]) -> list[Entry]:
        with writing(self.path) as connection:
            return [_stored(connection, self.event, entry) for entry in entries]

    def _mended(self, work: Callable[[], T]) -> T:
        """What some work gives, once a damaged file is mended. Raises NotStored for one that stays damaged."""
        for _ in range(_ATTEMPTS):
            try:
                return work()
            except Damaged:
                self.mend()
        raise NotStored(f"{self.path}: the log is damaged and cannot be mended; move it away and begin a new one")

    def mend(self) -> Recovered | None:
        """Set a damaged file aside and carry its readable rows over; a note in the log says so."""
        recovered = set_aside(self.path, is_damaged)
        if recovered is None:
            return None
        notes = {row.event for row in recovered.rows} | {self.event}
        with writing(self.path) as connection:
            for row in recovered.rows:
                connection.execute(_INSERT, _columns(row))
            for event in sorted(notes):
                note = Entry(new_id(), datetime.now(UTC), "note", {"text": recovered.sentence(event)})
                _stored(connection, event, note)
        return recovered


def is_damaged(path: Path) -> bool:
    """Whether a log file exists that is no sound database, or holds a row that is not as it was written."""
    if not path.exists():
        return False
    try:
        with reading(path) as connection:
            must_be_sound(connection)
            for _ in _rows(connection, None):
                pass
    except Damaged:
        return True
    return False


_INSERT = (
    "INSERT INTO entry (event, id, at, kind, value, written, checksum) VALUES (?, ?, ?, ?, ?, ?, ?) "
    "ON CONFLICT (event, id) DO NOTHING"
)
_COLUMNS = "number, event, id, at, kind, value, written, checksum"


def _columns(row: Row) -> tuple[str | int, ...]:
    return (row.event, row.id, row.at, row.kind, row.value, row.written, checksum_of(row))


def _stored(connection: sqlite3.Connection, event: str, entry: Entry) -> Entry:
    written = entry.written or datetime.now(UTC)
    row = Row(0, event, entry.id, entry.at.isoformat(), entry.kind, value_text(entry), written.isoformat(), 0)
    connection.execute(_INSERT, _columns(row))
    query = f"SELECT {_COLUMNS} FROM entry WHERE event = ? AND id = ?"
    return _entry(Row(*connection.execute(query, (event, entry.id)).fetchone()))


def _select(connection: sqlite3.Connection, columns: str, event: str | None) -> Iterator[tuple[Any, ...]]:
    """Columns of an event's rows, or of all, in order; none where the file holds no log yet."""
    if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'entry'").fetchone():
        return iter(())
    where, values = ("", ()) if event is None else (" WHERE event = ?", (event,))
    return iter(connection.execute(f"SELECT {columns} FROM entry{where} ORDER BY number", values))


def _rows(connection: sqlite3.Connection, event: str | None) -> Iterator[Row]:
    """Rows of an event, or of all, in order. Raises Damaged for one that is not as it was written."""
    for columns in _select(connection, _COLUMNS, event):
        row = Row(*columns)
        if not all(isinstance(text, str) for text in row[1:7]) or checksum_of(row) != row.checksum:
            raise Damaged(f"entry {row.number} of the log is not as it was written")
        yield row


def _entry(row: Row) -> Entry:
    at, written = datetime.fromisoformat(row.at), datetime.fromisoformat(row.written)
    return Entry(row.id, at, row.kind, json.loads(row.value), written, row.number)


def _undoable(entries: Sequence[Entry], undoes: str | None) -> str:
    """Id of the entry to take back."""
    standing = [entry for entry in entries if entry.kind != "undo" and not entry.undone]
    if undoes is None and standing:
        return standing[-1].id
    if undoes is not None and any(entry.id == undoes for entry in standing):
        return undoes
    if undoes is None:
        raise BadInput([Fault("pit log", "undo", "", "there is no entry to take back")])
    raise BadInput([Fault("pit log", "undo", undoes[:80], "no entry of this id stands; it may be undone already")])

"""What can still be read of a damaged pit log, and setting the file aside.

Rows are read straight from the file's pages and from its write-ahead log, without the database's index, after the
published file format (SQLite, "Database File Format", sections 1.6 and 4.1); a row counts only if its checksum holds.
"""

from __future__ import annotations

import os
import struct
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

PAGE = 4096
_WAL_HEADER, _FRAME_HEADER = 32, 24
_TABLE_LEAF = 13
_PATIENCE = 30.0


class Row(NamedTuple):
    """One row of the log as it stands in the file."""

    number: int
    event: str
    id: str
    at: str
    kind: str
    value: str
    written: str
    checksum: int


def checksum_of(row: Row) -> int:
    """Checksum of a row's texts."""
    return zlib.crc32("\x1f".join((row.event, row.id, row.at, row.kind, row.value, row.written)).encode())


@dataclass(frozen=True, slots=True)
class Recovered:
    """Rows read from a damaged file, in order, and where that file was put."""

    rows: tuple[Row, ...]
    aside: Path

    def sentence(self, event: str) -> str:
        """What happened, for the log of one event."""
        count = sum(row.event == event for row in self.rows)
        counted = "1 entry" if count == 1 else f"{count} entries"
        return (
            f"The log file was damaged. It was set aside as {self.aside.name}; {counted} could be read and "
            "kept. Compare the level with the dipstick before relying on the forecast."
        )


def set_aside(path: Path, is_damaged: Callable[[Path], bool]) -> Recovered | None:
    """Move a damaged log and its companions away and return what was readable; None if it is sound after all."""
    with _alone(path):
        if not is_damaged(path):
            return None
        rows = tuple(rows_in(path))
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
        aside = path.with_name(f"{path.name}.damaged-{stamp}")
        for suffix in ("-wal", "-shm", ""):
            companion = path.with_name(path.name + suffix)
            if companion.exists():
                companion.rename(aside.with_name(aside.name + suffix))
        return Recovered(rows, aside)


@contextmanager
def _alone(path: Path) -> Iterator[None]:
    """One process at a time; a lock left behind by one that died is broken after a while."""
    lock = path.with_name(path.name + ".mending")
    begun = time.monotonic()
    while True:
        try:
            os.close(os.open(lock, os.O_CREAT | os.O_EXCL))
            break
        except FileExistsError:
            if time.monotonic() - begun > _PATIENCE:
                lock.unlink(missing_ok=True)
            time.sleep(0.02)
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def rows_in(path: Path) -> Iterator[Row]:
    """Readable rows of a log file and its write-ahead log, each event and id once, in order."""
    found: dict[tuple[str, str], Row] = {}
    for page in _pages(path):
        for row in _page_rows(page):
            found.setdefault((row.event, row.id), row)
    yield from sorted(found.values())


def _pages(path: Path) -> Iterator[bytes]:
    content = path.read_bytes()
    yield from (content[start : start + PAGE] for start in range(0, len(content), PAGE))
    ahead = path.with_name(path.name + "-wal")
    content = ahead.read_bytes() if ahead.exists() else b""
    for start in range(_WAL_HEADER + _FRAME_HEADER, len(content), PAGE + _FRAME_HEADER):
        yield content[start : start + PAGE]


def _page_rows(page: bytes) -> Iterator[Row]:
    """Rows of one page, if it is a leaf of a table."""
    if len(page) < 8 or page[0] != _TABLE_LEAF:
        return
    (count,) = struct.unpack_from(">H", page, 3)
    for place in range(8, min(8 + 2 * count, len(page) - 1), 2):
        try:
            (start,) = struct.unpack_from(">H", page, place)
            row = _cell_row(page, start)
        except (IndexError, ValueError, struct.error):
            continue
        if row is not None:
            yield row


def _varint(page: bytes, place: int) -> tuple[int, int]:
    """A variable-length integer and the place after it."""
    value = 0
    for offset in range(8):
        byte = page[place + offset]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, place + offset + 1
    return value << 8 | page[place + 8], place + 9


def _cell_row(page: bytes, place: int) -> Row | None:
    """The row of one cell, or None if it is no entry or its checksum does not hold."""
    _, place = _varint(page, place)
    number, start = _varint(page, place)
    header, place = _varint(page, start)
    types = []
    while place < start + header:
        kind, place = _varint(page, place)
        types.append(kind)
    if len(types) != 8:
        return None
    values = list(_values(page, start + header, types))
    if not all(isinstance(value, str) for value in values[1:7]) or not isinstance(values[7], int):
        return None
    row = Row(number, *values[1:])  # type: ignore[arg-type]
    return row if checksum_of(row) == row.checksum else None


def _values(page: bytes, place: int, types: list[int]) -> Iterator[str | int | None]:
    """A record's values; only texts and whole numbers occur in the log."""
    for kind in types:
        if kind >= 13 and kind % 2:
            size = (kind - 13) // 2
            yield page[place : place + size].decode()
        elif kind in (0, 8, 9):
            size = 0
            yield None if kind == 0 else kind - 8
        elif kind <= 6:
            size = (1, 2, 3, 4, 6, 8)[kind - 1]
            yield int.from_bytes(page[place : place + size], "big", signed=True)
        else:
            raise ValueError("not a record of the log")
        place += size

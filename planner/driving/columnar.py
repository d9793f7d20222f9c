"""Tables that are not text: Parquet files and Excel workbooks."""

from __future__ import annotations

import datetime
import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pyarrow as pa

from planner.driving.dialect import Dialect, find_dialect
from planner.driving.numbers import finite, numbers_from_text
from planner.driving.source import LARGEST_BYTES, MOST_ROWS, Source, refuse
from planner.driving.table import Cells, Table, TextTable
from planner.errors import BadInput

_LARGEST_BOOK = 2**28
_SHOWN = 200


def open_table(source: Source) -> Table:
    """The table of a recording: text, Parquet, or the first sheet with numbers of an Excel workbook.

    Raises BadInput where the file is none of these.
    """
    magic = source.head(8)
    if magic[:4] == b"PAR1":
        return parquet_table(source)
    if magic[:4] == b"PK\x03\x04":
        return TextTable(*_sheet_as_text(source))
    if magic == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1":
        refuse(source.name, "is an old Excel workbook; save it as .xlsx or CSV")
    return TextTable(source, find_dialect(source))


@dataclass(frozen=True, slots=True)
class ParquetTable:
    """A Parquet file, open."""

    source: Source
    file: Any
    names: tuple[str, ...]
    samples: tuple[tuple[str, ...], ...]

    @property
    def units(self) -> tuple[str, ...]:
        """Seconds for durations; Parquet has no other units."""
        return tuple("s" if pa.types.is_duration(kind) else "" for kind in self.file.schema_arrow.types)

    def read(self, wanted: Sequence[int], as_text: Sequence[int] = ()) -> dict[int, Cells]:
        """The cells of the columns of these numbers. Raises BadInput where the file is damaged."""
        try:
            alike = len(set(self.names)) < len(self.names)
            table = self.file.read() if alike else self.file.read(columns=[self.names[i] for i in wanted])
        except (pa.ArrowException, OSError, ValueError) as reason:
            refuse(self.source.name, f"the Parquet file is damaged ({reason}); write it again or export CSV")
        return {i: _arrow_cells(table.column(i if alike else self.names[i]), keep_text=i in as_text) for i in wanted}


def parquet_table(source: Source) -> ParquetTable:
    """The table of a Parquet file. Raises BadInput where it is damaged or beyond the limits."""
    import pyarrow.parquet as pq  # a tenth of a second to import, and few recordings need it

    try:
        file = pq.ParquetFile(source.open())
        size = sum(file.metadata.row_group(i).total_byte_size for i in range(file.metadata.num_row_groups))
        if file.metadata.num_rows > MOST_ROWS or size > LARGEST_BYTES:
            refuse(source.name, f"has more than {MOST_ROWS:,} rows or 2 GiB; cut it in parts")
        first = next(file.iter_batches(batch_size=_SHOWN), None)
    except (pa.ArrowException, OSError, ValueError) as reason:
        refuse(source.name, f"the Parquet file is damaged ({reason}); write it again or export CSV")
    names = tuple(file.schema_arrow.names)
    if first is None or not names:
        refuse(source.name, "holds no rows; export the recording again")
    samples = tuple(tuple("" if v is None else str(v) for v in first.column(i).to_pylist()) for i in range(len(names)))
    return ParquetTable(source, file, names, samples)


def _arrow_cells(column: pa.ChunkedArray, *, keep_text: bool) -> Cells:
    kind = column.type
    if pa.types.is_duration(kind):
        return Cells(column.cast(pa.duration("ns")).cast(pa.int64()).cast(pa.float64()).to_numpy() / 1e9)
    if (
        pa.types.is_integer(kind)
        or pa.types.is_floating(kind)
        or pa.types.is_decimal(kind)
        or pa.types.is_boolean(kind)
    ):
        return Cells(finite(column.cast(pa.float64()).to_numpy()))
    if pa.types.is_dictionary(kind):
        return _arrow_cells(column.cast(kind.value_type), keep_text=keep_text)
    text = column.cast(pa.string())
    numbers, unreadable = numbers_from_text(text, ".", thousands=False)
    if keep_text and unreadable > 0.5 * len(column):
        return Cells(None, text)
    return Cells(numbers, None, unreadable)


def _sheet_as_text(source: Source) -> tuple[Source, Dialect]:
    """The first sheet that holds a table of numbers, written as tab-separated text."""
    refused = None
    with source.open() as stream:
        book = _workbook(source, stream)
        for sheet in book.worksheets:
            data = _tabbed(sheet.iter_rows(values_only=True), source.name)
            text = Source(source.name, len(data), lambda data=data: io.BytesIO(data))  # type: ignore[misc]
            try:
                if data.strip():
                    return text, find_dialect(text)
            except BadInput as reason:
                refused = refused or reason
    if refused:
        raise refused
    refuse(source.name, "the workbook holds no sheet with cells; save the recording's sheet alone")


def _workbook(source: Source, stream: Any) -> Any:
    import openpyxl  # slow to import, and few recordings need it

    try:
        with zipfile.ZipFile(stream) as archive:
            size = sum(entry.file_size for entry in archive.infolist())
        if size > min(_LARGEST_BOOK, 2**22 + 200 * source.packed):
            refuse(source.name, f"unpacks to {size // 2**20} MiB; save the recording's sheet as CSV")
        return openpyxl.load_workbook(stream, read_only=True, data_only=True)
    except BadInput:
        raise
    except Exception as reason:  # of a damaged file openpyxl, zipfile and zlib raise whatever they stumble over
        refuse(source.name, f"the workbook is damaged ({reason}); save it again or export CSV")


def _tabbed(rows: Any, file: str) -> bytes:
    try:
        return "\n".join("\t".join(_shown(cell) for cell in row) for row in rows).encode()
    except Exception as reason:  # as above: rows are read as they are asked for
        refuse(file, f"the workbook is damaged ({reason}); save it again or export CSV")


def _shown(cell: Any) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime.timedelta):
        minutes, seconds = divmod(cell.total_seconds(), 60)
        return f"{int(minutes) // 60:02d}:{int(minutes) % 60:02d}:{seconds:09.6f}"
    if isinstance(cell, (datetime.datetime, datetime.time)):
        return cell.isoformat()
    return str(cell).replace("\t", " ").replace("\n", " ")

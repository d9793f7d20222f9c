"""The cells of a recording: a table of columns, of which only those asked for are read."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, BinaryIO, Protocol

import numpy as np
import pyarrow as pa
import pyarrow.csv as pa_csv

from planner.driving.cells import MISSING, is_missing, is_number
from planner.driving.dialect import Dialect, find_dialect
from planner.driving.source import Source, refuse

Array = np.ndarray
_NULLS = sorted({spelling for text in MISSING for spelling in (text, text.upper(), text.title())} | {"NaN"})


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """One column: its numbers (n,), NaN where a cell is empty or no number, or its text where it holds times."""

    numbers: Array | None
    text: Any = None
    unreadable: int = 0


class Table(Protocol):
    """Names, units and first cells of every column, and the cells of those asked for."""

    names: tuple[str, ...]
    units: tuple[str, ...]
    samples: tuple[tuple[str, ...], ...]

    def read(self, wanted: Sequence[int]) -> dict[int, Cells]:
        """The cells of the columns of these numbers."""


class TextTable:
    """A table written as text; see Dialect."""

    def __init__(self, source: Source, dialect: Dialect) -> None:
        self.source, self.dialect = source, dialect
        self.names, self.units, self.samples = dialect.names, dialect.units, dialect.samples

    def read(self, wanted: Sequence[int]) -> dict[int, Cells]:
        """The cells of the columns of these numbers. Raises BadInput where the file cannot be read as a table."""
        kinds = {i: pa.float64() if self._numeric(i) else pa.string() for i in wanted}
        table = self._parsed(kinds)
        return {i: _cells(table.column(f"f{i}")) for i in wanted}

    def _numeric(self, index: int) -> bool:
        present = [cell for cell in self.samples[index] if not is_missing(cell)]
        return all(is_number(cell) for cell in present)

    def _parsed(self, kinds: dict[int, pa.DataType]) -> pa.Table:
        dialect = self.dialect
        names = [f"f{i}" for i in range(dialect.width)]
        try:
            return pa_csv.read_csv(
                _from_first_row(self.source, dialect),
                read_options=pa_csv.ReadOptions(column_names=names, use_threads=True, block_size=2**20),
                parse_options=pa_csv.ParseOptions(delimiter=dialect.separator, invalid_row_handler=lambda row: "skip"),
                convert_options=pa_csv.ConvertOptions(
                    column_types={f"f{i}": kind for i, kind in kinds.items()},
                    include_columns=[f"f{i}" for i in kinds],
                    decimal_point=dialect.decimal,
                    null_values=_NULLS,
                    strings_can_be_null=True,
                ),
            )
        except pa.ArrowInvalid as reason:
            refuse(self.source.name, f"cannot be read as a table ({reason}); export it as plain CSV")


def _from_first_row(source: Source, dialect: Dialect) -> BinaryIO:
    stream = io.BufferedReader(source.open(), 2**20)  # type: ignore[arg-type]
    stream.read(dialect.bom)
    for _ in range(dialect.first_row):
        stream.readline()
    return stream


def _cells(column: pa.ChunkedArray) -> Cells:
    if pa.types.is_floating(column.type):
        return Cells(np.asarray(column.to_numpy(), dtype=float))
    return Cells(None, column)


def open_table(source: Source) -> Table:
    """The table of a recording. Raises BadInput where there is none."""
    return TextTable(source, find_dialect(source))

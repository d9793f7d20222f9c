"""The cells of a recording written as text: only the columns asked for are read."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
import pyarrow as pa
import pyarrow.csv as pa_csv

from planner.driving.cells import MISSING, is_missing, is_number
from planner.driving.dialect import Dialect
from planner.driving.numbers import finite, numbers_from_text
from planner.driving.source import MOST_ROWS, Source, refuse
from planner.driving.stream import Headed, data_stream

Array = np.ndarray
_NULLS = sorted({spelling for text in MISSING for spelling in (text, text.upper(), text.title())} | {"NaN", "NULL"})
_TOLERATED = 2
_SPARE_FIELDS = 40
_LOOKED_AT = 60
_JUDGED = 1000


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """One column: its numbers (n,), NaN where a cell holds none, or its text where it holds times or names.

    unreadable counts the cells that hold something, but no number.
    """

    numbers: Array | None
    text: pa.ChunkedArray | None = None
    unreadable: int = 0


class Table(Protocol):
    """Names, units and first cells of every column, and the cells of those asked for."""

    @property
    def names(self) -> tuple[str, ...]:
        """Names by column."""

    @property
    def units(self) -> tuple[str, ...]:
        """Units by column as a line of units gives them, or ""."""

    @property
    def samples(self) -> tuple[tuple[str, ...], ...]:
        """The first cells of each column."""

    def read(self, wanted: Sequence[int], as_text: Sequence[int] = ()) -> dict[int, Cells]:
        """The cells of the columns of these numbers; those in `as_text` stay text where they are no numbers."""


@dataclass(frozen=True, slots=True)
class TextTable:
    """A table written as text; see Dialect."""

    source: Source
    dialect: Dialect

    @property
    def names(self) -> tuple[str, ...]:
        """Names by column."""
        return self.dialect.names

    @property
    def units(self) -> tuple[str, ...]:
        """Units by column as a line of units gives them, or ""."""
        return self.dialect.units

    @property
    def samples(self) -> tuple[tuple[str, ...], ...]:
        """The first cells of each column."""
        return self.dialect.samples

    def read(self, wanted: Sequence[int], as_text: Sequence[int] = ()) -> dict[int, Cells]:
        """The cells of the columns of these numbers. Raises BadInput where the file cannot be read as a table."""
        kinds = {i: pa.float64() if self._numeric(i) else pa.string() for i in wanted}
        parsed = self._typed(kinds) or self._typed(dict.fromkeys(wanted, pa.string())) or self._padded(wanted)
        if parsed.num_rows > MOST_ROWS:
            refuse(self.source.name, f"has more than {MOST_ROWS:,} rows; cut it in parts")
        return {i: self._cells(parsed.column(f"f{i}"), keep_text=i in as_text) for i in wanted}

    def _numeric(self, index: int) -> bool:
        if self.dialect.thousands:
            return False
        return all(is_number(cell) for cell in self.samples[index][:_LOOKED_AT] if not is_missing(cell))

    def _typed(self, kinds: dict[int, pa.DataType]) -> pa.Table | None:
        """The columns in these types, or None where cells do not fit or more than a few rows have another width."""
        odd: list[int] = []

        def note(row: Any) -> str:
            odd.append(row.actual_columns)
            return "skip"

        try:
            with data_stream(self.source, self.dialect) as stream:
                parsed = pa_csv.read_csv(stream, *_options(self.dialect, kinds, note))
        except (pa.ArrowInvalid, UnicodeDecodeError):
            return None
        return parsed if len(odd) <= _TOLERATED else None

    def _padded(self, wanted: Sequence[int]) -> pa.Table:
        """The columns as text, from rows of any width."""
        import pandas as pd  # a third of a second to import, and few recordings need it

        places = [str(i) for i in range(self.dialect.width + _SPARE_FIELDS)]
        header = self.dialect.separator.join(places).encode() + b"\n"
        try:
            with data_stream(self.source, self.dialect) as stream:
                frame = pd.read_csv(
                    io.BufferedReader(Headed(header, stream)),
                    sep=self.dialect.separator,
                    usecols=[str(i) for i in wanted],
                    dtype=str,
                    keep_default_na=False,
                    on_bad_lines="skip",
                    encoding_errors="replace",
                    index_col=False,
                )
        except (ValueError, pd.errors.ParserError) as reason:
            refuse(self.source.name, f"cannot be read as a table ({reason}); export it as plain CSV")
        texts = {i: pa.array(frame[str(i)], type=pa.string(), from_pandas=True) for i in wanted}
        return pa.table({f"f{i}": pa.chunked_array([text]) for i, text in texts.items()})

    def _cells(self, column: pa.ChunkedArray, *, keep_text: bool) -> Cells:
        if pa.types.is_floating(column.type):
            return Cells(finite(column.to_numpy()))
        some = column.slice(len(column) // 2, _JUDGED)
        if keep_text and self._numbers(some)[1] > 0.5 * len(some):
            return Cells(None, column)
        numbers, unreadable = self._numbers(column)
        if keep_text and unreadable > 0.5 * len(column):
            return Cells(None, column)
        return Cells(numbers, None, unreadable)

    def _numbers(self, column: pa.ChunkedArray) -> tuple[Array, int]:
        return numbers_from_text(column, self.dialect.decimal, thousands=self.dialect.thousands)


def _options(dialect: Dialect, kinds: dict[int, pa.DataType], note: Any) -> tuple[Any, Any, Any]:
    names = [f"f{i}" for i in range(dialect.width)]
    return (
        pa_csv.ReadOptions(column_names=names, block_size=2**20),
        pa_csv.ParseOptions(delimiter=dialect.separator, invalid_row_handler=note),
        pa_csv.ConvertOptions(
            column_types={f"f{i}": kind for i, kind in kinds.items()},
            include_columns=[f"f{i}" for i in kinds],
            decimal_point=dialect.decimal,
            null_values=_NULLS,
            strings_can_be_null=True,
            quoted_strings_can_be_null=True,
        ),
    )

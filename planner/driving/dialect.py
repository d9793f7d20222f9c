"""How a text table is written: encoding, separator, decimal sign, header, units and comment lines, trailing separators."""

from __future__ import annotations

import codecs
import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from planner.driving.cells import MEASURED, THOUSANDS, is_missing, is_number, is_value
from planner.driving.source import Source, refuse
from planner.driving.spelling import unit_of

SEPARATORS = ("\t", ";", "|", ",", " ")
SNIFFED_LINES = 200
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
_COMMENT = re.compile(r"^\s*(?:#+|%+|//+|!+)\s*")
_DECIMAL_COMMA = re.compile(r"[-+−]?\d*,\d+(?:[eE][-+]?\d+)?")

Rows = list[list[str]]


@dataclass(frozen=True, slots=True)
class Dialect:
    """One way of writing a table as text.

    encoding is Python's name; bom its length [bytes]; separator one character, a blank standing for any run of blanks;
    decimal "." or ","; thousands whether commas group digits; names and units by column ("" where the file gives none);
    first_row the line where the data start; samples the first cells of each column.
    """

    encoding: str
    bom: int
    separator: str
    decimal: str
    thousands: bool
    names: tuple[str, ...]
    units: tuple[str, ...]
    first_row: int
    samples: tuple[tuple[str, ...], ...]

    @property
    def width(self) -> int:
        """Fields in a row of data."""
        return len(self.names)


def find_dialect(source: Source) -> Dialect:
    """The dialect of a recording, from its first lines. Raises BadInput where they hold no table of numbers."""
    head = source.head()
    encoding, bom = _encoding(head, source.name)
    lines = _lines(head[bom:], encoding)
    separator, rows = _best_separator(lines)
    width = _width(rows)
    first = _first_row(rows, width)
    if first is None:
        refuse(source.name, "holds no table of numbers; export the recording as CSV with one row per moment")
    data = [row for row in rows[first:] if len(row) >= 1]
    names, units = _header(rows[:first], lines[:first], separator, width)
    decimal, thousands = _decimal(data, separator)
    samples = tuple(tuple(row[i].strip() for row in data if len(row) > i) for i in range(width))
    return Dialect(encoding, bom, separator, decimal, thousands, names, units, first, samples)


def _encoding(head: bytes, name: str) -> tuple[str, int]:
    for mark, encoding in _BOMS:
        if head.startswith(mark):
            return encoding, len(mark)
    even, odd = head[0:2000:2].count(0), head[1:2000:2].count(0)
    if even + odd > len(head[:2000]) // 4:
        return ("utf-16-le" if odd > even else "utf-16-be"), 0
    if even + odd:
        refuse(name, "is not a text table; export the recording as CSV")
    whole = head[: head.rfind(b"\n") + 1] or head
    try:
        whole.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1", 0
    return "utf-8", 0


def _lines(head: bytes, encoding: str) -> list[str]:
    """The first lines, without the last one where it may be cut."""
    lines = re.split(r"\r\n|\n|\r", head.decode(encoding, errors="replace"))
    return lines[: min(SNIFFED_LINES, max(len(lines) - 1, 1))] if len(lines) > SNIFFED_LINES else lines


def _split(lines: Sequence[str], separator: str) -> Rows:
    if separator == " ":
        return [line.split() for line in lines]
    return [next(csv.reader([line], delimiter=separator), []) for line in lines]


def _width(rows: Rows) -> int:
    """Fields of the usual row, judged on the later half of the lines that hold values."""
    later = [len(row) for row in rows[len(rows) // 2 :] if any(is_value(cell) for cell in row)]
    return Counter(later).most_common(1)[0][0] if later else 0


def _score(rows: Rows) -> float:
    """How well a separator explains the lines: share of cells that are values in rows of the usual width."""
    width = _width(rows)
    if not width:
        return 0.0
    usual = [row for row in rows[len(rows) // 2 :] if len(row) == width]
    cells = [cell for row in usual for cell in row if not is_missing(cell)]
    values = sum(1 for cell in cells if is_value(cell))
    share = values / max(len(cells), 1) * len(usual) / max(len(rows) - len(rows) // 2, 1)
    return share if width > 1 else 0.5 * share


def _best_separator(lines: Sequence[str]) -> tuple[str, Rows]:
    tables = {separator: _split(lines, separator) for separator in SEPARATORS}
    best = max(SEPARATORS, key=lambda separator: (round(_score(tables[separator]), 2), -SEPARATORS.index(separator)))
    return best, tables[best]


def _first_row(rows: Rows, width: int) -> int | None:
    """The first line of data: usual width, and a value wherever later rows have values."""
    usual = [row for row in rows[len(rows) // 2 :] if len(row) == width]
    if not width or not usual:
        return None
    numeric = [_mostly_values([row[i] for row in usual]) for i in range(width)]
    if not any(numeric):
        return None
    for index, row in enumerate(rows):
        if len(row) == width and _fits(row, numeric):
            return index
    return None


def _mostly_values(cells: Sequence[str]) -> bool:
    present = [cell for cell in cells if not is_missing(cell)]
    return bool(present) and sum(1 for cell in present if is_value(cell)) >= 0.6 * len(present)


def _fits(row: Sequence[str], numeric: Sequence[bool]) -> bool:
    cells = [cell for cell, wanted in zip(row, numeric, strict=True) if wanted]
    return any(is_value(cell) for cell in cells) and all(is_value(cell) or is_missing(cell) for cell in cells)


def _header(above: Rows, lines: Sequence[str], separator: str, width: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names and units by column from the lines above the data."""
    bare = _split([_COMMENT.sub("", line) for line in lines], separator)
    wide = [row for row in bare if len(row) >= 1 and abs(len(row) - width) <= 1 and any(cell.strip() for cell in row)]
    units = next((row for row in reversed(wide) if _is_units(row)), [])
    names = next((row for row in reversed(wide) if not _is_units(row)), [])
    padded = [cell.strip().strip('"') for cell in names[:width]] + [""] * (width - len(names))
    named = tuple(cell or f"column {i + 1}" for i, cell in enumerate(padded))
    written = tuple(cell.strip().strip('"[](){}') for cell in units[:width]) + ("",) * (width - len(units[:width]))
    return named, written


def _is_units(row: Sequence[str]) -> bool:
    cells = [cell.strip().strip('"[](){}') for cell in row]
    present = [cell for cell in cells if cell]
    return bool(present) and sum(1 for cell in present if unit_of(cell)) >= 0.7 * len(present)


def _decimal(rows: Rows, separator: str) -> tuple[str, bool]:
    """The decimal sign, and whether commas group digits instead."""
    numbers = [cell.strip() for row in rows for cell in row if "," in cell and _is_figure(cell)]
    points = any("." in cell for row in rows for cell in row if is_number(cell))
    if not numbers:
        return ".", False
    if points and all(THOUSANDS.fullmatch(cell) for cell in numbers):
        return ".", True
    return ",", False


def _is_figure(cell: str) -> bool:
    text = cell.strip()
    match = MEASURED.fullmatch(text)
    return is_number(match[1] if match else text)

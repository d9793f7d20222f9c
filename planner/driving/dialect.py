"""How a text table is written: encoding, separator, decimal sign, header lines, trailing separators."""

from __future__ import annotations

import codecs
import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from planner.driving.cells import MEASURED, POINTED, THOUSANDS, is_missing, is_number, is_value
from planner.driving.header import names_and_units
from planner.driving.names import is_name
from planner.driving.source import Source, refuse

SEPARATORS = ("\t", ";", "|", ",", " ")
SNIFFED_LINES = 200
JUDGED_LINES = 40
MOST_COLUMNS = 1000
_WIDER_HEAD = 2**20
_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)

Rows = list[list[str]]


@dataclass(frozen=True, slots=True)
class Dialect:
    """One way of writing a table as text.

    encoding is Python's name; bom its length [bytes]; separator one character, a blank standing for any run of blanks;
    decimal "." or ","; thousands whether the other one groups digits; names and units by column, ""
    where the file gives none; first_row the line where the data start; samples the first cells of each column; plain
    whether the bytes can be parsed as they stand.
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
    plain: bool

    @property
    def width(self) -> int:
        """Fields in a row of data."""
        return len(self.names)


def find_dialect(source: Source) -> Dialect:
    """The dialect of a recording, from its first lines. Raises BadInput where they hold no table of numbers."""
    found = _dialect_of(source.head(), source.name)
    found = found or _dialect_of(source.head(_WIDER_HEAD), source.name, most_lines=5000)
    if found is None:
        refuse(source.name, "holds no table of numbers; export the recording as CSV with one row per moment")
    return found


def _dialect_of(head: bytes, file: str, most_lines: int = SNIFFED_LINES) -> Dialect | None:
    encoding, bom = _encoding(head, file)
    text = head[bom:].decode(encoding, errors="replace")
    lines = _lines(text, most_lines, complete=len(head) < 2**16)
    separator = _best_separator(lines[-JUDGED_LINES:])
    rows = _split(lines, separator)
    width = _width(rows[-JUDGED_LINES:])
    first = _first_row(rows, width)
    if first is None:
        return None
    if width > MOST_COLUMNS:
        refuse(file, f"has {width:,} columns, more than {MOST_COLUMNS:,}; export one row per moment, fewer columns")
    _doubt_commas(lines[:first], separator, width, file)
    if separator == "," and width == 2 and _heads_one_column(lines[:first]) and all(map(_halved, rows[first:])):
        separator, width, rows = ";", 1, [[line] for line in lines]
        first = _first_row(rows, width) or 0
    data = rows[first : first + SNIFFED_LINES]
    names, units = names_and_units(lines[:first], lambda some: _split(some, separator), data, width)
    decimal, thousands = _decimal(data)
    samples = tuple(tuple(row[i].strip() for row in data if len(row) > i) for i in range(width))
    plain = encoding == "utf-8" and separator != " " and not re.search(r"\r(?!\n)", text[:-1])
    return Dialect(encoding, bom, separator, decimal, thousands, names, units, first, samples, plain)


def _heads_one_column(above: Sequence[str]) -> bool:
    """Whether the lines above name one column alone, so that a comma in the rows is a decimal one."""
    headers = (line.split(",") for line in reversed(above) if all(map(is_name, line.split(","))))
    return len(next(headers, [])) == 1


def _halved(row: Sequence[str]) -> bool:
    """Whether two fields may be the halves of a number with a decimal comma, or one field is whole."""
    return len(row) < 2 or (bool(re.fullmatch(r"\s*[-+−]?\d*", row[0])) and row[1][:1].isdigit())


def _doubt_commas(above: Sequence[str], separator: str, width: int, file: str) -> None:
    """Raise BadInput where every value falls in two, as its decimal comma cannot be told from the separator."""
    named = [row for row in _split([line for line in above if line.strip()], separator) if len(row) > 1]
    whole = any(len(row) in (width - 1, width) for row in named)
    if separator == "," and named and not whole and 2 * len(named[-1]) == width:
        remedy = "decimal commas cannot be told from separating commas; export it with semicolons, tabs or quotes"
        refuse(file, remedy, value=f"{width} values a row under {len(named[-1])} names")


def _encoding(head: bytes, name: str) -> tuple[str, int]:
    for mark, encoding in _BOMS:
        if head.startswith(mark):
            return encoding, len(mark)
    start = head[:2000].rstrip(b"\0\r\n")  # a power cut leaves zeros behind the last line
    even, odd = start[0::2].count(0), start[1::2].count(0)
    if even + odd > len(start) // 4:
        return ("utf-16-le" if odd > even else "utf-16-be"), 0
    if even + odd > len(start) // 50:
        refuse(name, "is not a text table; export the recording as CSV")
    whole = head[: head.rfind(b"\n") + 1] or head
    try:
        whole.decode("utf-8")
    except UnicodeDecodeError:
        return "latin-1", 0
    return "utf-8", 0


def _lines(text: str, most: int, *, complete: bool) -> list[str]:
    """The first lines that are not blank at the end, without the last one where it may be cut."""
    lines = re.split(r"\r\n|\n|\r", text)
    if not complete and len(lines) > 1:
        lines.pop()
    while lines and not lines[-1].strip():
        lines.pop()
    return lines[:most]


def _split(lines: Sequence[str], separator: str) -> Rows:
    if separator == " ":
        return [line.split() for line in lines]
    try:
        return [
            next(csv.reader([line], delimiter=separator), []) if '"' in line else line.split(separator)
            for line in lines
        ]
    except csv.Error:
        return [line.split(separator) for line in lines]


def _width(rows: Rows) -> int:
    """Fields of the usual row, judged on the later half of the lines that hold values."""
    later = [len(row) for row in rows[len(rows) // 2 :] if any(is_value(cell) for cell in row)]
    return Counter(later).most_common(1)[0][0] if later else 0


def _score(rows: Rows) -> float:
    """How well a separator explains the lines: share of cells that are values in rows of the usual width."""
    width = _width(rows)
    later = rows[len(rows) // 2 :]
    usual = [row for row in later if len(row) == width]
    if not width or not usual:
        return 0.0
    cells = [cell for row in usual for cell in row if not is_missing(cell)]
    values = sum(1 for cell in cells if is_value(cell))
    share = values / max(len(cells), 1) * len(usual) / len(later)
    return share if width > 1 else 0.5 * share


def _best_separator(lines: Sequence[str]) -> str:
    filled = [line for line in lines if line.strip()]
    present = [s for s in SEPARATORS if sum(1 for line in filled if s in line) > len(filled) // 2] or [","]
    present = [",", " "] if present == [" "] else present
    if len(present) == 1:
        return present[0]
    scores = {separator: round(_score(_split(lines, separator)), 2) for separator in present}
    return max(present, key=lambda separator: (scores[separator], -SEPARATORS.index(separator)))


def _first_row(rows: Rows, width: int) -> int | None:
    """The first line of data: a value or nothing wherever later rows have values."""
    usual = [row for row in rows[-JUDGED_LINES:][-max(len(rows) // 2, 1) :] if len(row) == width]
    if not width or not usual:
        return None
    numeric = [_mostly_values([row[i] for row in usual]) for i in range(width)]
    if not any(numeric):
        return None
    return next((index for index, row in enumerate(rows) if len(row) >= min(2, width) and _fits(row, numeric)), None)


def _mostly_values(cells: Sequence[str]) -> bool:
    present = [cell for cell in cells if not is_missing(cell)]
    return bool(present) and sum(1 for cell in present if is_value(cell)) >= 0.6 * len(present)


def _fits(row: Sequence[str], numeric: Sequence[bool]) -> bool:
    cells = [cell for cell, wanted in zip(row, numeric, strict=False) if wanted]
    return any(is_value(cell) for cell in cells) and all(is_value(cell) or is_missing(cell) for cell in cells)


def _decimal(rows: Rows) -> tuple[str, bool]:
    """The decimal sign, and whether the other one of point and comma groups digits."""
    numbers = [cell.strip() for row in rows for cell in row if "," in cell and _is_figure(cell)]
    if not numbers:
        return ".", False
    if any(POINTED.fullmatch(cell) for cell in numbers):
        return ",", True
    points = any("." in cell and is_number(cell) for row in rows for cell in row)
    if points and all(THOUSANDS.fullmatch(cell) for cell in numbers):
        return ".", True
    return ",", False


def _is_figure(cell: str) -> bool:
    text = cell.strip()
    match = MEASURED.fullmatch(text)
    return is_number(match[1] if match else text)

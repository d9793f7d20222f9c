"""The lines above the data: names and units by column, wherever comments, titles and units lines stand."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from planner.driving.names import is_name
from planner.driving.spelling import unit_of

_COMMENT = re.compile(r"^ *(?:#+|%+|//+|!+|\*+) *")
_SAYS_SOMETHING = re.compile(r"[^\W_]|[%°]")
_BRACKETS = "[](){}<>"

Rows = list[list[str]]
Texts = tuple[str, ...]


def names_and_units(
    above: Sequence[str], split: Callable[[Sequence[str]], Rows], data: Rows, width: int
) -> tuple[Texts, Texts]:
    """Names and units of `width` columns from the lines above the data, "" where no line gives a unit."""
    bare = [_COMMENT.sub("", line) for line in above if _SAYS_SOMETHING.search(line)]
    rows = [_fitted(line, row, width) for line, row in zip(bare, split(bare), strict=True)]
    wide = [row for row in rows if abs(len(row) - width) <= max(1, width // 4) and any(cell.strip() for cell in row)]
    names, units = _names_beside_units(wide, width)
    shift = 1 if len(names) == width - 1 and _is_row_count(data) else 0
    return _named(names, width, shift), _padded([_unbracketed(cell) for cell in units], width, shift)


def _names_beside_units(rows: Rows, width: int) -> tuple[list[str], list[str]]:
    """The row of names and the row of units, each [] where there is none.

    A row may hold a name that also spells a unit, such as "rpm", so the names are the row with most cells that name a
    signal and are no unit, then the one with most names, of the right width, with fewer units, then the last.
    """

    def likely(row: list[str]) -> tuple[int, int, int, float]:
        names, units = sum(map(is_name, row)), sum(map(_is_unit, row))
        return names - units, names, -abs(len(row) - width), -_unit_share(row)

    named = [row for row in reversed(rows) if _unit_share(row) < 1]
    names = max(named, key=likely, default=[])
    return names, next((row for row in reversed(rows) if row is not names and _unit_share(row) >= 0.5), [])


def _fitted(line: str, row: list[str], width: int) -> list[str]:
    """A row of the right width: one whose mark of a comment took a field, or whose names are parted by wide blanks."""
    if len(row) == width or (len(row) == width + 1 and not row[0].strip()):
        return row[-width:]
    apart = re.split(r"\s{2,}|\t", line.strip())
    return apart if len(apart) == width else row


def _named(names: Sequence[str], width: int, shift: int) -> Texts:
    padded = _padded([cell.strip().strip('"').strip() for cell in names], width, shift)
    return tuple(cell or f"column {i + 1}" for i, cell in enumerate(padded))


def _padded(cells: Sequence[str], width: int, shift: int) -> Texts:
    shifted = ("",) * shift + tuple(cells)
    return (shifted + ("",) * width)[:width]


def _is_row_count(data: Rows) -> bool:
    """Whether the first cells count the rows, so that a header shorter by one leaves them without a name."""
    if not any(row[-1].strip() for row in data if row):
        return False
    first = [row[0].strip() for row in data[:20] if row]
    counted = [int(cell) for cell in first if cell.isdigit()]
    return len(counted) == len(first) > 1 and all(b - a == 1 for a, b in pairwise(counted))


def _unbracketed(cell: str) -> str:
    return cell.strip().strip('"').strip().strip(_BRACKETS).strip()


def _is_unit(cell: str) -> bool:
    """Whether a cell spells a unit, or stands in brackets as units do."""
    text = cell.strip()
    return bool(text) and bool(unit_of(_unbracketed(cell)) or (text[0] in _BRACKETS and text[-1] in _BRACKETS))


def _unit_share(row: Sequence[str]) -> float:
    """The share of a row's cells that are units."""
    present = [cell for cell in row if cell.strip().strip('"')]
    return sum(map(_is_unit, present)) / max(len(present), 1)

"""The lines above the data: names and units by column, wherever comments, titles and units lines stand."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from planner.driving.names import is_name
from planner.driving.spelling import unit_of

_COMMENT = re.compile(r"^\s*(?:#+|%+|//+|!+|\*+)\s*")
_SAYS_SOMETHING = re.compile(r"[^\W_]|[%°]")
_BRACKETS = "[](){}<>"

Rows = list[list[str]]
Texts = tuple[str, ...]


def names_and_units(
    above: Sequence[str], split: Callable[[Sequence[str]], Rows], data: Rows, width: int
) -> tuple[Texts, Texts]:
    """Names and units of `width` columns from the lines above the data, "" where no line gives a unit."""
    bare = [_COMMENT.sub("", line) for line in above if _SAYS_SOMETHING.search(line)]
    rows = [
        row if len(row) == width else _widely_split(line, row, width)
        for line, row in zip(bare, split(bare), strict=True)
    ]
    wide = [row for row in rows if abs(len(row) - width) <= max(1, width // 4) and any(cell.strip() for cell in row)]
    names, units = _names_beside_units(wide, width)
    shift = 1 if len(names) == width - 1 and _is_row_count(data) else 0
    return _named(names, width, shift), _padded([_unbracketed(cell) for cell in units], width, shift)


def _names_beside_units(rows: Rows, width: int) -> tuple[list[str], list[str]]:
    """The row of names and the row of units, each [] where there is none.

    Of several, the one with most cells that name a signal, then the one of the right width, then the last.

    A row such as "boost_kPa, rpm" spells a unit in half of its cells: it is one of names where no other is.
    """
    shares = [_unit_share(row) for row in rows]
    units = next((row for row, share in zip(reversed(rows), reversed(shares), strict=True) if share >= 0.5), [])
    named = [row for row, share in zip(rows, shares, strict=True) if share < 0.5]
    if not named and min(shares, default=1.0) < 1.0:
        named = [rows[shares.index(min(shares))]]
        units = [] if units is named[0] else units
    if len(named) < 2:
        return (named or [[]])[0], units
    return max(reversed(named), key=lambda row: (sum(map(is_name, row)), -abs(len(row) - width))), units


def _widely_split(line: str, row: list[str], width: int) -> list[str]:
    """A header whose names hold single blanks, parted by wider ones."""
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


def _unit_share(row: Sequence[str]) -> float:
    """The share of a row's cells that spell a unit, or stand in brackets as units do."""
    present = [cell.strip() for cell in row if cell.strip().strip('"')]
    known = sum(
        1 for cell in present if unit_of(_unbracketed(cell)) or (cell[0] in _BRACKETS and cell[-1] in _BRACKETS)
    )
    return known / max(len(present), 1)

"""A table as plain data: what a page draws as a table at a desk and as cards on a phone."""

from __future__ import annotations

from dataclasses import dataclass, field

from dashboard.presenters.whence import Part

Cell = Part | tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column's heading, whether it holds figures (set to the right), and where its numbers come from."""

    label: str
    figure: bool = True
    about: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its heading, its cells, and a class for its look ("refill-row", "chosen", "broken").

    A cell is a text, a number that opens to where it comes from, or several of both in a row.
    """

    head: Cell
    cells: tuple[Cell, ...]
    look: str = ""


@dataclass(frozen=True, slots=True)
class TableData:
    """`columns` are those after the heading's, whose label is `head`."""

    caption: str
    head: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...] = field(default=())

"""A table as plain data: what a page draws as a table at a desk and as cards on a phone."""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Column:
    """A column's heading, whether it holds figures (set to the right), and where its numbers come from."""

    label: str
    figure: bool = True
    about: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """A row: its heading, its cells as text, and a class for its look ("refill-row", "chosen", "broken")."""

    head: str
    cells: tuple[str, ...]
    look: str = ""


@dataclass(frozen=True, slots=True)
class TableData:
    """`columns` are those after the heading's, whose label is `head`."""

    caption: str
    head: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...] = field(default=())

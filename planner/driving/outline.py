"""What a file looks like before it is read: its columns, first cells, and what each would be taken for.

A page that lets the user map columns needs this also where the recording itself is refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from planner.driving.columnar import open_table
from planner.driving.columns import Column, find_columns
from planner.driving.remembered import header_key
from planner.driving.source import open_source
from planner.driving.vocabulary import MEANINGS
from planner.event import Reading

_SHOWN = 5
_DEFAULT = Reading()
MEANING_NAMES = tuple(meaning.name for meaning in MEANINGS)


@dataclass(frozen=True, slots=True)
class OutlinedColumn:
    """A column: name, unit as written or "", first cells, and the meanings that it may have, best first."""

    name: str
    unit: str
    first_cells: tuple[str, ...]
    meanings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Outline:
    """A file's columns; `taken` maps each meaning to the name of the column that it would be read from; `key` is that
    of the header, for remembering a mapping."""

    name: str
    key: str
    columns: tuple[OutlinedColumn, ...]
    taken: tuple[tuple[str, str], ...]


def outline_of(source: Path | BinaryIO, reading: Reading = _DEFAULT) -> Outline:
    """The outline of a recording. Raises BadInput where the file is no table, or a mapping names no column."""
    opened = open_source(source)
    table = open_table(opened)
    found = find_columns(table, opened.name, reading)
    columns = tuple(
        OutlinedColumn(name, table.units[i] or _unit(found, i), table.samples[i][:_SHOWN], _meanings(found, i))
        for i, name in enumerate(table.names)
    )
    taken = tuple((meaning, candidates[0].name) for meaning, candidates in found.items())
    return Outline(opened.name, header_key(table.names), columns, taken)


def _meanings(found: dict[str, tuple[Column, ...]], index: int) -> tuple[str, ...]:
    return tuple(m for m, candidates in found.items() if any(column.index == index for column in candidates))


def _unit(found: dict[str, tuple[Column, ...]], index: int) -> str:
    units = (c.unit.text for candidates in found.values() for c in candidates if c.index == index and c.unit)
    return next(units, "")

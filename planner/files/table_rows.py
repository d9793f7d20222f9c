"""Arrays of tables such as [[session]]: taken apart with the comments above each row, and put together again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tomlkit.items import AoT

from planner.files.toml_layout import Trivia, blank_line, put_lead, take_lead

Row = tuple[Trivia | None, Any]


def parted(rows: AoT) -> tuple[list[Row], Trivia]:
    """Each row with the lines above it (None: unknown), and the lines above what follows the rows."""
    tables = list(rows)
    leads: list[Trivia | None] = [None, *(take_lead(table) for table in tables)]
    tail = leads.pop() or []
    return list(zip(leads, tables, strict=True)), tail


def put_together(rows: AoT, parts: Sequence[Row], tail: Trivia) -> None:
    """Fill an array of tables with rows, each below its lines."""
    while len(rows):
        del rows[-1]
    for place, (lead, table) in enumerate(parts):
        if place:
            put_lead(rows[-1], blank_line() if lead is None else lead)
        rows.append(table)
    if parts:
        put_lead(rows[-1], tail)


def match_rows(old: Sequence[Mapping[str, Any]], new: Sequence[Mapping[str, Any]]) -> list[int | None]:
    """For each new row the old one that it stands for: by name, then by place; None for a row that is new."""
    free = dict(enumerate(old))
    matched: list[int | None] = []
    for row in new:
        named = (index for index, entry in free.items() if row.get("name") and entry.get("name") == row["name"])
        index = next(named, None)
        matched.append(index)
        if index is not None:
            del free[index]
    for place, index in enumerate(matched):
        if index is None and free.pop(place, None) is not None:
            matched[place] = place
    return matched

"""Changes to the text of a car or event file that keep its comments and layout.

Places are named as faults name them: "reserve.confidence", "nozzle[2].rated_flow", lists counted from 1.
Values are what a file holds: texts with units, numbers, true and false, dates, lists and tables.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import tomlkit
from tomlkit.items import AoT, Array

from planner.errors import BadInput, Fault
from planner.files.keys import Step, steps_of, under
from planner.files.table_rows import match_rows, parted, put_together
from planner.files.toml_layout import add_key


def set_value(document: tomlkit.TOMLDocument, key: str, value: Any) -> None:
    """Write a value at a place, making its table if there is none; None removes the key. Raises BadInput.

    Lists and tables are compared entry by entry, so that comments beside what stays the same are kept.
    """
    if value is None:
        return remove_value(document, key)
    steps = steps_of(key)
    holder = _holder(document, steps, key)
    _assign(holder, steps[-1], value, key)


def insert_value(document: tomlkit.TOMLDocument, key: str, value: Any) -> None:
    """Put an entry into a list before the one that `key` names; one past the last appends. Raises BadInput."""
    *outer, index = steps_of(key)
    if not outer or not isinstance(index, int):
        raise _no_place(key, "name a place in a list, such as session[3]")
    holder = _holder(document, tuple(outer), key)
    entries = holder.get(outer[-1]) if isinstance(holder, dict) else holder[outer[-1]]
    if entries is None:
        entries = []
    if not isinstance(entries, list) or index > len(entries):
        raise _no_place(key, "the list ends before it")
    rows = _plain(entries)
    rows.insert(index, value)
    if isinstance(entries, AoT):
        leads, tail = parted(entries)
        leads.insert(index, (None, _table(value)))
        put_together(entries, leads, tail)
    elif isinstance(entries, Array):
        entries.insert(index, _item(value, inline=True))
    else:
        _assign(holder, outer[-1], rows, key)


def remove_value(document: tomlkit.TOMLDocument, key: str) -> None:
    """Remove a key or an entry of a list; a key that is not there is no fault. Raises BadInput for no such entry."""
    *outer, last = steps_of(key)
    holder = _at(document, tuple(outer))
    if holder is None:
        return
    if isinstance(last, str):
        if isinstance(holder, dict):
            holder.pop(last, None)
        return
    if not isinstance(holder, list) or last >= len(holder):
        raise _no_place(key, "the list ends before it")
    if len(holder) == 1:
        return remove_value(document, under("", outer))
    if isinstance(holder, AoT):
        rows, tail = parted(holder)
        del rows[last]
        put_together(holder, rows, tail)
    else:
        del holder[last]


def move_value(document: tomlkit.TOMLDocument, key: str, to: int) -> None:
    """Move an entry of a list to another place in it, counted from 1; its comments go with it. Raises BadInput."""
    *outer, index = steps_of(key)
    entries = _at(document, tuple(outer))
    if not isinstance(index, int) or not isinstance(entries, list) or not 1 <= to <= len(entries) > index:
        raise _no_place(key, f"there is no such entry, or no place {to}")
    if isinstance(entries, AoT):
        rows, tail = parted(entries)
        rows.insert(to - 1, rows.pop(index))
        put_together(entries, rows, tail)
    else:
        rest = _plain(entries)
        rest.insert(to - 1, rest.pop(index))
        _assign(_at(document, tuple(outer[:-1])), outer[-1], rest, key)


def _no_place(key: str, remedy: str) -> BadInput:
    return BadInput([Fault("", key, "", remedy)])


def _at(document: Any, steps: tuple[Step, ...]) -> Any:
    for step in steps:
        try:
            document = document[step]
        except (LookupError, TypeError):
            return None
    return document


def _holder(document: Any, steps: tuple[Step, ...], key: str) -> Any:
    """What holds the last step of a key; tables on the way are made where they are missing."""
    holder = document
    for step in steps[:-1]:
        if isinstance(step, str) and isinstance(holder, dict) and step not in holder:
            add_key(holder, step, tomlkit.table() if holder is document else tomlkit.inline_table())
        holder = _at(holder, (step,))
        if holder is None:
            raise _no_place(key, f"there is no {under('', steps[:-1])}; add it first")
    if not isinstance(holder, dict if isinstance(steps[-1], str) else list):
        raise _no_place(key, f"{under('', steps[:-1])} is not of the kind that holds it")
    return holder


def _assign(holder: Any, step: Step, value: Any, key: str) -> None:
    if isinstance(step, int) and step >= len(holder):
        raise _no_place(key, "the list ends before it; insert an entry instead")
    old = _at(holder, (step,))
    if isinstance(old, AoT) and isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
        _assign_rows(old, value, key)
    elif isinstance(old, dict) and isinstance(value, Mapping):
        _assign_table(old, value, key)
    elif isinstance(old, Array) and isinstance(value, list):
        _assign_list(old, value, key)
    elif old is None and isinstance(step, str):
        add_key(holder, step, _item(value, inline=not isinstance(holder, tomlkit.TOMLDocument)))
    elif type(_plain(old)) is not type(value) or _plain(old) != value:
        holder[step] = _item(value, inline=not isinstance(old, tomlkit.items.Table))


def _assign_table(old: Any, value: Mapping[str, Any], key: str) -> None:
    for name in [name for name in old if value.get(name) is None]:
        del old[name]
    for name, entry in value.items():
        if entry is not None:
            _assign(old, name, entry, key)


def _assign_list(old: Array, value: list[Any], key: str) -> None:
    while len(old) > len(value):
        del old[-1]
    for index, entry in enumerate(value):
        if index < len(old):
            _assign(old, index, entry, key)
        else:
            old.append(_item(entry, inline=True))


def _assign_rows(old: AoT, value: list[Mapping[str, Any]], key: str) -> None:
    """New rows of an array of tables, each on top of the old one that it stands for, so that comments stay."""
    rows, tail = parted(old)
    placed = []
    for row, index in zip(value, match_rows([_plain(table) for _, table in rows], value), strict=True):
        lead, table = rows[index] if index is not None else (None, tomlkit.table())
        _assign_table(table, row, key)
        placed.append((lead, table))
    put_together(old, placed, tail)


def _plain(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value


def _table(value: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    for name, entry in value.items():
        if entry is not None:
            table.append(name, _item(entry, inline=True))
    return table


def _item(value: Any, *, inline: bool) -> Any:
    """A value as a piece of a TOML document; tables within lists and tables are written on one line."""
    if isinstance(value, Mapping):
        if not inline:
            return _table(value)
        table = tomlkit.inline_table()
        for name, entry in value.items():
            if entry is not None:
                table.append(name, _item(entry, inline=True))
        return table
    if isinstance(value, list | tuple):
        return _listed(list(value), inline=inline)
    return tomlkit.item(value)


def _listed(value: list[Any], *, inline: bool) -> Any:
    if not inline and value and all(isinstance(entry, Mapping) for entry in value):
        rows = tomlkit.aot()
        for entry in value:
            rows.append(_table(entry))
        return rows
    entries = tomlkit.array()
    for entry in value:
        entries.append(_item(entry, inline=True))
    return entries

"""Blank lines and comments of a TOML document: which of them stand above the table that follows."""

from __future__ import annotations

from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.items import AoT, InlineTable, Table, Whitespace

Trivia = list[tuple[Any, Any]]


def last_container(table: Any) -> Container:
    """The innermost table that ends a table's text; comments before the next header stand in it."""
    container: Container = table if isinstance(table, Container) else table.value
    for _, item in reversed(container.body):
        if isinstance(item, AoT) and len(item):
            return last_container(item[-1])
        if isinstance(item, Table):
            return last_container(item)
        break
    return container


def take_lead(table: Any) -> Trivia:
    """Take off the blank lines and comments at a table's end that belong to what follows it.

    Comments right below the table's last key stay with it where a blank line comes after them.
    """
    body = last_container(table).body
    end = len(body)
    while end and body[end - 1][0] is None:
        end -= 1
    first = next((n for n in range(end, len(body)) if isinstance(body[n][1], Whitespace)), end)
    lead = body[first:]
    del body[first:]
    return lead


def put_lead(table: Any, lead: Trivia) -> None:
    """Put blank lines and comments at a table's end, where those of the next table stand."""
    last_container(table).body.extend(lead)


def blank_line() -> Trivia:
    """One blank line."""
    return [(None, tomlkit.ws("\n"))]


def add_key(holder: Any, name: str, item: Any) -> None:
    """Add a key to a table, above the comments that belong to the table below it."""
    if isinstance(holder, InlineTable) or isinstance(item, Table | AoT):
        if isinstance(item, Table | AoT) and len(holder) and isinstance(holder, tomlkit.TOMLDocument):
            _part_from_above(holder)
        holder[name] = item
        return
    if isinstance(holder, Table):
        lead = take_lead(holder)
        holder.append(name, item)
        put_lead(holder, lead)
    else:
        holder[name] = item


def _part_from_above(document: tomlkit.TOMLDocument) -> None:
    """End a document with a blank line, so that a new table stands clear of the last."""
    text = document.as_string()
    if not text.endswith("\n\n"):
        put_lead(document, blank_line() if text.endswith("\n") else blank_line() * 2)

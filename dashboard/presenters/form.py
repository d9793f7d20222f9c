"""A TOML file as a form: its keys as fields of text, its lists of tables as rows of text, and back again.

Values stay as the user typed them ("14 psi", "12 mm"); what a field holds is written to the file as it is, and the
file's own reader judges it, so that a page and an editor find the same faults.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

import tomlkit
from tomlkit.items import Item, Table

from planner.errors import BadInput, Conflict, Fault, FillmarkError
from planner.files.edit import set_value
from planner.files.saving import Opened, open_file, save, text_of
from planner.files.toml_text import read_text

Kind = Literal["text", "number", "list", "flag", "date"]
YES, NO = "yes", "no"
NONE = "none"  # an empty list; an empty field leaves the key out


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """A key of the file as a field: its place ("reserve.final"), label, kind, hint, and its choices if it has any."""

    key: str
    label: str
    kind: Kind = "text"
    hint: str = ""
    options: tuple[tuple[str, str], ...] = field(default=())


@dataclass(frozen=True, slots=True)
class GridSpec:
    """A list of tables, or of lists, as rows: its place ("session"), and its columns as fields.

    `pairs` True: each row is a list of values ([boost, speed]) and not a table.
    """

    key: str
    columns: tuple[FieldSpec, ...]
    pairs: bool = False


def _at(data: Any, key: str) -> Any:
    for part in key.split("."):
        data = data.get(part) if isinstance(data, Mapping) else None
    return data


def shown(value: Any) -> str:
    """A file's value as the text of a field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, list):
        return ", ".join(shown(one) for one in value) or NONE
    if isinstance(value, float):
        return f"{value:.12g}"
    return value.isoformat() if isinstance(value, dt.date) else str(value)


def _number(text: str) -> int | float | str:
    """The number that a text is, or the text itself for the file's reader to judge."""
    for kind in (int, float):
        try:
            return kind(text.replace(",", "."))
        except ValueError:
            continue
    return text


def _date(text: str) -> dt.date | str:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        return text


def filed(text: str, kind: Kind) -> Any:
    """The text of a field as the file's value; None for an empty one, which leaves the key out."""
    text = text.strip()
    if not text:
        return None
    if kind == "number":
        return _number(text)
    if kind == "list":
        return [] if text == NONE else [part.strip() for part in text.replace(";", ",").split(",") if part.strip()]
    if kind == "flag":
        return {YES: True, NO: False}.get(text, text)
    return _date(text) if kind == "date" else text


def form_of(
    opened: Opened, specs: Sequence[FieldSpec], grids: Sequence[GridSpec], defaults: Mapping[str, str]
) -> dict[str, Any]:
    """The file as a form: `values` and `grids` of text, `assumed` keys (shown with their default), `fingerprint`."""
    data = opened.document.unwrap()
    found = {spec.key: _at(data, spec.key) for spec in specs}
    left_out = {key for key, value in found.items() if value is None and defaults.get(key)}
    marked = {key for key in (*found, *(one.key for one in grids)) if _marked(opened.document, key)}
    assumed = sorted(left_out | marked)
    values = {key: defaults[key] if key in left_out else shown(value) for key, value in found.items()}
    rows = {one.key: [_row(row, one) for row in _at(data, one.key) or []] for one in grids}
    return {"values": values, "grids": rows, "assumed": assumed, "fingerprint": opened.fingerprint}


def _item(document: Any, key: str) -> Any:
    for part in key.split("."):
        document = document.get(part) if isinstance(document, Mapping) else None
    return document


def _marked(document: tomlkit.TOMLDocument, key: str) -> bool:
    """Whether the line of a key says in its comment that the value is assumed."""
    items = [_item(document, key), _item(document, key.rpartition(".")[0])]
    comments = [item.trivia.comment for item in items if isinstance(item, Item) and not isinstance(item, Table)]
    return any("assumed" in comment for comment in comments)


def _unmark(document: tomlkit.TOMLDocument, key: str) -> None:
    """Take off a comment that says "assumed", now that the value is the user's own."""
    item = _item(document, key)
    if isinstance(item, Item) and "assumed" in item.trivia.comment:
        item.trivia.comment, item.trivia.comment_ws = "", ""


def _row(row: Any, spec: GridSpec) -> dict[str, str]:
    if spec.pairs:
        return {column.key: shown(value) for column, value in zip(spec.columns, row, strict=False)}
    return {column.key: shown(_at(row, column.key)) for column in spec.columns}


def _filed_row(row: Mapping[str, str], spec: GridSpec, old: Mapping[str, Any] | None) -> Any:
    """A row of text as the file holds it; keys that the grid does not show stay as they were."""
    new = {column.key: filed(str(row.get(column.key) or ""), column.kind) for column in spec.columns}
    if spec.pairs:
        return ["" if value is None else value for value in new.values()]
    kept = {key: value for key, value in (old or {}).items() if key not in new}
    return {key: value for key, value in {**new, **kept}.items() if value is not None}


def _old_rows(document: tomlkit.TOMLDocument, spec: GridSpec, rows: Sequence[Mapping[str, str]]) -> list[Any]:
    """For each row the file's old row that it stands for: of the same name, else none."""
    if spec.pairs:
        return [None] * len(rows)
    by_name = {row.get("name"): row for row in _at(document.unwrap(), spec.key) or [] if isinstance(row, Mapping)}
    return [by_name.get(row.get("name")) for row in rows]


def apply_draft(
    document: tomlkit.TOMLDocument,
    draft: Mapping[str, Any],
    specs: Sequence[FieldSpec],
    grids: Sequence[GridSpec],
) -> None:
    """Write a draft's values and grids into a document. Raises BadInput for what no document can hold."""
    kinds = {spec.key: spec.kind for spec in specs}
    written = [key for key in draft.get("values") or {} if key in kinds]
    for key in written:
        set_value(document, key, filed(str(draft["values"][key]), kinds[key]))
        _unmark(document, key)
    for table in {key.rpartition(".")[0] for key in written}:
        if _item(document, table) == {}:
            set_value(document, table, None)
    by_key = {one.key: one for one in grids}
    for key, rows in (draft.get("grids") or {}).items():
        spec = by_key.get(key)
        if spec is not None:
            if not rows:
                set_value(document, key, None)
                continue
            old = _old_rows(document, spec, rows)
            set_value(document, key, [_filed_row(row, spec, was) for row, was in zip(rows, old, strict=True)])
            _unmark(document, key)


@dataclass(frozen=True, slots=True)
class Drafted:
    """A file's text with a draft applied, or its faults."""

    text: str = ""
    faults: tuple[Fault, ...] = ()


def drafted(path: Path, draft: Mapping[str, Any], specs: Sequence[FieldSpec], grids: Sequence[GridSpec]) -> Drafted:
    """The text that the file would have with the draft, without writing it."""
    try:
        if not draft.get("values") and not draft.get("grids"):
            return Drafted(read_text(path, path.name))
        opened = open_file(path)
        apply_draft(opened.document, draft, specs, grids)
        return Drafted(text_of(opened.document))
    except BadInput as reason:
        return Drafted(faults=reason.faults)


def save_draft(path: Path, draft: Mapping[str, Any], specs: Sequence[FieldSpec], grids: Sequence[GridSpec]) -> str:
    """Write a draft to its file; a sentence that says so. Raises FillmarkError with what stands in the way."""
    opened = open_file(path, draft.get("fingerprint"))
    apply_draft(opened.document, draft, specs, grids)
    save(opened)
    return f"Saved to {path.name}."


def reason_text(reason: FillmarkError) -> list[str]:
    """An exception as sentences for a page."""
    if isinstance(reason, BadInput):
        return [fault.line() for fault in reason.faults]
    if isinstance(reason, Conflict):
        return [f"{reason}."]
    return [str(reason)]


def faults_by_cell(
    faults: Sequence[Fault], grids: Sequence[GridSpec]
) -> tuple[dict[str, str], dict[str, dict[str, str]]]:
    """Faults by field key, and by grid and cell ("0.start"); "session[3].start" is row 2 of the grid "session"."""
    by_key: dict[str, str] = {}
    by_cell: dict[str, dict[str, str]] = {one.key: {} for one in grids}
    columns = {one.key: [column.key for column in one.columns] for one in grids}
    for fault in faults:
        table, bracket, rest = fault.key.partition("[")
        number, _, cell = rest.partition("]")
        if bracket and table in by_cell and number.isdigit():
            name = cell.removeprefix(".").split("[")[0] or columns[table][0]
            if name.isdigit():
                name = columns[table][0]
            by_cell[table][f"{int(number) - 1}.{name}"] = fault.remedy
        elif fault.key:
            by_key.setdefault(table, fault.remedy)  # "stock.containers[2]" stands in the one field of the list
    return by_key, by_cell

"""A draft and a file that changed under it: what differs, the draft's edits on top of the file, undo over a save.

A draft carries under "from" the values and grids of the file that it began from, so that each of its edits, and each
change made outside, is known for itself. Rows of a list are the same row if their names are, else their places.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from dashboard.presenters.form import FieldSpec, GridSpec
from dashboard.presenters.table import Column, TableData
from dashboard.presenters.table import Row as TableRow
from planner.files.table_rows import match_rows

Draft = Mapping[str, Any]
Form = Mapping[str, Any]
Row = Mapping[str, str]
Fold = Callable[[Draft, Form], tuple[dict[str, Any], dict[str, Any]]]
EDITS = ("values", "grids", "trial")


def origin(form: Form) -> dict[str, Any]:
    """What a draft keeps of the file that it begins from."""
    return {"fingerprint": form["fingerprint"], "from": {"values": form["values"], "grids": form["grids"]}}


def has_edits(draft: Draft | None) -> bool:
    """Whether a draft changes anything in the file or tries anything."""
    return any((draft or {}).get(part) for part in EDITS)


def began_from(draft: Draft, form: Form) -> Form:
    """The values and grids that a draft began from; the form's own where it kept none."""
    return draft.get("from") or form


def is_behind(draft: Draft | None, form: Form) -> bool:
    """Whether a draft with edits began from another content than the form's."""
    return has_edits(draft) and (draft or {}).get("fingerprint") not in (None, form["fingerprint"])


def _left(step: Draft, form: Form) -> dict[str, Any]:
    """A step without what the form holds already."""
    return {
        "values": {key: text for key, text in (step.get("values") or {}).items() if form["values"].get(key) != text},
        "grids": {key: rows for key, rows in (step.get("grids") or {}).items() if form["grids"].get(key) != rows},
        "trial": dict(step.get("trial") or {}),
    }


def on_top(draft: Draft, form: Form) -> dict[str, Any]:
    """The draft with its edits, and those of its earlier steps, on top of what the file holds now."""
    old = began_from(draft, form)

    def moved(step: Draft) -> dict[str, Any]:
        grids = {
            key: merged_rows(old["grids"].get(key, []), rows, form["grids"].get(key, []))
            for key, rows in (step.get("grids") or {}).items()
        }
        return _left({**step, "grids": grids}, form)

    return {**moved(draft), "past": [moved(step) for step in draft.get("past") or []], **origin(form)}


def given_up(draft: Draft, form: Form) -> dict[str, Any]:
    """No edits, on what the file holds now; one undo brings them back, on top of it."""
    whole = on_top(draft, form)
    before = {part: whole[part] for part in EDITS}
    return {"values": {}, "grids": {}, "trial": {}, "past": [*whole["past"], before], **origin(form)}


def after_save(draft: Draft, old: Form, new: Form, fold: Fold) -> dict[str, Any]:
    """The draft once it is saved: nothing edited, and undo still walks back through what led there.

    old, new: the form before and after; fold: gives a step with what it tries turned into edits, and the tried rest.
    """
    old = {**old, **began_from(draft, old)}
    steps = [fold(step, old) for step in [*(draft.get("past") or []), draft]]
    keys = {part: {key for whole, _ in steps for key in whole.get(part) or {}} for part in ("values", "grids")}

    def seen(step: tuple[Draft, Draft]) -> dict[str, Any]:
        whole, rest = step
        full = {
            part: {key: (whole.get(part) or {}).get(key, old[part].get(key)) for key in keys[part]}
            for part in ("values", "grids")
        }
        return _left({**full, "trial": rest}, new)

    return {
        "values": {},
        "grids": {},
        "trial": steps[-1][1],
        "past": [seen(step) for step in steps[:-1]],
        **origin(new),
    }


def merged_rows(old: Sequence[Row], mine: Sequence[Row], theirs: Sequence[Row]) -> list[dict[str, str]]:
    """Rows with my changes of the old ones on top of theirs; cells that both changed are mine."""
    mine_of, theirs_of = match_rows(old, mine), match_rows(old, theirs)
    place_of = {index: place for place, index in enumerate(theirs_of) if index is not None}
    made: list[dict[str, str]] = []
    for row, index in zip(mine, mine_of, strict=True):
        if index is None:
            made.append(dict(row))
        elif index in place_of:
            changed = {key: text for key, text in row.items() if text != old[index].get(key)}
            made.append({**theirs[place_of[index]], **changed})
        elif row != old[index]:
            made.append(dict(row))
    for place, index in enumerate(theirs_of):
        if index is None:
            made.insert(min(place, len(made)), dict(theirs[place]))
    return made


def _row_changes(old: Sequence[Row], new: Sequence[Row], spec: GridSpec, thing: str) -> list[tuple[str, str, str]]:
    """(where, before, now) of each cell that changed, of rows added and of rows gone."""
    labels = {column.key: column.label for column in spec.columns}
    matched, found = match_rows(old, new), []
    for place, (row, index) in enumerate(zip(new, matched, strict=True), 1):
        if index is None:
            found.append((f"{thing} {place}", "", f"added: {_name(row)}"))
            continue
        found += [
            (f"{thing} {place}, {labels[key].lower()}", old[index].get(key, ""), row.get(key, ""))
            for key in labels
            if old[index].get(key, "") != row.get(key, "")
        ]
    gone = [index for index in range(len(old)) if index not in matched]
    return found + [(f"{thing} {index + 1}", _name(old[index]), "taken out") for index in gone]


def _name(row: Row) -> str:
    return row.get("name") or ", ".join(text for text in row.values() if text)


def differences(
    draft: Draft, form: Form, specs: Sequence[FieldSpec], grids: Sequence[GridSpec]
) -> list[tuple[str, str, str, str]]:
    """What changed in the file since the draft began: (where, before, in the file now, in the draft or "")."""
    old, mine = began_from(draft, form), draft.get("grids") or {}
    found = []
    for spec in specs:
        was, now = old["values"].get(spec.key, ""), form["values"].get(spec.key, "")
        if was != now:
            found.append((spec.label, was, now, str((draft.get("values") or {}).get(spec.key, ""))))
    for grid in grids:
        before, thing = old["grids"].get(grid.key, []), grid.key.split(".")[-1].capitalize()
        yours = {where: now for where, _, now in _row_changes(before, mine.get(grid.key, before), grid, thing)}
        for where, was, now in _row_changes(before, form["grids"].get(grid.key, []), grid, thing):
            found.append((where, was, now, yours.get(where, "")))
    return found


def differences_table(found: Sequence[tuple[str, str, str, str]]) -> TableData:
    """The differences as a table."""
    rows = tuple(
        TableRow(where, (was or "not set", now or "not set", mine or "as it was")) for where, was, now, mine in found
    )
    columns = tuple(Column(label, figure=False) for label in ("When you began", "In the file now", "In your draft"))
    return TableData("What was changed in the file", "Where", columns, rows)

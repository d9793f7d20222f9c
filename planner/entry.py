"""One line of the pit log: who knows what happened, when, and whether it was taken back. It reads no files."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Literal, get_args
from uuid import uuid4

from planner.errors import BadInput, Fault

Kind = Literal["level", "fill", "done", "late", "cancelled", "stock", "kept", "note", "undo"]
KINDS: tuple[str, ...] = get_args(Kind)

LONGEST_ID, LONGEST_NOTE, LONGEST_VALUE = 64, 500, 3000
_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]*")

# Each kind's keys: name -> (type, whether it must be there). Every number carries its unit in its name.
_KEYS: dict[str, dict[str, tuple[type, bool]]] = {
    "level": {
        "level_L": (float, True),
        "level_mm": (float, True),
        "error_mm": (float, False),
        "after": (int, False),
        "after_name": (str, False),
        "typed": (str, False),
    },
    "fill": {
        "to_mark": (bool, True),
        "mark_L": (float, False),
        "mark_mm": (float, False),
        "add_L": (float, False),
        "before": (int, False),
        "before_name": (str, False),
        "typed": (str, False),
    },
    "done": {"session": (int, True), "session_name": (str, False), "runs": (float, False)},
    "late": {"minutes": (float, True)},
    "cancelled": {"session": (int, True), "session_name": (str, False)},
    "stock": {"left_L": (float, True), "typed": (str, False)},
    "kept": {"mean": (float, True), "variation": (float, True), "readings": (int, False)},
    "note": {"text": (str, True)},
    "undo": {"undoes": (str, True)},
}
_SMALLEST = {"minutes": -1440.0, "session": 1, "after": 0, "before": 1}
_LARGEST = {"minutes": 1440.0}


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: `at` is when it happened (aware), `written` when it was stored, `number` its place in the log.

    `id` is made by the sender: the same id counts once. `undone` says that a later entry takes it back.
    """

    id: str
    at: datetime
    kind: str
    value: Mapping[str, Any] = field(default_factory=dict)
    written: datetime | None = None
    number: int = 0
    undone: bool = False


def new_id() -> str:
    """An id that nobody else makes."""
    return uuid4().hex


def checked(entry: Entry) -> Entry:
    """The entry, if the log can take it. Raises BadInput with every fault found."""
    faults = [*_id_faults(entry), *_time_faults(entry), *_value_faults(entry)]
    if faults:
        raise BadInput([Fault("pit log", key, value, remedy) for key, value, remedy in faults])
    return entry


def with_undone(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries, in order, each marked undone if a later undo names it."""
    listed = tuple(entries)
    taken_back = {entry.value["undoes"] for entry in listed if entry.kind == "undo"}
    return tuple(replace(entry, undone=entry.id in taken_back) for entry in listed)


def standing(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries that count: neither undone nor an undo."""
    return tuple(entry for entry in with_undone(entries) if not entry.undone and entry.kind != "undo")


def value_text(entry: Entry) -> str:
    """The entry's value as one line of JSON with sorted keys."""
    return json.dumps(dict(entry.value), ensure_ascii=False, sort_keys=True, allow_nan=False)


def _id_faults(entry: Entry) -> list[tuple[str, str, str]]:
    if len(entry.id) <= LONGEST_ID and _ID.fullmatch(entry.id):
        return []
    remedy = f"an id has 1 to {LONGEST_ID} letters, digits, and . _ : - after the first"
    return [("id", entry.id[:80], remedy)]


def _time_faults(entry: Entry) -> list[tuple[str, str, str]]:
    if entry.at.tzinfo is not None and 1990 <= entry.at.year <= 2200:
        return []
    remedy = 'a time needs a sensible date and an offset, such as "2026-05-16T12:05+01:00"'
    return [("at", entry.at.isoformat(), remedy)]


def _value_faults(entry: Entry) -> list[tuple[str, str, str]]:
    if entry.kind not in _KEYS:
        return [("kind", str(entry.kind)[:40], f"the kinds are {', '.join(KINDS)}")]
    known = _KEYS[entry.kind]
    faults = [
        (key, "", f"missing from a {entry.kind}") for key, (_, must) in known.items() if must and key not in entry.value
    ]
    for key, value in entry.value.items():
        remedy = _remedy(key, value, known)
        if remedy:
            faults.append((str(key)[:40], repr(value)[:60], remedy))
    return faults or _whole_faults(entry)


def _remedy(key: str, value: Any, known: Mapping[str, tuple[type, bool]]) -> str:
    """What is wrong with one key of a value, or nothing."""
    if key not in known:
        return f"not a key of this kind; the keys are {', '.join(known)}"
    kind = known[key][0]
    if kind is bool:
        return "" if isinstance(value, bool) else "true or false"
    if kind is str:
        right = isinstance(value, str) and len(value) <= LONGEST_NOTE
        return "" if right else f"text of at most {LONGEST_NOTE} characters"
    if isinstance(value, bool) or not isinstance(value, int if kind is int else (int, float)):
        return "a whole number" if kind is int else "a number"
    low, high = _SMALLEST.get(key, 0.0), _LARGEST.get(key, 1e6)
    return "" if low <= value <= high else f"a number from {low:g} to {high:g}"


def _whole_faults(entry: Entry) -> list[tuple[str, str, str]]:
    if entry.kind == "fill" and not ("mark_L" in entry.value if entry.value["to_mark"] else "add_L" in entry.value):
        return [("fill", "", "a fill goes to a mark or adds an amount: give mark_L or add_L")]
    if entry.kind == "note" and not entry.value["text"].strip():
        return [("text", "", "a note needs text")]
    if len(value_text(entry).encode()) > LONGEST_VALUE:
        return [("value", "", f"an entry holds at most {LONGEST_VALUE} bytes; shorten the text")]
    return []

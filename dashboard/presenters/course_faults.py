"""Faults of an event's courses, by the field or cell that they are about."""

from __future__ import annotations

from collections.abc import Sequence

from dashboard.presenters.course_form import PIECE_KEYS, SPLIT_KEYS, TIME_KEYS
from planner.errors import BadInput, Fault
from planner.files.keys import steps_of


def faults_by_place(
    faults: Sequence[Fault], slots: Sequence[str]
) -> tuple[dict[str, str], dict[str, dict[str, str]], dict[str, list[Fault]]]:
    """Faults by field, by grid and cell, and by slot."""
    fields: dict[str, str] = {}
    cells: dict[str, dict[str, str]] = {}
    of_slot: dict[str, list[Fault]] = {}
    for fault in faults:
        steps = _steps(fault.key)
        if len(steps) < 2 or not isinstance(steps[1], int) or steps[1] >= len(slots):
            continue
        slot = slots[steps[1]]
        of_slot.setdefault(slot, []).append(fault)
        _place(slot, steps[2:], fault.remedy, fields, cells)
    return fields, cells, of_slot


def _steps(key: str) -> tuple[str | int, ...]:
    try:
        return steps_of(key)
    except BadInput:
        return ()


def _place(
    slot: str, steps: tuple[str | int, ...], remedy: str, fields: dict[str, str], cells: dict[str, dict[str, str]]
) -> None:
    name = steps[0] if steps else ""
    if name in ("pieces", "time_at_boost") and len(steps) > 1:
        inside = steps[2] if len(steps) > 2 else 0
        keys = PIECE_KEYS if name == "pieces" else TIME_KEYS
        column = keys[min(inside, len(keys) - 1)] if isinstance(inside, int) else inside
        cells.setdefault(f"{slot}.{name}", {})[f"{steps[1]}.{column}"] = remedy
    elif name == "split":
        kind = next((kind for kind, key in SPLIT_KEYS.items() if key in steps), "")
        fields.setdefault(f"{slot}.split.{kind}" if kind else f"{slot}.split", remedy)
    elif name:
        fields.setdefault(f"{slot}.{name}", remedy)

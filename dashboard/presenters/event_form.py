"""An event file as a form: its fields, its session grid, and the defaults that it may leave out."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dashboard.presenters.form import NO, YES, FieldSpec, GridSpec, form_of
from planner.event import PRIORITIES, Refill, Reserve
from planner.files.quantity_text import quantity_text
from planner.files.saving import open_file

DAY_FIELDS = (
    FieldSpec("name", "Name"),
    FieldSpec("date", "Date", "date", "YYYY-MM-DD"),
    FieldSpec("timezone", "Time zone", hint="such as Europe/London"),
    FieldSpec("car", "Car file", hint="path from the event's file"),
)
RESERVE_FIELDS = (
    FieldSpec("reserve.confidence", "Confidence for the day", "number", "share, such as 0.99"),
    FieldSpec("reserve.final", "Final reserve", hint="time at the largest flow"),
    FieldSpec("reserve.extra", "Extra runs or laps a leg", "number"),
    FieldSpec("reserve.prime", "Prime", hint="line fill and test spray"),
)
REFILL_FIELDS = (
    FieldSpec("refill.setup", "Setup of a refill"),
    FieldSpec("refill.pour_rate", "Pour rate"),
    FieldSpec("refill.spill", "Spilled at each fill"),
    FieldSpec("refill.priority", "Priority", options=tuple((one, one) for one in PRIORITIES)),
    FieldSpec("refill.stop_at", "Refill allowed at", "list", "gap names, with commas; none: nowhere; empty: anywhere"),
)
STOCK_FIELDS = (
    FieldSpec("stock.in_tank", "In the tank already"),
    FieldSpec("stock.containers", "Container sizes", "list", "with commas"),
    FieldSpec("stock.alcohol_price", "Methanol price", hint="such as 2.40 / L"),
    FieldSpec("stock.water_price", "Water price", hint="such as 0.60 / L"),
)
EVENT_FIELDS = (*DAY_FIELDS, *RESERVE_FIELDS, *REFILL_FIELDS, *STOCK_FIELDS)
SESSIONS = GridSpec(
    "session",
    (
        FieldSpec("name", "Name"),
        FieldSpec("date", "Date", "date"),
        FieldSpec("start", "Start"),
        FieldSpec("length", "Length"),
        FieldSpec("course", "Course"),
        FieldSpec("runs", "Runs", "number"),
        FieldSpec("driver", "Driver"),
        FieldSpec("gap", "Gap before"),
        FieldSpec("refill", "Refill before", "flag"),
    ),
)
GRIDS = (SESSIONS,)


def event_defaults() -> dict[str, str]:
    """The text of each value that an event may leave out."""
    reserve, refill = Reserve(), Refill()
    return {
        "reserve.confidence": f"{reserve.confidence:g}",
        "reserve.final": quantity_text(reserve.final, "time"),
        "reserve.extra": f"{reserve.extra:g}",
        "reserve.prime": quantity_text(reserve.prime, "volume"),
        "refill.setup": quantity_text(refill.setup, "time"),
        "refill.pour_rate": quantity_text(refill.pour_rate, "flow"),
        "refill.spill": quantity_text(refill.spill, "volume"),
        "refill.priority": refill.priority,
        "stock.in_tank": "0 L",
    }


def event_form(path: Path) -> dict[str, Any]:
    """The event's file as a form. Raises BadInput for a file that is not TOML."""
    return form_of(open_file(path), EVENT_FIELDS, GRIDS, event_defaults())


def session_columns(rows: Sequence[dict[str, str]], courses: Sequence[str]) -> list[dict[str, Any]]:
    """The session grid's columns; the date comes early where a session names one, else last."""
    options = [{"value": name, "label": name} for name in courses]
    choices = [{"value": "", "label": "by gap"}, {"value": YES, "label": "yes"}, {"value": NO, "label": "no"}]
    day = {"key": "date", "label": "Date", "size": 10, "placeholder": "the event's"}
    dated = any(row.get("date") for row in rows)
    columns: list[dict[str, Any]] = [
        {"key": "name", "label": "Name", "size": 14},
        *([day] if dated else []),
        {"key": "start", "label": "Start", "size": 6},
        {"key": "length", "label": "Length", "size": 7},
        {"key": "course", "label": "Course", "kind": "choice", "options": options, "size": 12},
        {"key": "runs", "label": "Runs", "size": 4, "mode": "decimal"},
        {"key": "driver", "label": "Driver", "size": 8},
        {"key": "gap", "label": "Gap before", "size": 9},
        {"key": "refill", "label": "Refill", "kind": "choice", "options": choices},
        *([] if dated else [day]),
    ]
    return columns


def course_names(form: dict[str, Any], path: Path) -> list[str]:
    """Names of the event's courses, and those that its sessions name besides."""
    courses = open_file(path).document.unwrap().get("course", [])
    named = [one["name"] for one in courses if isinstance(one, dict) and isinstance(one.get("name"), str)]
    return list(dict.fromkeys([*named, *(row["course"] for row in form["grids"]["session"] if row["course"])]))

"""An event's courses as drafted on their page, what follows from the draft, and what a click makes of it."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from dashboard.presenters.course_faults import faults_by_place
from dashboard.presenters.course_form import (
    FIRST_SPLITS,
    STARTERS,
    apply_courses,
    logs_of,
    refuse_outside,
    slots_of,
    stated_readings,
    table_rows,
    value_of,
)
from dashboard.presenters.course_mapping import field_key, header_of, mapping_values, rate_faults
from dashboard.presenters.workspace import Workspace
from planner.car import Car
from planner.driving.remembered import memory_of, remember
from planner.errors import BadInput, Fault
from planner.event import Course, Per, Reading
from planner.files.car_file import read_car
from planner.files.event_file import parse_courses
from planner.files.saving import open_file, save, text_of

Values = Mapping[str, Any]
Given = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Drafted:
    """The courses of a draft by slot (None: one with faults), each's name and measure, the event's car, what is wrong.

    readings are the mappings that the draft states, by header; sessions are the event's as plain texts.
    """

    folder: Path = Path()
    courses: Mapping[str, Course | None] = field(default_factory=dict)
    names: Mapping[str, str] = field(default_factory=dict)
    pers: Mapping[str, Per] = field(default_factory=dict)
    car: Car | None = None
    readings: Mapping[str, Reading] = field(default_factory=dict)
    sessions: Sequence[Mapping[str, str]] = ()
    fields: Mapping[str, str] = field(default_factory=dict)
    cells: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    faults: Mapping[str, Sequence[Fault]] = field(default_factory=dict)
    others: tuple[str, ...] = ()


def drafted_courses(path: Path, draft: Values, base: Values, inside: Path) -> Drafted:
    """What becomes of an event's courses with a draft; `inside` is the workspace's folder."""
    names = {slot: str(value_of(draft, base, f"{slot}.name")).strip() or "unnamed" for slot in slots_of(draft, base)}
    pers = {slot: per_of(value_of(draft, base, f"{slot}.per")) for slot in names}
    try:
        opened = open_file(path)
        refuse_outside(opened.document.unwrap(), draft, base, path.parent, inside)
        rows = apply_courses(opened.document, draft, base, path.parent)
        courses, faults = parse_courses(text_of(opened.document), path)
    except BadInput as reason:
        return Drafted(path.parent, dict.fromkeys(names), names, pers, others=tuple(f.line() for f in reason.faults))
    slots = slots_of(draft, base)
    fields, cells, of_slot = faults_by_place(faults, slots)
    fields |= {fault.key: fault.remedy for fault in rate_faults(draft.get("values") or {})}
    car, car_faults = _car(opened.document.unwrap(), path, Workspace(inside))
    return Drafted(
        folder=path.parent,
        courses=dict(zip(slots, [*courses, *[None] * len(slots)], strict=False)),
        names=names,
        pers=pers,
        car=car,
        readings=stated_readings(rows, draft, base, path.parent),
        sessions=_sessions(opened.document.unwrap()),
        fields=fields,
        cells=cells,
        faults=of_slot,
        others=car_faults,
    )


def per_of(text: Any) -> Per:
    """What a course counts, "run" where its text says nothing known."""
    return text if text in ("run", "lap", "minute") else "run"


def _car(data: Mapping[str, Any], path: Path, workspace: Workspace) -> tuple[Car | None, tuple[str, ...]]:
    """The event's car, or sentences that say why there is none."""
    name = data.get("car")
    if not isinstance(name, str):
        return None, ("The event names no car, so no use can be worked out; choose one on the page Day.",)
    try:
        return read_car(os.path.normpath(path.parent / name)), ()
    except BadInput as reason:
        return None, tuple(f"The car: {workspace.shortened(fault).line()}" for fault in reason.faults)


def _sessions(data: Mapping[str, Any]) -> list[dict[str, str]]:
    return [{key: str(row.get(key, "")) for key in ("name", "course", "runs")} for row in table_rows(data, "session")]


def sessions_on(made: Drafted, slot: str) -> list[Mapping[str, str]]:
    """The sessions that drive a course."""
    return [session for session in made.sessions if session["course"] == made.names.get(slot)]


def said_changes(draft: Values) -> list[str]:
    """What stands unsaved, in short phrases."""
    return ["edited, not saved"] if draft.get("values") or draft.get("grids") else []


def save_courses(path: Path, draft: Values, base: Values, inside: Path) -> str:
    """Write a draft to the event's file and remember its mappings; a sentence. Raises FillmarkError."""
    rates = rate_faults(draft.get("values") or {})
    if rates:
        raise BadInput([replace(fault, key="rows a second") for fault in rates])
    opened = open_file(path, draft.get("fingerprint"))
    refuse_outside(opened.document.unwrap(), draft, base, path.parent, inside)
    rows = apply_courses(opened.document, draft, base, path.parent)
    save(opened)
    readings = stated_readings(rows, draft, base, path.parent)
    logs = [path.parent / log for row in rows for log in row.get("logs") or []]
    return f"Saved to {path.name}.{_remembered(logs, readings)}"


def _remembered(logs: Sequence[Path], readings: Mapping[str, Reading]) -> str:
    """Remember mappings beside the recordings that have their headers; what there is to say of it."""
    try:
        for log in logs:
            header = header_of(log)
            if header and header in readings:
                remember(memory_of(log), header, readings[header])
    except OSError as reason:
        return f" How its columns are read could not be remembered ({reason.strerror}); mend the folder's permissions."
    return " How its columns are read is remembered for files with the same header." if readings else ""


def shown_slot(slot: str | None, slots: Sequence[str]) -> str:
    """The slot to show: the one chosen; the last where a new one was saved meanwhile; else the first."""
    if slot in slots:
        return str(slot)
    return (slots[-1] if (slot or "").startswith("n") else slots[0]) if slots else ""


def _new_slot(draft: Values, base: Values) -> str:
    taken = {key.split(".")[0] for key in (*base["values"], *(draft.get("values") or {}))}
    return next(slot for number in range(1, 10_000) if (slot := f"n{number}") not in taken)


def _new_name(draft: Values, base: Values, wanted: str) -> str:
    taken = {str(value_of(draft, base, f"{slot}.name")).strip() for slot in slots_of(draft, base)}
    names = (wanted, *(f"{wanted} {number}" for number in range(2, 10_000)))
    return next(name for name in names if name not in taken)


def course_added(draft: Values, base: Values, logs: Sequence[str] = ()) -> tuple[str, Given]:
    """The slot of one more course, of recordings if any are given, else of time at boost; and the change."""
    slot, slots = _new_slot(draft, base), slots_of(draft, base)
    stem = Path(logs[0]).name.split(".")[0].rstrip("-_0123456789").replace("-", " ").capitalize() if logs else ""
    values = {
        "name": _new_name(draft, base, stem or "New course"),
        "per": value_of(draft, base, f"{slots[0]}.per") if slots else "run",
        "source": "logs" if logs else "time_at_boost",
        "logs": "\n".join(logs),
        **dict.fromkeys(("spool", "ambient", "split", "split.column"), ""),
        **FIRST_SPLITS,
    }
    given = {"courses": " ".join([*slots, slot]), **{f"{slot}.{key}": value for key, value in values.items()}}
    return slot, {"values": given, "grids": {f"{slot}.{key}": rows for key, rows in STARTERS.items()}}


def course_dropped(draft: Values, base: Values, slot: str) -> tuple[str, Given]:
    """A neighbour's slot, and the change that takes a course away."""
    slots = slots_of(draft, base)
    left = [one for one in slots if one != slot]
    place = min(slots.index(slot), len(left) - 1) if slot in slots else 0
    return left[place], {"values": {"courses": " ".join(left)}}


def why_not_dropped(made: Drafted, slot: str) -> str:
    """Why a course cannot be taken away, or nothing."""
    users = [session["name"] for session in sessions_on(made, slot)]
    if users:
        shown = ", ".join(users[:3]) + (f" and {len(users) - 3} more" if len(users) > 3 else "")
        return f"{shown} {'drives' if len(users) == 1 else 'drive'} it; give them another course on the page Day first."
    return "An event needs a course." if len(made.names) < 2 else ""


def logs_attached(draft: Values, base: Values, slot: str, logs: Sequence[str]) -> Given:
    """The change that puts recordings into a course, which then comes from recordings."""
    present = logs_of(draft, base, slot) if value_of(draft, base, f"{slot}.source") == "logs" else []
    merged = "\n".join(dict.fromkeys([*present, *logs]))
    return {"values": {f"{slot}.logs": merged, f"{slot}.source": "logs"}}


def said_attached(given: Given, slot: str, draft: Values, base: Values, count: int) -> str:
    """Where so many recordings were put, in a sentence."""
    name = given["values"].get(f"{slot}.name") or value_of(draft, base, f"{slot}.name")
    files = "1 recording is" if count == 1 else f"{count} recordings are"
    return f"{files} in the course {name} now. Save to keep that in the event's file."


def log_detached(draft: Values, base: Values, slot: str, place: int) -> Given:
    """The change that takes the recording at a place out of a course; its file stays."""
    logs = logs_of(draft, base, slot)
    return {"values": {f"{slot}.logs": "\n".join(logs[:place] + logs[place + 1 :])}}


def settled(header: str, name: str, value: str) -> Given:
    """The change that answers a question on a header's columns: name is "kind" or "unit.boost"."""
    return {"values": {field_key(header, name): value}}


def unmapped(header: str) -> Given:
    """The change that leaves every column of a header to be found by itself."""
    return {"values": mapping_values(header, Reading())}


def from_event(path: Path, workspace: Path, file: str) -> str:
    """A path within the workspace as an event's file writes it."""
    return Path(os.path.relpath(workspace / file, path.parent)).as_posix()

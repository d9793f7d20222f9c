"""What can be chosen for the recordings of a course: columns, units, files of the workspace."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.course_draft import Drafted, from_event
from dashboard.presenters.course_form import logs_of, value_of
from dashboard.presenters.course_mapping import (
    ABSOLUTE,
    GAUGE,
    MAPPED,
    Mapped,
    field_key,
    outline,
)
from dashboard.presenters.course_use import CourseView
from dashboard.presenters.workspace import Workspace
from planner.driving.course import course_stamp
from planner.driving.outline import Outline

Option = dict[str, str]

MOST_FILES = 200
MOST_OFFERED = 60  # columns that a choice lists for every meaning; beyond it, for time and boost alone
KIND_OPTIONS = [
    {"value": "", "label": "as found"},
    {"value": GAUGE, "label": "the air outside (gauge)"},
    {"value": ABSOLUTE, "label": "vacuum (absolute)"},
]


@dataclass(frozen=True, slots=True)
class MappingField:
    """A meaning's fields: the keys of its column and unit with their values; options None where a name is typed."""

    label: str
    column_key: str
    column: str
    options: list[Option] | None
    unit_key: str
    unit: str
    units: list[Option]


@dataclass(frozen=True, slots=True)
class HeaderGroup:
    """The recordings of a course with one header, and the fields that map its columns."""

    header: str
    files: tuple[str, ...]
    fields: tuple[MappingField, ...]
    kind_key: str
    kind: str
    rate_key: str
    rate: str
    broken: bool

    @property
    def title(self) -> str:
        """The files in words."""
        more = len(self.files) - 1
        return f"Columns of {self.files[0]}" + (f" and {more} more with the same header" if more else "")


def header_groups(view: CourseView, values: Mapping[str, Any]) -> tuple[HeaderGroup, ...]:
    """The headers of a course's recordings, each with its mapping as it stands."""
    headers = dict.fromkeys(log.header for log in view.logs if log.header)
    return tuple(_group(view, header, values) for header in headers if header)


def _group(view: CourseView, header: str, values: Mapping[str, Any]) -> HeaderGroup:
    logs = [log for log in view.logs if log.header == header]
    found = outline(logs[0].path)
    assert found is not None
    fields = tuple(_field(header, one, found, values) for one in MAPPED)
    kind, rate = field_key(header, "kind"), field_key(header, "rate")
    return HeaderGroup(
        header,
        tuple(log.name for log in logs),
        fields,
        kind,
        str(values.get(kind, "")),
        rate,
        str(values.get(rate, "")),
        broken=any(log.fault for log in logs),
    )


def _field(header: str, one: Mapped, found: Outline, values: Mapping[str, Any]) -> MappingField:
    column, unit = field_key(header, f"column.{one.meaning}"), field_key(header, f"unit.{one.meaning}")
    offered = len(found.columns) <= MOST_OFFERED or one.meaning in ("time", "boost")
    return MappingField(
        one.label,
        column,
        str(values.get(column, "")),
        column_options(found, one, str(values.get(column, ""))) if offered else None,
        unit,
        str(values.get(unit, "")),
        unit_options(one, str(values.get(unit, ""))),
    )


def column_options(found: Outline, one: Mapped, chosen: str) -> list[Option]:
    """The columns that can be given a meaning, signed ones both ways round."""
    taken = dict(found.taken).get(one.meaning)
    options = [{"value": "", "label": f"as found: {taken}" if taken else "as found: none"}]
    options += [{"value": "none", "label": "none"}] if taken or chosen == "none" else []
    names = list(dict.fromkeys(column.name for column in found.columns))
    options += [{"value": name, "label": name} for name in names]
    if one.signed:
        options += [{"value": f"-{name}", "label": f"{name}, sign reversed"} for name in names]
    return _with_chosen(options, chosen)


def unit_options(one: Mapped, chosen: str) -> list[Option]:
    """The units that can be stated for a meaning."""
    units = [{"value": unit, "label": unit} for unit in one.units]
    return _with_chosen([{"value": "", "label": "as found"}, *units], chosen)


def _with_chosen(options: list[Option], chosen: str) -> list[Option]:
    """The options with the chosen one, which a file may name otherwise than the page offers it."""
    known = any(option["value"] == chosen for option in options)
    return options if known else [*options, {"value": chosen, "label": chosen}]


def split_columns(view: CourseView, chosen: str) -> list[Option]:
    """The columns at whose change a run may end, those named as laps first."""
    first = next((outline(log.path) for log in view.logs), None)
    columns = first.columns if first else ()
    laps = [column.name for column in columns if "lap" in column.meanings]
    names = dict.fromkeys([*laps, *(column.name for column in columns)])
    return _with_chosen([{"value": "", "label": "choose"}, *({"value": n, "label": n} for n in names)], chosen)


def free_logs(
    workspace: Workspace, path: Path, draft: Mapping[str, Any], base: Mapping[str, Any], slot: str
) -> list[Option]:
    """Recordings of the workspace that a course has not yet, as the event's file names them, the newest first."""
    taken = set(logs_of(draft, base, slot)) if value_of(draft, base, f"{slot}.source") == "logs" else set()
    newest = sorted(workspace.logs(), key=lambda log: (-_changed(workspace.folder / log), log))
    named = [(from_event(path, workspace.folder, log), log) for log in newest[:MOST_FILES]]
    return [{"value": name, "label": log} for name, log in named if name not in taken]


def _changed(path: Path) -> float:
    """When a file last changed [s]; 0 for one that is gone."""
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def shape_of(view: CourseView, made: Drafted, draft: Mapping[str, Any], base: Mapping[str, Any]) -> str:
    """What decides which fields a course has; as long as it stays, the fields stay as they are."""
    slot = view.slot
    keys = (f"{slot}.per", f"{slot}.source", f"{slot}.split", f"{slot}.logs", "courses")
    parts = [base["fingerprint"], slot, *(str(value_of(draft, base, key)) for key in keys)]
    parts += [str(log.header) for log in view.logs]
    return "|".join([*parts, str(len(view.sessions)), str(len(made.names))])


def picture_key(view: CourseView, settings: Mapping[str, Any]) -> str:
    """What decides how a course is drawn; as long as it stays, the pictures stay as they are."""
    readings = [(log.reading, str(log.fault)) for log in view.logs]
    whole = (view.course, view.car, readings, view.labels, sorted(settings.items()), _stamp(view))
    return hashlib.sha256(repr(whole).encode()).hexdigest()[:24]


def _stamp(view: CourseView) -> Any:
    try:
        return course_stamp(view.course) if view.course else ()
    except OSError:
        return "gone"


def piece_columns() -> list[dict[str, Any]]:
    """The sketch's columns."""
    names = (("time", "Time"), ("boost", "Boost"), ("longitudinal", "Longitudinal"), ("lateral", "Lateral"))
    return [{"key": key, "label": label, "size": 8} for key, label in names]


def time_columns() -> list[dict[str, Any]]:
    """The columns of time at boost."""
    return [{"key": "boost", "label": "Boost", "size": 9}, {"key": "time", "label": "Time", "size": 9}]


def sequence_of(options: Sequence[tuple[str, str]]) -> list[Option]:
    """Pairs as options."""
    return [{"value": value, "label": label} for value, label in options]

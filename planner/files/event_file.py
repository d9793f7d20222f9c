"""event.toml into an Event, and with its car into a day: every fault of both files is reported at once."""

from __future__ import annotations

import datetime as dt
import os
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from planner.car import Car
from planner.errors import BadInput, Fault
from planner.event import Course, Event, Session
from planner.files import event_checks as checks
from planner.files import event_tables as tables
from planner.files.car_file import read_car
from planner.files.course_tables import CourseTable, path_text
from planner.files.fields import name_text
from planner.files.session_times import check_order, session_starts
from planner.files.tables import Findings, Table, homes
from planner.files.timezones import zone
from planner.files.toml_text import parsed, read_text

_KEYS = ("name", "date", "timezone", "car", "reserve", "refill", "stock", "course", "session")
_TABLES: dict[str, type[Table]] = {
    "[reserve]": tables.ReserveTable,
    "[refill]": tables.RefillTable,
    "[stock]": tables.StockTable,
    "[[course]]": CourseTable,
    "[[session]]": tables.SessionTable,
}
_HOMES = {key: home for key, home in homes(_TABLES).items() if key not in _KEYS}


@dataclass(frozen=True, slots=True)
class _Parts:
    """An event file's tables, each with its sound keys; None stands for what could not be read at all."""

    name: Any
    date: Any
    zone: Any
    car: Any
    reserve: Any
    refill: Any
    stock: Any
    courses: list[CourseTable | None]
    sessions: list[tables.SessionTable | None]
    starts: list[dt.datetime | None]


def read_event(path: Path | str) -> Event:
    """The event of a file such as event.toml. Raises BadInput with every fault of the file."""
    return parse_event(read_text(Path(path), str(path)), path)


def parse_event(text: str, path: Path | str) -> Event:
    """The event that a TOML text describes; files that it names are relative to `path`'s folder. Raises BadInput."""
    parts, findings = _examined(text, Path(path), str(path))
    return _event(parts, Path(path), findings)


def parse_courses(text: str, path: Path | str) -> tuple[tuple[Course | None, ...], tuple[Fault, ...]]:
    """The courses of an event that may hold faults, None for each that cannot be read, and the courses' faults.

    Raises BadInput for a text that is not TOML.
    """
    parts, findings = _examined(text, Path(path), str(path))
    faults = tuple(fault for fault in findings.faults if fault.key.split("[")[0].split(".")[0] == "course")
    broken = {fault.key.partition("]")[0].removeprefix("course[") for fault in faults}
    courses = (
        None if table is None or str(number) in broken else table.record(Path(path).parent)
        for number, table in enumerate(parts.courses, 1)
    )
    return tuple(courses), faults


def read_day(event_path: Path | str) -> tuple[Event, Car]:
    """An event and its car. Raises BadInput with every fault of both files."""
    return parse_day(read_text(Path(event_path), str(event_path)), event_path)


def parse_day(text: str, event_path: Path | str) -> tuple[Event, Car]:
    """The event that a TOML text describes, and its car as known before that day. Raises BadInput."""
    path = Path(event_path)
    parts, findings = _examined(text, path, str(event_path))
    car, faults = _car(parts.car, path)
    if car:
        _check_against_car(parts, car, findings)
    if findings.faults or car is None:
        raise BadInput([*findings.faults, *faults])
    return _event(parts, path, findings), replace(car, kept=tuple(row for row in car.kept if row.date < parts.date))


def _car(name: str | None, event_path: Path) -> tuple[Car | None, tuple[Fault, ...]]:
    if name is None:
        return None, ()
    try:
        return read_car(os.path.normpath(event_path.parent / name)), ()
    except BadInput as reason:
        return None, reason.faults


def _examined(text: str, path: Path, shown: str) -> tuple[_Parts, Findings]:
    """Everything that can be read from an event file, with its faults."""
    document = parsed(text, shown, "event")
    findings = Findings(shown, document, _HOMES)
    parts = _parts(findings.top_level(document, _KEYS), path.parent, findings)
    checks.check_course_names(parts.courses, findings)
    for number, course in enumerate(parts.courses, 1):
        if course is not None:
            checks.check_course(course, number, path.parent, findings)
    checks.check_references(parts.sessions, parts.courses, findings)
    checks.check_gaps(parts.sessions, parts.refill, findings)
    if parts.date:
        check_order(parts.sessions, parts.starts, findings)
    return parts, findings


def _parts(found: dict[str, Any], folder: Path, findings: Findings) -> _Parts:
    date, place = findings.value(tables.day, found, "date"), findings.value(zone, found, "timezone")
    sessions = findings.read_each(tables.SessionTable, found.get("session"), "session")
    return _Parts(
        name=findings.value(name_text, found, "name"),
        date=date,
        zone=place,
        car=_car_name(found, folder, findings),
        reserve=findings.read_or_default(tables.ReserveTable, found.get("reserve"), "reserve"),
        refill=findings.read_or_default(tables.RefillTable, found.get("refill"), "refill"),
        stock=findings.read_or_default(tables.StockTable, found.get("stock"), "stock"),
        courses=findings.read_each(CourseTable, found.get("course"), "course"),
        sessions=sessions,
        starts=session_starts(sessions, date, place or ZoneInfo("UTC"), findings) if date else [None] * len(sessions),
    )


def _car_name(found: dict[str, Any], folder: Path, findings: Findings) -> str | None:
    """The path of the car's file as the event names it, or None where there is no such file."""
    name = findings.value(path_text, found, "car")
    remedy = checks.missing_file(folder, name) if name else ""
    if remedy:
        findings.add("car", name, remedy)
    return None if remedy else name


def _check_against_car(parts: _Parts, car: Car, findings: Findings) -> None:
    """Note what the event says of the tank that this car's tank cannot be."""
    for table, key, value in (("stock", "in_tank", parts.stock), ("reserve", "prime", parts.reserve)):
        volume = value.__dict__.get(key, 0.0) if value else 0.0
        if volume > car.tank.capacity * (1 + 1e-9):
            findings.blame(
                f"{table}.{key}", f"the tank of {car.name} holds {car.tank.capacity * 1e3:.4g} L; write at most that"
            )


def _event(parts: _Parts, path: Path, findings: Findings) -> Event:
    """The record of an event without faults. Raises BadInput where there are any."""
    findings.raise_any()
    courses = [course for course in parts.courses if course]
    spools = {f"course[{n}].spool" for n, course in enumerate(courses, 1) if course.pieces and course.spool is None}
    return Event(
        name=parts.name,
        date=parts.date,
        timezone=parts.zone.key,
        car_path=path.parent / parts.car,
        sessions=_sessions(parts),
        courses=tuple(course.record(path.parent) for course in courses),
        reserve=parts.reserve.record(),
        refill=parts.refill.record(),
        stock=parts.stock.record(),
        path=path,
        assumed=frozenset(findings.assumed | spools),
    )


def _sessions(parts: _Parts) -> tuple[Session, ...]:
    return tuple(
        Session(table.name, start, table.length, table.course, table.runs, table.driver, table.gap, table.refill)
        for table, start in zip(parts.sessions, parts.starts, strict=True)
        if table and start
    )

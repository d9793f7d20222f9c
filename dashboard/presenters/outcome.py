"""A day's outcome: its plan, or why there is none, or what is wrong with its files. Kept until something changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain
from pathlib import Path
from threading import Lock
from time import time_ns
from typing import Any

from dashboard.presenters.what_if import Trial, tried
from planner.car import Car
from planner.day import plan_day
from planner.day.json import no_plan_json, plan_json
from planner.driving.course import Stamp, course_stamp
from planner.errors import BadInput, Fault, NoPlan, OutsideModel
from planner.event import Event
from planner.files.event_file import parse_day
from planner.files.toml_text import read_text

_PLANNING = Lock()
_SETTLED = 2_000_000_000
"""Age [ns] from which a file counts as written to its end."""
FilesStamp = tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """One of `plan` (as `plan --json`), `no_plan` (session, message, mends) and `faults`."""

    event: Event | None = None
    car: Car | None = None
    plan: Mapping[str, Any] | None = None
    no_plan: Mapping[str, Any] | None = None
    faults: tuple[Fault, ...] = field(default=())


def _stamps(event: Event) -> tuple[Stamp, ...]:
    """When each course's recordings, and how they are read, last changed."""
    return tuple(course_stamp(course) for course in event.courses)


@lru_cache(maxsize=96)
def _planned(event: Event, car: Car, stamps: tuple[Stamp, ...]) -> dict[str, Any]:
    """The plan, or why there is none. Of many who ask for one at once, one works it out and the others wait for it."""
    with _PLANNING:
        return _worked_out(event, car, stamps)


@lru_cache(maxsize=8)
def _worked_out(event: Event, car: Car, stamps: tuple[Stamp, ...]) -> dict[str, Any]:
    try:
        return {"plan": plan_json(plan_day(event, car))}
    except NoPlan as reason:
        return {"no_plan": no_plan_json(event, car, reason)}


def outcome_of(event: Event, car: Car) -> Outcome:
    """The plan of a day, or why there is none. What cannot be read or answered becomes a fault."""
    try:
        return Outcome(event, car, **_planned(event, car, _stamps(event)))
    except BadInput as reason:
        return Outcome(event, car, faults=reason.faults)
    except OutsideModel as reason:
        return Outcome(event, car, faults=(Fault("", "", "", str(reason)),))
    except OSError as reason:
        remedy = f"cannot be read ({reason.strerror}); put the file back or take it out of the course"
        return Outcome(event, car, faults=(Fault(str(reason.filename or "a recording"), "", "", remedy),))


def _files_stamp(event: Event) -> FilesStamp:
    """`_stamps` of the event's courses behind that of its car; empty where a file cannot be found."""
    try:
        car = event.car_path.stat()
        return ((car.st_mtime_ns, car.st_size), *chain.from_iterable(_stamps(event)))
    except OSError:
        return ()


@lru_cache(maxsize=16)
def _kept(text: str, path: Path) -> list[tuple[FilesStamp, Event, Car]]:
    """What was read of a text last, at most one; `_read_day` fills it."""
    return []


def _read_day(text: str, path: Path) -> tuple[Event, Car]:
    """`parse_day`, kept until the text or a file that it names changes."""
    for stamp, event, car in _kept(text, path):
        if stamp and stamp == _files_stamp(event):
            return event, car
    event, car = parse_day(text, path)
    stamp = _files_stamp(event)
    # A file that changes just now may have been read before it did.
    if stamp and time_ns() - max(changed for changed, *_ in stamp) > _SETTLED:
        _kept(text, path)[:] = [(stamp, event, car)]
    return event, car


def outcome_of_text(text: str, path: Path, trial: Trial | None = None) -> Outcome:
    """The outcome of an event file's text, with what is tried changed."""
    try:
        event, car = _read_day(text, path)
        return outcome_of(*tried(event, car, trial or Trial()))
    except BadInput as reason:
        return Outcome(faults=reason.faults)


def outcome_of_file(path: Path) -> Outcome:
    """The outcome of an event file as it stands."""
    try:
        return outcome_of_text(read_text(path, path.name), path)
    except BadInput as reason:
        return Outcome(faults=reason.faults)

"""What each course takes: its recordings as read, their runs, and the use per run, lap or minute."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from dashboard.presenters.course_draft import Drafted, sessions_on
from dashboard.presenters.course_mapping import header_of
from planner.car import Car
from planner.driving.course import Stamp, course_stamp, course_traces, reading_of_log, recording_and_runs
from planner.driving.recording import Recording
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Course, Per, Reading
from planner.use.consumption import CourseUse, course_use
from planner.use.flow_curve import flow_curve


@dataclass(frozen=True, slots=True)
class LogView:
    """A recording of a course: `log` as the event names it, how it is read, and the recording or its fault."""

    log: str
    path: Path
    header: str | None
    reading: Reading
    recording: Recording | None = None
    runs: tuple[Trace, ...] = ()
    fault: Fault | None = None

    @property
    def name(self) -> str:
        """The file's name."""
        return self.path.name


@dataclass(frozen=True, slots=True)
class CourseView:
    """A course as the page shows it: its traces (of recordings only if all can be read), and its use or why not."""

    slot: str
    name: str
    per: Per
    course: Course | None
    car: Car | None
    logs: tuple[LogView, ...] = ()
    traces: tuple[Trace, ...] = ()
    labels: tuple[str, ...] = ()
    use: CourseUse | None = None
    sentences: tuple[str, ...] = ()
    sessions: tuple[Mapping[str, str], ...] = ()


def course_view(made: Drafted, slot: str) -> CourseView:
    """A course of a draft with its recordings and its use."""
    course, car, sessions = made.courses.get(slot), made.car, tuple(sessions_on(made, slot))
    said = tuple(f"{_bare(fault)}" for fault in made.faults.get(slot, ()))
    if course is None:
        return CourseView(slot, made.names[slot], made.pers[slot], None, car, sentences=said, sessions=sessions)
    logs = tuple(log_view(course, path, made) for path in course.logs)
    whole = all(one.recording for one in logs)
    traces = tuple(run for one in logs for run in one.runs) if course.logs else course_traces(course)
    view = CourseView(
        slot, course.name, course.per, course, car, logs, traces, _labels(logs, course), None, said, sessions
    )
    return _with_use(view) if whole and car is not None else view


def _bare(fault: Fault) -> str:
    """A fault as a sentence, without the file and the course's number before it."""
    key = fault.key.partition("]")[2].removeprefix(".")
    if not key:
        return "It says nothing of the driving yet: add recordings below, or change what it comes from to a sketch."
    return replace(fault, file="", key=key).line()


def log_view(course: Course, path: Path, made: Drafted) -> LogView:
    """A recording as the draft reads it."""
    log, header = Path(_relative(path, made.folder)).as_posix(), header_of(path)
    reading = course.reading
    try:
        reading = _reading(course, path, header, made)
        recording, runs = recording_and_runs(path, reading)
    except BadInput as reason:
        return LogView(log, path, header, reading, fault=reason.faults[0])
    except OSError as reason:
        gone = Fault(path.name, "", "", f"cannot be read ({reason.strerror}); put the file back or detach it")
        return LogView(log, path, header, reading, fault=gone)
    return LogView(log, path, header, reading, recording, runs)


def _relative(path: Path, folder: Path) -> str:
    """A recording's path as the event names it: courses hold it joined to the event's folder."""
    return str(path)[len(str(folder)) + 1 :] if str(path).startswith(f"{folder}") else str(path)


def _reading(course: Course, path: Path, header: str | None, made: Drafted) -> Reading:
    """How a recording is read: by the draft's mapping, else as the plan reads it."""
    stated = made.readings.get(header or "")
    if stated is None:
        return reading_of_log(course, path)
    return replace(
        course.reading, columns=stated.columns, units=stated.units, absolute=stated.absolute, rate=stated.rate
    )


def _labels(logs: Sequence[LogView], course: Course) -> tuple[str, ...]:
    """The name of each trace: the file's, and the run's within it."""
    if not logs:
        return (course.name,)
    return tuple(
        f"{one.path.name.split('.')[0]} {run.name.removeprefix(one.recording.trace.name).strip()}".strip()
        for one in logs
        if one.recording
        for run in one.runs
    )


def _with_use(view: CourseView) -> CourseView:
    assert view.course is not None
    assert view.car is not None
    readings = tuple(one.reading for one in view.logs)
    try:
        return replace(view, use=_use(view.car, view.course, readings, course_stamp(view.course)))
    except OutsideModel as reason:
        return replace(view, sentences=(*view.sentences, f"{reason}."))


@lru_cache(maxsize=128)
def _use(car: Car, course: Course, readings: tuple[Reading, ...], stamp: Stamp) -> CourseUse:
    pairs = zip(course.logs, readings, strict=True)
    runs = tuple(run for path, reading in pairs for run in recording_and_runs(path, reading)[1])
    return course_use(flow_curve(car), runs if course.logs else course_traces(course), course.per, car.spread.run)

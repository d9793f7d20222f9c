"""A course's traces: from its recordings, from sketched pieces, or from time at boost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from planner.driving.recording import Recording, read_recording
from planner.driving.remembered import in_words, memory_of, memory_stamp, with_remembered
from planner.driving.runs import runs_of
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault
from planner.event import Course, Piece, Reading

SPOOL_STEPS = 24
SPOOL_SPAN = 8.0


Runs = tuple[Recording, tuple[Trace, ...]]
Stamp = tuple[tuple[int, int, int], ...]


@lru_cache(maxsize=32)
def _read(path: Path, stamp: tuple[int, int], reading: Reading) -> Runs:
    """A recording and its runs; `stamp` (time of change, size) renews the cache when the file changes."""
    recording = read_recording(path, reading)
    if not recording.boost_known:
        remedy = "holds no pressure, so no use can be worked out; name the column with columns = { boost = ... }"
        raise BadInput([Fault(str(path), "boost", "", remedy)])
    return recording, runs_of(recording, reading)


def recording_and_runs(path: Path, reading: Reading) -> Runs:
    """A recording read so, and its runs; kept until the file changes. Raises BadInput, OSError for no such file."""
    status = path.stat()
    return _read(path, (status.st_mtime_ns, status.st_size), reading)


def reading_of_log(course: Course, log: Path) -> Reading:
    """How a course's recording is read: as the course says, else as remembered for its header.

    A split is the course's own business, since `per` must fit it. Raises BadInput where the file is no table.
    """
    reading = with_remembered(memory_of(log), log, course.reading)
    return replace(reading, split_column=course.reading.split_column)


def course_stamp(course: Course) -> Stamp:
    """When the course's recordings, and what is remembered of their columns, last changed, and their sizes."""
    stats = ((path, path.stat()) for path in course.logs)
    return tuple((status.st_mtime_ns, status.st_size, memory_stamp(path)) for path, status in stats)


def _recordings(course: Course) -> list[Runs]:
    return [recording_and_runs(path, reading_of_log(course, path)) for path in course.logs]


def _recorded(course: Course) -> tuple[Trace, ...]:
    return tuple(trace for _, runs in _recordings(course) for trace in runs)


def _spooled(start: float, piece: Piece, boost_before: float, spool: float) -> tuple[np.ndarray, np.ndarray]:
    """Times [s] and boosts [Pa gauge] within a piece; boost rises as a first-order lag and falls at once."""
    if spool <= 0 or piece.boost <= boost_before:
        return np.array([start, start + piece.time]), np.array([piece.boost, piece.boost])
    until = min(piece.time, SPOOL_SPAN * spool)
    steps = np.linspace(0.0, until, int(np.ceil(SPOOL_STEPS * until / spool)) + 1)
    lag = (boost_before - piece.boost) * np.exp(-steps / spool)
    if until < piece.time:
        steps, lag = np.append(steps, piece.time), np.append(lag, lag[-1])
    return start + steps, piece.boost + lag


def trace_of_pieces(pieces: Sequence[Piece], spool: float, name: str = "") -> Trace:
    """One trace of the pieces in order; a piece that names one acceleration has 0 for the other.

    spool [s] is the time constant of rising boost. Accelerations are None where no piece names any.
    """
    times, boosts, lateral, longitudinal = [], [], [], []
    start, boost = 0.0, 0.0
    for piece in pieces:
        time, within = _spooled(start, piece, boost, spool)
        times.append(time)
        boosts.append(within)
        lateral.append(np.full(time.size, piece.lateral or 0.0))
        longitudinal.append(np.full(time.size, piece.longitudinal or 0.0))
        start, boost = float(time[-1]), float(within[-1])
    known = any(p.lateral is not None or p.longitudinal is not None for p in pieces)
    time = np.concatenate(times)
    return Trace(
        time=time,
        boost=np.concatenate(boosts),
        lateral=np.concatenate(lateral) if known else None,
        longitudinal=np.concatenate(longitudinal) if known else None,
        covered=np.ones(time.size - 1, dtype=bool),
        name=name,
    )


def _pieces_of_times(course: Course) -> tuple[Piece, ...]:
    """Time at boost as pieces; of a minute, what is not listed is driven without boost."""
    pieces = tuple(Piece(time, boost) for boost, time in course.time_at_boost)
    rest = 60.0 - sum(piece.time for piece in pieces)
    return (*pieces, Piece(rest, 0.0)) if course.per == "minute" and rest > 0 else pieces


@lru_cache(maxsize=64)
def _sketched(course: Course) -> tuple[Trace, ...]:
    if course.pieces:
        return (trace_of_pieces(course.pieces, course.spool, course.name),)
    return (trace_of_pieces(_pieces_of_times(course), 0.0, course.name),)


def _boosted(course: Course, traces: tuple[Trace, ...]) -> tuple[Trace, ...]:
    """The traces with their boost above outside air multiplied; vacuum stays."""
    boosts = (np.where(trace.boost > 0, trace.boost * course.boost_factor, trace.boost) for trace in traces)
    return tuple(replace(trace, boost=boost) for trace, boost in zip(traces, boosts, strict=True))


def course_traces(course: Course) -> tuple[Trace, ...]:
    """The course's traces: each is one run or lap, or a stretch of driving whose minutes count.

    Raises BadInput for a recording that cannot be read.
    """
    traces = _recorded(course) if course.logs else _sketched(course)
    return traces if course.boost_factor == 1.0 else _boosted(course, traces)


def course_notices(course: Course) -> tuple[str, ...]:
    """What the reading of a course's recordings must tell: remembered columns, gaps, guesses, spikes taken out."""
    said: dict[str, None] = {}
    for log in course.logs:
        reading = reading_of_log(course, log)
        if reading != course.reading:
            said[f"{log.name} was read as remembered for its header: {in_words(reading)}."] = None
        said |= dict.fromkeys(recording_and_runs(log, reading)[0].notices)
    return tuple(said)

"""A long recording cut into runs or laps, where the user says how."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from planner.driving.recording import Recording
from planner.driving.source import refuse
from planner.driving.trace import Trace
from planner.event import Reading

Array = np.ndarray
Window = tuple[float, float, str]

STANDING = 1.0  # [m/s]; GPS and wheel sensors do not fall to zero at once
PARTIAL = 0.7  # share of the median lap, below which the first and the last lap are no whole laps
_DEFAULT = Reading()


def runs_of(recording: Recording, reading: Reading = _DEFAULT) -> tuple[Trace, ...]:
    """The runs of a recording; the whole of it where no split is asked.

    By the value of a column, each stretch of one value is a run, without partial laps at the ends; at stops, the
    driving between standstills that last longer than split_stops [s]; or the split_windows [s] from the first row.
    Raises BadInput where the recording cannot be split so, or nothing of it is left.
    """
    if reading.split_windows:
        windows = _stated(recording, reading)
    elif reading.split_column is not None:
        windows = _laps(recording, reading.split_column)
    elif reading.split_stops is not None:
        windows = _between_stops(recording, reading.split_stops)
    else:
        return (recording.trace,)
    return tuple(part_of(recording.trace, window) for window in windows)


def _stated(recording: Recording, reading: Reading) -> list[Window]:
    first, last = float(recording.trace.time[0]), float(recording.trace.time[-1])
    windows = []
    for start, end in reading.split_windows:
        if not first <= start < end <= last + 1e-6:
            value, remedy = (
                f"{start:g} to {end:g} s",
                f"the recording runs from {first:.1f} to {last:.1f} s; choose within",
            )
            refuse(recording.trace.name, remedy, key="split windows", value=value)
        windows.append((start, min(end, last), f"{start:g} to {end:g} s"))
    return windows


def _laps(recording: Recording, column: str) -> list[Window]:
    """Stretches of one value, without those where it is empty and without partial laps at the ends."""
    time, values = recording.trace.time, recording.split
    if values is None:
        refuse(
            recording.trace.name, "the recording was read without it; read it again", key="split column", value=column
        )
    edges = np.flatnonzero(np.diff(np.nan_to_num(values, nan=-np.inf)) != 0) + 1
    bounds = [0, *edges.tolist(), time.size - 1]
    spans = [(a, b) for a, b in pairwise(bounds) if b > a and not np.isnan(values[a])]
    windows = [(float(time[a]), float(time[b]), _named(recording, values[a])) for a, b in spans]
    usual = float(np.median([end - start for start, end, _ in windows])) if windows else 0.0
    ends = (0, len(windows) - 1) if len(windows) >= 3 else ()
    kept = [w for i, w in enumerate(windows) if i not in ends or w[1] - w[0] >= PARTIAL * usual]
    if not kept:
        refuse(recording.trace.name, "it holds no value; choose another column", key="split column", value=column)
    return kept


def _named(recording: Recording, value: float) -> str:
    return recording.split_names[int(value)] if recording.split_names else f"{value:g}"


def _between_stops(recording: Recording, longest: float) -> list[Window]:
    time, speed = recording.trace.time, recording.speed
    if speed is None:
        refuse(recording.trace.name, "stops need a speed; say --column speed=NAME", key="split stops")
    standing = speed < STANDING
    edges = np.flatnonzero(np.diff(np.concatenate(([False], standing, [False])).astype(np.int8)))
    last = time.size - 1
    stops = [(float(time[a]), float(time[min(b, last)])) for a, b in zip(edges[0::2], edges[1::2], strict=True)]
    long = [stop for stop in stops if stop[1] - stop[0] >= longest]
    bounds = [float(time[0]), *(moment for stop in long for moment in stop), float(time[-1])]
    windows = [(a, b, f"from {a:.0f} s") for a, b in zip(bounds[0::2], bounds[1::2], strict=True) if b > a]
    if not windows:
        value = f"{longest:g} s"
        refuse(recording.trace.name, "the car never drives; choose another column", key="split stops", value=value)
    return windows


def part_of(trace: Trace, window: Window) -> Trace:
    """The part of a trace between two times [s], its ends put in on the straight line between samples."""
    start, end, name = window
    inner = trace.time[(trace.time > start) & (trace.time < end)]
    time = np.concatenate(([start], inner, [end]))
    lateral, longitudinal = (
        None if values is None else np.interp(time, trace.time, values)
        for values in (trace.lateral, trace.longitudinal)
    )
    place = np.clip(np.searchsorted(trace.time, time[:-1], side="right") - 1, 0, trace.covered.size - 1)
    boost = np.interp(time, trace.time, trace.boost)
    return Trace(time, boost, lateral, longitudinal, trace.covered[place], f"{trace.name} {name}")

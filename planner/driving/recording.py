"""Any table that somebody's logger wrote, read into a Trace, with how it was read and what was wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np

from planner.driving.clock import clock_of
from planner.driving.columns import Column, find_columns, listed
from planner.driving.cornering import low_passed
from planner.driving.held import Refreshes, refreshes_of
from planner.driving.source import open_source, refuse
from planner.driving.table import Cells, open_table
from planner.driving.trace import Trace
from planner.event import Reading

Array = np.ndarray
GAP_INTERVALS = 5.0
STANDARD_ATMOSPHERE = 101325.0


@dataclass(frozen=True, slots=True)
class ColumnReport:
    """A column that was used: name, meaning, unit as read, refresh interval [s] or None, and how it was decided."""

    name: str
    meaning: str
    unit: str
    refresh_interval_s: float | None
    how: str


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without a recording: start [s] from the first row, duration [s], and why."""

    start_s: float
    duration_s: float
    reason: str


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """A recording as it was read.

    trace: boost [Pa gauge], zero throughout where boost_known is False, and accelerations [m/s2].
    absolute: whether the file's pressure is absolute; ambient [Pa] was then taken off it; ambient_how says from what.
    """

    trace: Trace
    boost_known: bool
    columns: tuple[ColumnReport, ...]
    gaps: tuple[Gap, ...]
    notices: tuple[str, ...]
    spikes_removed: int
    absolute: bool
    ambient: float
    ambient_how: str
    lap: Array | None = None


def read_recording(source: Path | BinaryIO, reading: Reading = Reading()) -> Recording:  # noqa: B008
    """Read a recording. Raises BadInput, whose faults say what would settle it."""
    opened = open_source(source)
    table = open_table(opened)
    columns = find_columns(table, opened.name, reading)
    for needed in ("time", "boost"):
        if needed not in columns:
            refuse(
                opened.name,
                f"no column is known as {needed}; say --column {needed}=NAME, one of: {listed(table.names)}",
            )
    used = [columns[m] for m in ("time", "boost", "lateral", "longitudinal") if m in columns]
    cells = table.read([column.index for column in used])
    clock = clock_of(columns["time"], cells[columns["time"].index], opened.name)
    return _assembled(columns, cells, clock.time, opened.name)


def _assembled(columns: dict[str, Column], cells: dict[int, Cells], time: Array, name: str) -> Recording:
    boost = _si(columns["boost"], cells)
    refreshes = refreshes_of(time, boost)
    accelerations = {m: _si(columns[m], cells) for m in ("lateral", "longitudinal") if m in columns}
    base = time if accelerations else time[refreshes.rows]
    on_base = np.interp(base, time[refreshes.rows], boost[refreshes.rows])
    step = float(np.median(np.diff(time)))
    smooth = {m: low_passed(values, step) for m, values in accelerations.items()}
    covered = np.diff(base) <= max(GAP_INTERVALS * refreshes.interval, 1.0)
    trace = Trace(base, on_base, smooth.get("lateral"), smooth.get("longitudinal"), covered, name)
    reports = tuple(_report(columns[m], refreshes) for m in columns if columns[m].index in cells)
    return Recording(trace, True, reports, (), (), 0, False, STANDARD_ATMOSPHERE, "the file's pressure is gauge")


def _si(column: Column, cells: dict[int, Cells]) -> Array:
    values = cells[column.index].numbers
    return column.unit.si(values) if column.unit else values


def _report(column: Column, refreshes: Refreshes) -> ColumnReport:
    unit = column.unit.text if column.unit else ""
    interval = refreshes.interval if column.meaning == "boost" else None
    return ColumnReport(column.name, column.meaning, unit, interval, column.how)

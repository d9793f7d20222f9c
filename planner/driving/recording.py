"""Any table that somebody's logger wrote, read into a Trace, with how it was read and what was wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

import numpy as np
import pyarrow as pa

from planner.driving.ambient import STANDARD_ATMOSPHERE
from planner.driving.boost import Boost, boost_of
from planner.driving.clock import Clock, clock_from_rate, clock_of
from planner.driving.columnar import open_table
from planner.driving.columns import Column, column_named, find_columns, listed
from planner.driving.cornering import Cornering, cornering_of
from planner.driving.gaps import Gap, covered, rows_before_gaps
from planner.driving.held import Refreshes, usual_interval
from planner.driving.pressure_kind import words_of
from planner.driving.signals import ColumnReport, Signals
from planner.driving.source import open_source, refuse
from planner.driving.table import Cells, Table
from planner.driving.trace import Trace
from planner.driving.vocabulary import BY_NAME
from planner.event import Reading

Array = np.ndarray

_DEFAULT = Reading()
_SPLIT = "split"


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """A recording as it was read.

    trace: boost [Pa gauge], zero throughout where boost_known is False, and accelerations [m/s2]; time [s] counts from
    the file's first row. absolute: whether the file's pressure is absolute; ambient [Pa] was then taken off it, and
    ambient_how says from what. split (n,): numbers, or places in split_names, of the column that splits it, at the
    trace's times; speed (n,) [m/s or as recorded] there; each None where not read.
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
    split: Array | None = None
    split_names: tuple[str, ...] = ()
    speed: Array | None = None


def read_recording(source: Path | BinaryIO, reading: Reading = _DEFAULT) -> Recording:
    """Read a recording: text of any dialect, .gz, .zip with one file, Parquet or Excel.

    Raises BadInput, whose faults say what would settle it.
    """
    opened = open_source(source)
    table = open_table(opened)
    found = find_columns(table, opened.name, reading)
    signals = _signals(table, found, opened.name, reading)
    boost = boost_of(signals, reading) if signals.has("boost") else None
    gaps, before_gaps = _gaps(signals, boost)
    cornering = cornering_of(signals, before_gaps)
    if boost is None and cornering.lateral is None and cornering.longitudinal is None:
        remedy = "no column is known as boost, and none tells of cornering; say --column boost=NAME or its number, "
        refuse(opened.name, f"{remedy}one of: {listed(table.names)}")
    recording = _recording(signals, boost, cornering, gaps, found.get("boost", ()))
    recording = recording if reading.split_stops is None else _with_speed(recording, signals)
    return recording if reading.split_column is None else _with_split(recording, signals)


def _signals(table: Table, found: Mapping[str, tuple[Column, ...]], file: str, reading: Reading) -> Signals:
    """The columns that are needed, read and put on the clock. Raises BadInput without a clock."""
    wanted = _wanted(found, reading)
    columns = {meaning: found[meaning][0] for meaning in wanted}
    split = _split_column(table, file, reading, found.get("lap", ()))
    if split is not None:
        columns[_SPLIT] = split
    if "time" not in columns and reading.rate is None:
        remedy = "no column is known as time; say --column time=NAME, or the rows a second with --rate; "
        refuse(file, f"{remedy}the columns are: {listed(table.names)}")
    read = _read(table, columns)
    rows = max((_rows(cells) for cells in read.values()), default=0)
    if reading.rate is not None and "time" not in dict(reading.columns):
        return Signals(file, _counted(rows, reading.rate, file), columns, read)
    clock = clock_of(columns["time"], read["time"], file)
    return _lively_boost(Signals(file, clock, columns, read), table, found)


def _wanted(found: Mapping[str, tuple[Column, ...]], reading: Reading) -> list[str]:
    """The meanings whose columns are worth reading: each costs time."""
    wanted = [meaning for meaning in ("time", "boost", "lateral", "longitudinal") if meaning in found]
    told = False
    if "boost" in found:
        wanted += [meaning for meaning in ("rpm", "barometer") if meaning in found]
        column = found["boost"][0]
        told = bool(words_of(column.words, column.unit.absolute if column.unit else None))
    turning = [meaning for meaning in ("yaw rate", "heading") if meaning in found]
    moved = {"lateral", "longitudinal", "yaw rate", "heading"} & set(found)
    if "speed" in found and (moved or reading.split_stops is not None or not told):
        wanted += ["speed", *turning]
    return wanted


def _read(table: Table, columns: Mapping[str, Column]) -> dict[str, Cells]:
    as_text = [columns[meaning].index for meaning in ("time", _SPLIT) if meaning in columns]
    cells = table.read(sorted({column.index for column in columns.values()}), as_text)
    return {meaning: cells[column.index] for meaning, column in columns.items()}


def _rows(cells: Cells) -> int:
    return int(cells.numbers.size) if cells.numbers is not None else len(cells.text or ())


def _counted(rows: int, rate: float, file: str) -> Clock:
    if rows < 2 or not rate > 0:
        refuse(file, "give a rate above 0 Hz and a file of at least two rows", key="rate", value=f"{rate:g} Hz")
    return clock_from_rate(rows, rate)


def _lively_boost(signals: Signals, table: Table, found: Mapping[str, tuple[Column, ...]]) -> Signals:
    """The signals with the next column that may be boost, where the first holds no values at all or never changes."""
    candidates = found.get("boost", ())
    if len(candidates) < 2 or (signals.has("boost") and np.ptp(_present(signals.raw("boost"))) > 0):
        return signals
    for column in candidates[1:]:
        columns = {**signals.columns, "boost": column}
        cells = {**signals.cells, "boost": table.read([column.index])[column.index]}
        other = replace(signals, columns=columns, cells=cells)
        if other.has("boost") and np.ptp(_present(other.raw("boost"))) > 0:
            return other
    return signals


def _present(values: Array) -> Array:
    return values[~np.isnan(values)]


def _split_column(table: Table, file: str, reading: Reading, laps: tuple[Column, ...]) -> Column | None:
    """The column that splits the recording: by its name, or "lap" or "run" for one that counts them."""
    if reading.split_column is None:
        return None
    index = column_named(table, reading.split_column)
    if index is None and laps and reading.split_column.strip().lower() in ("lap", "run"):
        index = laps[0].index
    if index is None:
        remedy = f"no such column; the file has: {listed(table.names)}"
        refuse(file, remedy, key="split column", value=reading.split_column)
    return Column(index, table.names[index], "", None, _SPLIT, "given by the user", given=True)


def _gaps(signals: Signals, boost: Boost | None) -> tuple[tuple[Gap, ...], Array]:
    """The gaps of boost, or of the rows without it, and the rows after which the rows have one."""
    time, breaks = signals.clock.time, signals.clock.breaks
    before = rows_before_gaps(time, boost.moments.interval if boost else usual_interval(time), breaks)
    if boost:
        return boost.gaps, before
    return tuple(Gap(float(time[i]), float(time[i + 1] - time[i]), "no rows") for i in before), before


def _others(chosen: Column, candidates: tuple[Column, ...]) -> tuple[str, ...]:
    """A notice on the other columns whose names say boost as plainly as that of the one chosen."""
    plain = BY_NAME["boost"].words[0]
    others = [c for c in candidates if c.index != chosen.index and plain.fullmatch(c.words)]
    if chosen.given or not others:
        return ()
    typed = f'"{others[0].name}"' if others[0].name != chosen.name else f"{others[0].index + 1}"
    said = f'"{chosen.name}" was taken for boost, not {listed([c.name for c in others], 3)}'
    return (f"{said}; the other way is --column boost={typed}.",)


def _recording(
    signals: Signals, boost: Boost | None, cornering: Cornering, gaps: tuple[Gap, ...], rivals: tuple[Column, ...]
) -> Recording:
    known = cornering.lateral is not None or cornering.longitudinal is not None
    time = signals.clock.time if known or boost is None else _times(boost, gaps)
    values = _boost_at(boost.moments, time) if boost else np.zeros_like(time)
    trace = Trace(time, values, cornering.lateral, cornering.longitudinal, covered(time, gaps), signals.file)
    reports = (*_clock_report(signals), *(boost.reports if boost else ()), *cornering.reports)
    unknown = () if boost else ("No pressure is recorded: this recording tells of cornering, not of use.",)
    doubts = (*_others(signals.columns["boost"], rivals), *boost.notices) if boost else unknown
    return Recording(
        trace=trace,
        boost_known=boost is not None,
        columns=reports,
        gaps=gaps,
        notices=(*signals.clock.notices, *doubts, *cornering.notices),
        spikes_removed=boost.spikes_removed if boost else 0,
        absolute=bool(boost and boost.kind.absolute),
        ambient=boost.ambient.pressure if boost else STANDARD_ATMOSPHERE,
        ambient_how=boost.ambient.how if boost else "not needed, as no pressure is recorded",
    )


def _boost_at(moments: Refreshes, time: Array) -> Array:
    return moments.value if moments.time is time else moments.at(time)


def _times(boost: Boost, gaps: tuple[Gap, ...]) -> Array:
    """The moments of boost and the ends of gaps."""
    ends = [time for gap in gaps for time in (gap.start_s, gap.start_s + gap.duration_s)]
    extra = [time for time in ends if not boost.moments.time[0] <= time <= boost.moments.time[-1]]
    return np.unique(np.concatenate((boost.moments.time, extra))) if extra else boost.moments.time


def _clock_report(signals: Signals) -> tuple[ColumnReport, ...]:
    interval = usual_interval(signals.clock.time)
    if "time" not in signals.columns:
        return ()
    return (signals.report("time", unit=signals.clock.unit, interval=interval),)


def _with_speed(recording: Recording, signals: Signals) -> Recording:
    """The recording with the speed that tells its stops. Raises BadInput without one."""
    if not signals.has("speed"):
        refuse(signals.file, "stops need a speed; say --column speed=NAME", key="split stops")
    return replace(recording, speed=signals.refreshes("speed").at(recording.trace.time))


def _with_split(recording: Recording, signals: Signals) -> Recording:
    """The recording with the column that splits it into runs."""
    time, cells = signals.clock.time, signals.cells[_SPLIT]
    rows = np.clip(np.searchsorted(time, recording.trace.time, side="right") - 1, 0, time.size - 1)
    if cells.text is None:
        return replace(recording, split=signals.raw(_SPLIT)[rows])
    codes, names = _coded(cells.text)
    return replace(recording, split=signals.clock.of(codes)[rows], split_names=names)


def _coded(text: pa.ChunkedArray) -> tuple[Array, tuple[str, ...]]:
    """Places (n,) of texts in the list of those that occur, NaN where a cell is empty, and that list."""
    coded = pa.chunked_array([text.combine_chunks()]).combine_chunks().dictionary_encode()
    names = tuple(str(name) for name in coded.dictionary.to_pylist())
    return np.asarray(coded.indices.to_numpy(zero_copy_only=False), dtype=float), names

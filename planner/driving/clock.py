"""The time column in seconds from the recording's start."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.columns import Column
from planner.driving.held import usual_interval
from planner.driving.source import refuse
from planner.driving.stamps import Stamps, stamps_from_numbers, stamps_from_text
from planner.driving.table import Cells
from planner.driving.time_steps import mended

Array = np.ndarray

MOST_LEFT_OUT = 0.3  # share of rows
LONGEST_STEP = 5.0  # [s]
SHORTEST_STEP = 2e-4  # [s]
_NONE = np.empty(0, dtype=int)
_HELP = "say which column holds the time with --column time=NAME, or the rows a second with --rate"


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """The rows kept and their times.

    time: (m,) [s] from the first row, never falling. rows: (m,) their numbers in the file, None for all of them.
    breaks: rows of `time` after which the clock started anew. unit: for the report. notices: sentences.
    """

    time: Array
    rows: Array | None
    breaks: Array
    unit: str
    notices: tuple[str, ...] = ()

    def of(self, values: Array) -> Array:
        """Values of the file's rows (n,) at the clock's rows (m,)."""
        return values if self.rows is None else values[self.rows]


def clock_from_rate(rows: int, rate: float) -> Clock:
    """The clock of rows that come at a stated rate [Hz]."""
    return Clock(np.arange(rows) / rate, None, _NONE, f"rows at {rate:g} Hz")


def clock_of(column: Column, cells: Cells, file: str) -> Clock:
    """The clock of a time column. Raises BadInput where it holds no time that goes on."""
    stamps = _stamps(column, cells)
    missing = np.isnan(stamps.seconds)
    rows = np.flatnonzero(~missing) if missing.any() else None
    seconds = stamps.seconds if rows is None else stamps.seconds[rows]
    if seconds.size < 2 or seconds.max() == seconds.min():
        refuse(file, _HELP, key=f'column "{column.name}"', value="no time that goes on")
    clock = _going_on(stamps, seconds, rows)
    left_out = stamps.seconds.size - clock.time.size
    if left_out > MOST_LEFT_OUT * stamps.seconds.size:
        refuse(
            file, _HELP, key=f'column "{column.name}"', value=f"{left_out} of {missing.size} rows have no rising time"
        )
    return _noted(clock, int(missing.sum()), column, file)


def _stamps(column: Column, cells: Cells) -> Stamps:
    if cells.text is not None:
        return stamps_from_text(cells.text)
    assert cells.numbers is not None
    return stamps_from_numbers(cells.numbers, column.unit)


def _going_on(stamps: Stamps, seconds: Array, rows: Array | None) -> Clock:
    notices = (stamps.doubt,) if stamps.doubt else ()
    if np.diff(seconds).min() > 0:
        return Clock(seconds - seconds[0], rows, _NONE, stamps.unit, notices)
    result = mended(seconds, of_day=stamps.of_day)
    whole = rows is None and result.kept.size == seconds.size
    kept = None if whole else result.kept if rows is None else rows[result.kept]
    return Clock(result.time - result.time[0], kept, result.breaks, stamps.unit, notices + result.notices)


def _noted(clock: Clock, missing: int, column: Column, file: str) -> Clock:
    """The clock with notices on rows without time and on steps that no logger makes."""
    step = usual_interval(clock.time)
    notices = list(clock.notices)
    if missing:
        notices.append(f"{missing} rows hold no time and were left out.")
    if step > LONGEST_STEP:
        notices.append(f"Rows come {step:.3g} s apart, so boost between them is a guess; is the unit of time right?")
    if 0 < step < SHORTEST_STEP and clock.time.size >= 20:
        remedy = "if its unit is another, say it with --unit time=s, --unit time=ms or --unit time=d (days)"
        refuse(file, remedy, key=f'column "{column.name}"', value=f"rows every {step:.2g} s, read in {clock.unit}")
    return Clock(clock.time, clock.rows, clock.breaks, clock.unit, tuple(notices))

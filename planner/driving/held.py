"""Held values: the moments at which a signal is truly refreshed, and the usual interval between them.

An adapter that polls several signals in turn repeats the old value of each until its turn comes. Between two changes
of value the signal is refreshed at the usual spacing, without a change; so it stays level until one spacing before
the next change and runs straight from there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray

_FEWEST_CHANGES = 8
_FEWEST_LEVELS = 6
_JUDGED = 100_000
_TIMED = 20_000


@dataclass(frozen=True, slots=True, eq=False)
class Refreshes:
    """Moments (k,) of a signal: time [s], never falling, and value; interval [s] between refreshes; rows a refresh.

    Straight lines between the moments are the signal.
    """

    time: Array
    value: Array
    interval: float
    rows: int

    @property
    def held(self) -> bool:
        """Whether rows repeat old values."""
        return self.rows > 1

    def at(self, time: Array) -> Array:
        """The signal at times (n,) [s]; level beyond its ends."""
        return np.interp(time, self.time, self.value)


def refreshes_of(time: Array, values: Array, rows: int, *, interval: float, gaps: Array | None = None) -> Refreshes:
    """The refreshes of a signal without NaN: values (n,) at time (n,) [s], refreshed every so many rows.

    `gaps` are the rows after which nothing was recorded.
    """
    if rows == 1:
        return Refreshes(time, values, interval, 1)
    ends = np.empty(0, dtype=int) if gaps is None else gaps
    fresh = _without_stale(values, rows, ends)
    changes = np.flatnonzero(np.diff(fresh) != 0) + 1
    before = np.maximum(changes - rows, np.concatenate(([0], changes[:-1])))
    needed = np.zeros(values.size, dtype=bool)
    for places in (changes, before, ends, ends + 1, [0, -1]):
        needed[places] = True
    moments = np.flatnonzero(needed)
    return Refreshes(time[moments], fresh[moments], interval, rows)


def usual_interval(time: Array, rows: int = 1) -> float:
    """Median time [s] that `rows` rows take, judged on some of them."""
    if time.size <= rows:
        return 0.0
    some = np.arange(0, time.size - rows, 1 + time.size // _TIMED)
    return float(np.median(time[some + rows] - time[some]))


def rows_per_refresh(values: Array) -> int:
    """Rows from one refresh of a signal (n,) to the next; 1 where it is not held, or changes too rarely to tell.

    A signal that jumps between a few levels is not held: it is on or off.
    """
    changed = np.diff(values[:_JUDGED]) != 0
    count = int(np.count_nonzero(changed))
    if count < _FEWEST_CHANGES or count > 0.6 * changed.size:
        return 1
    changes = np.flatnonzero(changed)
    spacings = np.diff(changes)
    least = int(np.quantile(spacings, 0.1))
    if least < 2 or np.unique(values[changes + 1]).size < _FEWEST_LEVELS:
        return 1
    near = spacings[(spacings >= 0.75 * least) & (spacings <= 1.6 * least)]
    return int(np.median(near)) if near.size >= 0.3 * spacings.size else 1


def _without_stale(values: Array, rows: int, gaps: Array) -> Array:
    """Values with those that a gap left stale replaced by the first refresh behind it."""
    if not gaps.size:
        return values
    fresh = values.copy()
    for row in gaps:
        after = fresh[row + 1 : row + 1 + rows]
        new = np.flatnonzero(after != fresh[row])
        if new.size and fresh[row + 1] == fresh[row]:
            after[: new[0]] = after[new[0]]
    return fresh

"""Held values: the moments at which a signal is truly refreshed, and the interval between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray


@dataclass(frozen=True, slots=True, eq=False)
class Refreshes:
    """rows (k,): the rows at which the signal is new (or repeats its old value); interval [s] usual between them."""

    rows: Array
    interval: float
    held: bool


def refreshes_of(time: Array, values: Array) -> Refreshes:
    """The refreshes of a signal: values (n,), NaN where a row holds none, at time (n,) [s]."""
    present = np.flatnonzero(~np.isnan(values))
    signal = values[present]
    if present.size < 3:
        return Refreshes(present, float("nan"), False)
    changes = np.flatnonzero(np.diff(signal) != 0) + 1
    per = _rows_per_refresh(np.diff(changes))
    clock = time[present]
    if per <= 1:
        return Refreshes(present, float(np.median(np.diff(clock))), False)
    before = changes - per
    before = before[before > np.concatenate(([0], changes[:-1]))]
    knots = np.union1d(np.union1d(changes, before), [0, signal.size - 1])
    interval = float(np.median(clock[per:] - clock[:-per]))
    return Refreshes(present[knots], interval, True)


def _rows_per_refresh(spacings: Array) -> int:
    """Rows from one refresh to the next, from the spacings [rows] of changes; 1 where the signal is not held."""
    if spacings.size < 8:
        return 1
    least = max(int(np.quantile(spacings, 0.1)), 1)
    if least == 1:
        return 1
    near = spacings[(spacings >= 0.75 * least) & (spacings <= 1.6 * least)]
    return int(np.median(near)) if near.size >= 0.3 * spacings.size else 1

"""Gaps: stretches without a recording, which carry no use."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Array = np.ndarray

GAP_INTERVALS = 5.5
SHORTEST_GAP = 0.5  # [s]


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch without a recording: start [s] from the first row, duration [s], and why."""

    start_s: float
    duration_s: float
    reason: str


def longest_step(interval: float) -> float:
    """The longest time [s] between two samples that is no gap: 5.5 usual refresh intervals [s], at least 0.5 s."""
    return max(GAP_INTERVALS * interval, SHORTEST_GAP)


def rows_before_gaps(time: Array, interval: float, breaks: Array) -> Array:
    """Rows of time (n,) [s] after which a gap follows, for a usual refresh interval [s]; `breaks` always count."""
    found = np.flatnonzero(np.diff(time) > longest_step(interval))
    return np.union1d(found, breaks).astype(int) if breaks.size else found


def covered(time: Array, gaps: tuple[Gap, ...]) -> Array:
    """Which of the stretches (n - 1,) between times (n,) [s] lie in no gap."""
    result = np.ones(max(time.size - 1, 0), dtype=bool)
    for gap in gaps:
        first = int(np.searchsorted(time, gap.start_s, side="right")) - 1
        last = int(np.searchsorted(time, gap.start_s + gap.duration_s - 1e-9, side="left"))
        result[max(first, 0) : last] = False
    return result

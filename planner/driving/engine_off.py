"""What the engine's speed tells of a pressure: its level with the engine off or idling, and values gone stale."""

from __future__ import annotations

import numpy as np

Array = np.ndarray

SETTLING = 3.0  # [s] after the engine stops, for the manifold to fill and adapters to ask again
SHORTEST_SPELL = 2.0  # [s]
IDLE = (300.0, 1300.0)  # [1/min]
_MOST_SPELLS = 500


def spells(time: Array, flags: Array, shortest: float = SHORTEST_SPELL) -> list[tuple[int, int]]:
    """First and last row of each stretch of flags (n,) that lasts at least `shortest` [s] of time (n,) [s]."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
    firsts, lasts = edges[0::2], edges[1::2] - 1
    long = time[lasts] - time[firsts] >= shortest
    return list(zip(firsts[long][:_MOST_SPELLS].tolist(), lasts[long][:_MOST_SPELLS].tolist(), strict=True))


def level_when_off(time: Array, pressure: Array, rpm: Array) -> float | None:
    """Settled pressure with the engine off, in the unit of `pressure` (n,), NaN where unknown; None where not seen.

    A spell whose value never changes from the one before it is stale, and tells nothing.
    """
    levels, weights = [], []
    for first, last in spells(time, rpm == 0):
        start = first if first == 0 else int(np.searchsorted(time, time[first] + SETTLING))
        settled = pressure[start : last + 1]
        settled = settled[~np.isnan(settled)]
        stale = first > 0 and settled.size > 0 and np.all(settled == pressure[first - 1])
        if settled.size and not stale and time[last] - time[min(start, last)] >= SHORTEST_SPELL / 2:
            levels.append(float(np.median(settled)))
            weights.append(settled.size)
    return levels[int(np.argmax(weights))] if levels else None


def level_when_idle(time: Array, pressure: Array, rpm: Array, speed: Array) -> float | None:
    """Median pressure with the engine idling at a standstill; None where not seen for 5 s."""
    idle = (rpm >= IDLE[0]) & (rpm <= IDLE[1]) & (speed == 0)
    values = [pressure[first : last + 1] for first, last in spells(time, idle, 5.0)]
    joined = np.concatenate(values) if values else np.empty(0)
    joined = joined[~np.isnan(joined)]
    return float(np.median(joined)) if joined.size else None


def without_stale(time: Array, gauge: Array, rpm: Array) -> tuple[Array, float]:
    """Boost (n,) [Pa gauge], at most zero where the engine is off for 2 s or more, and the time [s] that changed it."""
    mended, stale = gauge, 0.0
    for first, last in spells(time, rpm == 0):
        part = gauge[first : last + 1]
        high = part > 0
        if not high.any():
            continue
        mended = gauge.copy() if mended is gauge else mended
        mended[first : last + 1] = np.where(high, 0.0, part)
        stale += float(np.sum(np.diff(time[first : last + 1])[part[1:] > 5e3]))
    return mended, stale

"""How long a course stays at each boost."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from planner.driving.trace import Trace

Array = np.ndarray


def time_at_boost(traces: Sequence[Trace], edges: Array) -> Array:
    """Time [s] that the traces spend from each edge (k + 1,) [Pa gauge], rising, to the next, (k,).

    Exact for boost that runs straight between samples; gaps carry no time.
    """
    below = np.sum([_time_below(trace, edges) for trace in traces], axis=0)
    return np.diff(below)


def _time_below(trace: Trace, edges: Array) -> Array:
    """Time [s] below each edge (k + 1,) [Pa gauge]."""
    seconds = np.diff(trace.time) * trace.covered
    driven = seconds > 0
    seconds, first, second = seconds[driven], trace.boost[:-1][driven], trace.boost[1:][driven]
    low, height = np.minimum(first, second), np.abs(second - first)
    still = height < 1e-6
    height[still] = 1.0
    return np.array([_share_below(edge - low, height, still) @ seconds for edge in edges])


def _share_below(above_low: Array, height: Array, still: Array) -> Array:
    """Share (n,) of straight changes that lies below an edge, which stands `above_low` over their lower end."""
    share = np.clip(above_low / height, 0.0, 1.0)
    share[still] = above_low[still] > 0
    return share

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
    return np.sum([_time_between(trace, edges) for trace in traces], axis=0)


def _time_between(trace: Trace, edges: Array) -> Array:
    """Time [s] of one trace between each edge (k + 1,) [Pa gauge] and the next, (k,)."""
    seconds = np.diff(trace.time) * trace.covered
    place = np.searchsorted(edges, trace.boost, side="right")
    inside = (place[:-1] == place[1:]) & (seconds > 0)
    times = np.bincount(place[:-1][inside], weights=seconds[inside], minlength=edges.size + 1)[1 : edges.size]
    crossing = ~inside & (seconds > 0)
    first, second = trace.boost[:-1][crossing], trace.boost[1:][crossing]
    low, height = np.minimum(first, second), np.abs(second - first)
    with np.errstate(over="ignore"):
        below = [np.clip((edge - low) / height, 0.0, 1.0) @ seconds[crossing] for edge in edges]
    crossed: Array = times + np.diff(below)
    return crossed

"""How long a course stays at each boost, exactly: each straight stretch shares its time by its overlap with a bin."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.trace import Trace
from planner.use.time_at_boost import time_at_boost

EDGES = np.array([-50e3, 0.0, 30e3, 100e3, 250e3])


def by_overlap(trace: Trace, edges: np.ndarray) -> list[float]:
    """Time [s] in each bin, stretch by stretch; boost that holds still on an edge counts above it."""
    found = [0.0] * (edges.size - 1)
    for k, seconds in enumerate(np.diff(trace.time) * trace.covered):
        low, high = sorted(trace.boost[k : k + 2])
        for b in range(edges.size - 1):
            if high > low:
                found[b] += seconds * max(min(high, edges[b + 1]) - max(low, edges[b]), 0.0) / (high - low)
            elif edges[b] <= low < edges[b + 1]:
                found[b] += seconds
    return found


def test_a_straight_rise_stays_in_each_bin_as_long_as_the_bin_is_high() -> None:
    rise = Trace(np.array([0.0, 10.0]), np.array([0.0, 100e3]), None, None, np.array([True]))
    assert time_at_boost([rise], np.array([0.0, 25e3, 50e3, 100e3])) == pytest.approx([2.5, 2.5, 5.0])


boost = st.one_of(st.sampled_from([0.0, 30e3, 100e3, 10e3]), st.floats(-90e3, 290e3).map(lambda p: round(p, 3)))
stretch = st.tuples(boost, st.floats(0.01, 5.0), st.booleans())


@given(st.lists(stretch, min_size=2, max_size=12))
def test_the_times_are_those_of_each_stretchs_overlap_with_each_bin(parts: list[tuple[float, float, bool]]) -> None:
    boosts, steps, covered = (np.array(column) for column in zip(*parts, strict=True))
    driven = Trace(np.cumsum(steps), boosts, None, None, covered[1:])
    assert time_at_boost([driven], EDGES) == pytest.approx(by_overlap(driven, EDGES), abs=1e-9)
    assert time_at_boost([driven, driven], EDGES) == pytest.approx(2 * np.array(by_overlap(driven, EDGES)), abs=1e-9)


def test_boost_that_hardly_moves_across_an_edge_is_counted_without_complaint() -> None:
    least = float(np.nextafter(0.0, 1.0))
    driven = Trace(np.array([0.0, 2.0]), np.array([0.0, least]), None, None, np.array([True]))
    with np.errstate(over="raise"):
        assert time_at_boost([driven], np.array([-1e5, least, 1e5])).tolist() == [2.0, 0.0]

"""How long a course stays at each boost, against counting on a fine clock and against what must add up."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from planner.driving.trace import Trace
from planner.use.time_at_boost import time_at_boost

EDGES = np.arange(-100e3, 301e3, 10e3)


def trace(boost: np.ndarray, gap: int | None = None, step: float = 0.5) -> Trace:
    time = step * np.arange(boost.size)
    covered = np.ones(boost.size - 1, dtype=bool)
    if gap is not None:
        covered[gap % covered.size] = False
    return Trace(time, boost, None, None, covered)


boosts = st.lists(st.floats(-90e3, 290e3), min_size=2, max_size=30).map(np.array)


@given(boosts, st.none() | st.integers(0, 28))
def test_the_times_add_up_to_what_is_recorded(boost: np.ndarray, gap: int | None) -> None:
    driven = trace(boost, gap)
    assert np.isclose(time_at_boost([driven, driven], EDGES).sum(), 2 * driven.recorded)


@given(boosts)
def test_the_times_are_those_counted_on_a_fine_clock(boost: np.ndarray) -> None:
    driven = trace(boost)
    fine = np.linspace(driven.time[0], driven.time[-1], 40_001)[:-1]
    counted, _ = np.histogram(np.interp(fine, driven.time, boost), EDGES)
    assert np.allclose(
        time_at_boost([driven], EDGES), counted * driven.duration / fine.size, atol=2e-3 * fine.size / 40
    )


def test_a_boost_that_holds_still_on_an_edge_counts_above_it() -> None:
    times = time_at_boost([trace(np.full(5, 50e3))], np.array([0.0, 50e3, 100e3]))
    assert times.tolist() == [0.0, 2.0]

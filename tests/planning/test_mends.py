"""Why no plan exists: what refills before every session would do, and where the best case breaks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.legs import full_levels
from planner.planning.mends import all_stops, breaking_session, holds_session_by_session, is_feasible
from tests.planning.test_milp import random_day


@given(st.integers(0, 400), st.floats(0.3, 3.0), st.sampled_from([0.0, 0.2e-3]))
def test_a_refill_before_every_session_is_judged_as_planned(seed: int, size: float, prime: float) -> None:
    problem = random_day(seed, sessions=5, draws=200)
    problem = replace(problem, limit=problem.limit * size, in_tank=0.0, prime=prime)
    everywhere = np.ones(problem.sessions, dtype=bool)
    unbound = replace(problem, may_fill=everywhere, can_pour=np.full(problem.sessions, np.inf))
    assert holds_session_by_session(problem) == is_feasible(unbound)


@pytest.mark.parametrize("seed", range(12))
def test_the_breaking_session_is_the_same_from_levels_that_are_known(seed: int) -> None:
    problem = random_day(seed, sessions=6, draws=200)
    problem = replace(problem, limit=problem.limit * 0.4)
    if not is_feasible(problem):
        assert breaking_session(problem, full_levels(problem, all_stops(problem))) == breaking_session(problem)

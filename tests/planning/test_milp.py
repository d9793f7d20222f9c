"""The least number of stops against a mixed-integer programme solved by HiGHS."""

from __future__ import annotations

import numpy as np
import pytest

from planner.planning.problem import Problem
from planner.planning.refill import plan_refills
from planner.use.spread import CarFactor, use_draws
from tests.milp import least_stops

LITRE = 1e-3


def random_day(seed: int, *, sessions: int = 7, draws: int = 40) -> Problem:
    """A day that HiGHS finishes in about a second; about one in four has no plan."""
    generator = np.random.default_rng(seed)
    mean = generator.uniform(0.3, 1.2, sessions) * LITRE
    may_fill = generator.random(sessions) < 0.6
    may_fill[0] = True
    return Problem(
        drain=use_draws(mean, np.full(sessions, 0.08), CarFactor(), draws, seed),
        expected=mean,
        unit=mean,
        floor=generator.uniform(0.2, 0.7, sessions) * LITRE,
        may_fill=may_fill,
        can_pour=np.where(may_fill, np.inf, 0.0),
        minutes=np.full(sessions, 60.0),
        limit=generator.uniform(2.0, 5.0) * LITRE,
        in_tank=0.0,
        prime=0.0,
        confidence=0.9,
        extra=0.0,
        washing=(0.0, 0.0),
        density=927.0,
    )


@pytest.mark.parametrize("seed", range(8))
def test_the_least_stops_are_those_of_a_mixed_integer_programme(seed: int) -> None:
    problem = random_day(seed)
    plan = plan_refills(problem)
    assert (len(plan.best.stops) if plan else None) == least_stops(problem)

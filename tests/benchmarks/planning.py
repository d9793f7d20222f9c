"""The refill plan: 20 and 40 sessions, and against the same plan as a mixed-integer programme."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from planner.planning.problem import Problem
from planner.planning.refill import plan_refills
from planner.use.spread import CarFactor, use_draws
from tests.benchmarks.measure import Row, on_one_core, seconds
from tests.milp import least_stops
from tests.planning.test_milp import random_day

LITRE = 1e-3


def long_day(sessions: int, draws: int = 10_000) -> Problem:
    """A day of many equal gaps, which leaves many sets to compare."""
    mean = np.full(sessions, 0.9 * LITRE) * (1 + 0.2 * np.sin(np.arange(sessions)))
    return Problem(
        drain=use_draws(mean, np.full(sessions, 0.08), CarFactor(), draws, 1),
        expected=mean,
        unit=mean / 5,
        floor=np.full(sessions, 0.5 * LITRE),
        may_fill=np.ones(sessions, dtype=bool),
        can_pour=np.full(sessions, np.inf),
        minutes=np.full(sessions, 60.0),
        limit=5 * LITRE,
        in_tank=0.0,
        prime=0.0,
        confidence=0.99,
        extra=1.0,
        washing=(1.5 * LITRE, 3.5 * LITRE),
        density=927.0,
        mark_step=5e-5,
    )


def rows() -> Iterator[Row]:
    """Times of the plan, and the programme's time over the plan's on days it can finish."""
    for sessions, goal in ((20, 60.0), (40, 250.0)):
        times = on_one_core(lambda count=sessions: plan_refills(long_day(count)))  # type: ignore[misc]
        yield Row(f"plan of {sessions} sessions, 10,000 draws, one core", tuple(t * 1e3 for t in times), goal, "ms")
    days = [random_day(seed, sessions=10, draws=1000) for seed in (0, 1, 4)]
    values = tuple(seconds(lambda d=day: least_stops(d)) / seconds(lambda d=day: plan_refills(d)) for day in days)  # type: ignore[misc]
    yield Row("HiGHS on 10 sessions and 1,000 draws / the plan", values, 100.0, at_least=True)

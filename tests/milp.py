"""The refill plan as a mixed-integer programme in scenario form, solved by HiGHS through scipy: a reference.

Each scenario's start and end levels are variables; a binary says whether a refill comes before a session, another
whether a scenario holds. Marks need no variables: a scenario may fill as far as the limit wherever a refill is.
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from planner.planning.problem import Problem


def least_stops(problem: Problem) -> int | None:
    """Least number of stops, or None; for problems without extra runs, prime or short gaps."""
    sessions, scenarios = problem.sessions, problem.draws + 1  # the last scenario is the expected day
    drain = np.column_stack([problem.drain, problem.expected])
    refills, holds, start = 0, sessions, sessions + scenarios
    count = start + sessions * scenarios
    most = problem.limit + drain.sum(axis=0).max() + problem.floor.max()
    rows, lower, upper = lil_array((2 * sessions * scenarios + 1, count)), [], []

    def at(k: int, d: int) -> int:
        return start + k * scenarios + d

    row = 0
    for k in range(sessions):
        for d in range(scenarios):
            # start[k] <= start[k-1] - drain[k-1] + limit * refill[k]; before session 1 the tank holds in_tank.
            rows[row, at(k, d)] = 1.0
            rows[row, refills + k] = -most
            before = problem.in_tank
            if k:
                rows[row, at(k - 1, d)] = -1.0
                before = -drain[k - 1, d]
            lower.append(-np.inf)
            upper.append(before)
            # start[k] - drain[k] >= floor[k] wherever the scenario holds.
            rows[row + 1, at(k, d)] = 1.0
            rows[row + 1, holds + d] = -most
            lower.append(problem.floor[k] + drain[k, d] - most)
            upper.append(np.inf)
            row += 2
    rows[row, holds : holds + problem.draws] = 1.0
    lower.append(problem.needed)
    upper.append(np.inf)
    cost = np.zeros(count)
    cost[1:sessions] = 1.0
    least, greatest = np.zeros(count), np.ones(count)
    least[holds + problem.draws] = 1.0
    greatest[:sessions] = problem.may_fill
    least[start:], greatest[start:] = -most, problem.limit
    integral = np.zeros(count)
    integral[:start] = 1
    solved = milp(
        cost,
        constraints=LinearConstraint(rows.tocsr(), lower, upper),
        bounds=Bounds(least, greatest),
        integrality=integral,
    )
    return round(solved.fun) if solved.success else None

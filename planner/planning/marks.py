"""The lowest marks of a refill set that meet the day's chance.

Each leg gets an equal share of the allowed chance: all marks are the same quantile of their leg's demand, and the
quantile is the lowest at which the draws in which every leg holds are as many as the confidence asks.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np

from planner.planning.legs import Levels
from planner.planning.problem import Problem

Array = np.ndarray


class MarkFinder:
    """Marks of refill sets of one problem; the demands of legs are kept between sets."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.demand = lru_cache(maxsize=512)(problem.leg_demand)
        self.expected_need = lru_cache(maxsize=2048)(problem.leg_expected_need)
        self.ranked = lru_cache(maxsize=512)(self._ranked)

    def _ranked(self, first: int, last: int) -> tuple[Array, Array]:
        """Demands in rising order, (N,), and each draw's place in it; draws beyond the limit come last of all."""
        demand = self.demand(first, last)
        order = np.argsort(demand, kind="stable")
        rank = np.empty(order.size, dtype=np.int32)
        rank[order] = np.arange(order.size, dtype=np.int32)
        rank[demand > self.problem.cap(first)] = order.size
        return demand[order], rank

    def _legs(self, stops: tuple[int, ...]) -> list[tuple[int, int]]:
        starts = (*self.problem.starts(stops), self.problem.sessions)
        return [(a, b - 1) for a, b in itertools.pairwise(starts)]

    def marks(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        """Lowest marks [m3], one a leg, for a set that is possible."""
        return tuple(self.problem.pourable(mark) for mark in self._exact_marks(stops))

    def _exact_marks(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        problem, legs = self.problem, self._legs(stops)
        if problem.pour_binds:
            return self._marks_with_short_gaps(stops)
        worst = np.maximum.reduce([self.ranked(*leg)[1] for leg in legs])
        place = int(np.partition(worst, problem.needed - 1)[problem.needed - 1])
        return tuple(self._mark(leg, place) for leg in legs)

    def _mark(self, leg: tuple[int, int], place: int) -> float:
        problem = self.problem
        quantile = float(self.ranked(*leg)[0][min(place, problem.draws - 1)])
        return min(max(quantile, self.expected_need(*leg)), problem.cap(leg[0]))

    def _marks_with_short_gaps(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        """The same where a gap's time bounds the pour: an earlier leg carries what cannot be poured later."""
        low, high = -1, self.problem.draws - 1
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self._holds(stops, self._carried(stops, middle)) else (middle, high)
        marks = self._carried(stops, high)
        if self._holds(stops, marks):
            return marks
        return tuple(self.problem.limit for _ in marks)

    def _carried(self, stops: tuple[int, ...], place: int) -> tuple[float, ...]:
        """Marks at one quantile, from the last leg back."""
        problem, marks, owed, owed_mean = self.problem, [], 0.0, 0.0
        for first, last in reversed(self._legs(stops)):
            through = problem.drain[first : last + 1].sum(axis=0) + (problem.prime if first == 0 else 0.0)
            demand = np.sort(np.maximum(self.demand(first, last), through + owed))
            mean_through = float(problem.expected[first : last + 1].sum()) + (problem.prime if first == 0 else 0.0)
            mean = max(self.expected_need(first, last), mean_through + owed_mean)
            mark = min(max(float(demand[place]), mean), problem.limit)
            marks.append(mark)
            owed = owed_mean = max(0.0, mark - float(problem.can_pour[first]))
        return tuple(reversed(marks))

    def _holds(self, stops: tuple[int, ...], marks: tuple[float, ...]) -> bool:
        levels = Levels(self.problem, stops, marks)
        enough = np.all(levels.end >= self.problem.floor[:, None] - 1e-15, axis=0)
        return int(np.count_nonzero(enough)) >= self.problem.needed

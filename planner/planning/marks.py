"""The lowest marks of a refill set that meet the day's chance.

Each leg gets an equal share of the allowed chance: all marks are the same quantile of their leg's demand, and the
quantile is the lowest at which the draws in which every leg holds are as many as the confidence asks.
"""

from __future__ import annotations

import itertools
from functools import lru_cache

import numpy as np

from planner.planning.legs import expected_holds, poured_level
from planner.planning.problem import Problem

Array = np.ndarray


class MarkFinder:
    """Marks of refill sets of one problem; the demands of legs are kept between sets."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.demand = lru_cache(maxsize=512)(problem.leg_demand)
        self.through = lru_cache(maxsize=512)(self._through)
        self.expected_need = lru_cache(maxsize=2048)(problem.leg_expected_need)
        self.ranked = lru_cache(maxsize=512)(self._ranked)

    def _ranked(self, first: int, last: int) -> tuple[Array, Array]:
        """Demands from the quantile asked upward, rising, and each draw's place in the order of all, (N,).

        No mark lies below that quantile, so every draw up to it has its place; draws beyond the limit come last of all.
        """
        demand, lowest = self.demand(first, last), self.problem.needed - 1
        quantile = np.partition(demand, lowest)[lowest]
        above = np.flatnonzero(demand > quantile)
        tail = np.sort(demand[above])
        rank = np.full(demand.size, lowest, dtype=np.int32)
        rank[above] = lowest + 1 + np.searchsorted(tail, demand[above])
        rank[demand > self.problem.cap(first)] = demand.size
        return np.concatenate(([quantile], tail)), rank

    def _through(self, first: int, last: int) -> Array:
        """What a leg takes in all, (N,) [m3]."""
        return self.problem.drain[first : last + 1].sum(axis=0) + (self.problem.prime if first == 0 else 0.0)

    def _legs(self, stops: tuple[int, ...]) -> list[tuple[int, int]]:
        starts = (*self.problem.starts(stops), self.problem.sessions)
        return [(a, b - 1) for a, b in itertools.pairwise(starts)]

    def marks(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        """Lowest marks [m3], one a leg, for a set that is possible."""
        return tuple(self.problem.pourable(mark) for mark in self._exact_marks(stops))

    def _exact_marks(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        marks = self._marks_with_long_gaps(stops)
        if not self.problem.pour_binds(stops) or self._holds(stops, marks):
            return marks
        return self._marks_with_short_gaps(stops)

    def _marks_with_long_gaps(self, stops: tuple[int, ...]) -> tuple[float, ...]:
        problem, legs = self.problem, self._legs(stops)
        if not stops:
            return (self._only_mark(legs[0]),)
        worst = np.maximum.reduce([self.ranked(*leg)[1] for leg in legs])
        place = _needed_place(worst, problem.needed)
        return tuple(self._mark(leg, place) for leg in legs)

    def _only_mark(self, leg: tuple[int, int]) -> float:
        """The mark of a day in one leg: its demand's quantile, without ranking the draws against other legs'."""
        problem = self.problem
        quantile = float(np.partition(self.demand(*leg), problem.needed - 1)[problem.needed - 1])
        return min(max(quantile, self.expected_need(*leg)), problem.cap(leg[0]))

    def _mark(self, leg: tuple[int, int], place: int) -> float:
        problem = self.problem
        demands = self.ranked(*leg)[0]
        quantile = float(demands[min(place - problem.needed + 1, demands.size - 1)])
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
            through = self.through(first, last)
            demand = np.partition(np.maximum(self.demand(first, last), through + owed), place)
            mean_through = float(problem.expected[first : last + 1].sum()) + (problem.prime if first == 0 else 0.0)
            mean = max(self.expected_need(first, last), mean_through + owed_mean)
            mark = min(max(float(demand[place]), mean), problem.limit)
            marks.append(mark)
            owed = owed_mean = max(0.0, mark - float(problem.can_pour[first]))
        return tuple(reversed(marks))

    def _holds(self, stops: tuple[int, ...], marks: tuple[float, ...]) -> bool:
        """Whether the marks meet the chance and each leg's expected need, leg by leg from the demands."""
        problem = self.problem
        if not expected_holds(problem, stops, marks):
            return False
        level: Array | float = np.full(problem.draws, problem.in_tank)
        fine = np.ones(problem.draws, dtype=bool)
        for (first, last), mark in zip(self._legs(stops), marks, strict=True):
            level = poured_level(problem, first, level, mark)
            fine &= level >= self.demand(first, last) - 1e-15
            level = level - self.through(first, last)
        return int(np.count_nonzero(fine)) >= problem.needed


def _needed_place(worst: Array, needed: int) -> int:
    """The place up to which so many draws hold, from each draw's worst place (N,), none below the needed less one.

    The many at that lowest place are counted, not sorted.
    """
    above = worst[worst >= needed]
    still = needed - (worst.size - above.size)
    return needed - 1 if still <= 0 else int(np.partition(above, still - 1)[still - 1])

"""Which legs a tank can hold, and every least set of refills: a shortest path under a chance for the whole day.

Filling to the limit at every stop keeps the level as high as can be in every draw, so a set of refills is possible
exactly if it is possible that way. Draws that a leg survives are bits; a day survives where all its legs do.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from planner.planning.problem import Problem

Array = np.ndarray

MOST_SETS = 4000
MOST_NODES = 60_000


class Legs:
    """Legs (first, last) that hold on their own, with the draws they survive as packed bits."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.bits: dict[tuple[int, int], Array] = {}
        self.reach: dict[int, list[int]] = {}
        for first in range(problem.sessions):
            if first == 0 or problem.may_fill[first]:
                self.reach[first] = list(self._lasts(first))
            if problem.sessions - 1 in self.reach[0] and not problem.pour_binds(()):
                break  # one leg does it, and no set is smaller
        self.least = self._least_legs()

    def _lasts(self, first: int) -> Iterator[int]:
        """Last sessions of the legs from `first` that hold; stops where no longer leg can."""
        problem, limit = self.problem, self.problem.cap(first)
        used = np.full(problem.draws, problem.prime if first == 0 else 0.0)
        asked, alive = np.empty(problem.draws), np.ones(problem.draws, dtype=bool)
        for last, expected_need in enumerate(problem.leg_expected_needs(first), first):
            used += problem.drain[last]
            alive &= np.add(used, problem.floor[last], out=asked) <= limit
            if np.count_nonzero(alive) < problem.needed or expected_need > limit:
                return
            if last + 1 == problem.sessions or problem.may_fill[last + 1]:
                self.bits[first, last] = _packed(alive)
                yield last

    def _least_legs(self) -> list[float]:
        """Least number of legs from each session to the end, each leg taken on its own: a lower bound."""
        count = self.problem.sessions
        least = [float("inf")] * count + [0.0]
        for first in range(count - 1, -1, -1):
            for last in self.reach.get(first, ()):
                least[first] = min(least[first], 1 + least[last + 1])
        return least


def _packed(alive: Array) -> Array:
    """Draws (N,) as bits in words of 64, the last one filled up with zeros."""
    bits = np.packbits(alive)
    words = np.zeros(-(-bits.size // 8), dtype=np.uint64)
    words.view(np.uint8)[: bits.size] = bits
    return words


def _survivors(bits: Array) -> int:
    return int(np.bitwise_count(bits).sum(dtype=np.int64))


class SetSearch:
    """Depth-first search for all refill sets of a given size that meet the day's chance."""

    def __init__(self, legs: Legs, count: int) -> None:
        self.legs, self.count = legs, count
        self.found: list[tuple[int, ...]] = []
        self.nodes = 0

    @property
    def exhausted(self) -> bool:
        """Whether the search was cut short."""
        return self.nodes >= MOST_NODES or len(self.found) >= MOST_SETS

    def run(self) -> list[tuple[int, ...]]:
        """All sets found: sessions (from 0) that a refill comes before."""
        problem = self.legs.problem
        everything = _packed(np.ones(problem.draws, dtype=bool))
        self._extend(0, everything, (), self.count)
        return self.found

    def _extend(self, first: int, bits: Array, stops: tuple[int, ...], left: int) -> None:
        problem = self.legs.problem
        for last in reversed(self.legs.reach[first]):
            done = last + 1 == problem.sessions
            if self.exhausted or done != (left == 1) or self.legs.least[last + 1] > left - 1:
                continue
            self.nodes += 1
            alive = bits & self.legs.bits[first, last]
            if _survivors(alive) < problem.needed:
                continue
            if done:
                self.found.append(stops)
            else:
                self._extend(last + 1, alive, (*stops, last + 1), left - 1)


def least_sets(problem: Problem) -> tuple[list[tuple[int, ...]], bool]:
    """Every refill set of the least size that is possible, and whether the search was complete.

    Sets hold sessions (from 0) that a refill comes before; an empty list means that no plan exists.
    """
    legs = Legs(problem)
    if legs.least[0] == float("inf"):
        return [], True
    for count in range(int(legs.least[0]), int(problem.may_fill[1:].sum()) + 2):
        search = SetSearch(legs, count)
        found = search.run()
        found = [stops for stops in found if not problem.pour_binds(stops) or holds_when_full(problem, stops)]
        if found:
            return found, not search.exhausted
    return [], True


def holds_when_full(problem: Problem, stops: tuple[int, ...]) -> bool:
    """Whether a set holds with every fill to the limit, or as far as the gap's time allows."""
    return round(full_chance(problem, stops) * problem.draws) >= problem.needed and expected_holds(problem, stops)


def full_chance(problem: Problem, stops: tuple[int, ...]) -> float:
    """Chance [1] that the level stays above every floor with every fill to the limit."""
    return float(full_levels(problem, stops).above_floors(problem).mean())


def expected_holds(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...] | None = None) -> bool:
    """Whether each leg can start with its expected need, filled to the marks (the limit) as the gaps' time allows."""
    starts = (*problem.starts(stops), problem.sessions)
    level = problem.in_tank
    for (first, following), mark in zip(
        itertools.pairwise(starts), marks or [problem.limit] * (len(starts) - 1), strict=True
    ):
        level = float(poured_level(problem, first, level, mark))
        if level < problem.leg_expected_need(first, following - 1) - 1e-15:
            return False
        level -= problem.expected[first:following].sum() + (problem.prime if first == 0 else 0.0)
    return True


def poured_level(problem: Problem, first: int, level: Array | float, mark: Array | float) -> Array | float:
    """Level after filling to a mark before session `first`; what is in the tank above the mark stays."""
    if not problem.may_fill[first]:
        return level
    return np.maximum(level, np.minimum(mark, level + problem.can_pour[first]))


class Levels:
    """Levels of each draw: before (S, N) and after (S, N) any fill before a session, and at its end (S, N)."""

    def __init__(self, problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> None:
        mark_at = dict(zip(problem.starts(stops), marks, strict=True))
        shape = (problem.sessions, problem.draws)
        self.start, self.end = np.empty(shape), np.empty(shape)
        self._first: Array = np.full(problem.draws, problem.in_tank)
        level = self._first
        for k in range(problem.sessions):
            self.start[k] = poured_level(problem, k, level, mark_at[k]) if k in mark_at else level
            if k == 0:
                self.start[k] -= problem.prime
            level = np.subtract(self.start[k], problem.drain[k], out=self.end[k])

    @property
    def before(self) -> Array:
        """Levels before any fill, (S, N): where the session before ended."""
        return np.vstack((self._first, self.end[:-1]))

    def above_floors(self, problem: Problem) -> Array:
        """Whether each draw (N,) ends every session at or above its floor."""
        return np.all(self.end >= problem.floor[:, None] - 1e-15, axis=0)

    def added(self, problem: Problem, first: int) -> Array:
        """What is poured before a session, (N,)."""
        return self.start[0] - self._first + problem.prime if first == 0 else self.start[first] - self.end[first - 1]


def full_levels(problem: Problem, stops: tuple[int, ...]) -> Levels:
    """Levels when every fill goes to the limit, or as far as the gap's time allows."""
    return Levels(problem, stops, tuple(problem.limit for _ in problem.starts(stops)))

"""Small refill problems for tests in round numbers, and a walk through them one draw and one session at a time."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise
from typing import Any

import numpy as np
from hypothesis import strategies as st

from planner.planning.problem import Problem


def day(drain: Any, floor: Any = 0.0, **other: Any) -> Problem:
    """A day whose sessions take `drain` (S, N), or (S,) with one draw; a whole refill fits in every gap.

    Volumes may be in any unit, the tank holds 10 of it and is empty at the start. `other` are fields of Problem.
    """
    draws = np.asarray(drain, dtype=float)
    draws = draws[:, None] if draws.ndim == 1 else draws
    count = draws.shape[0]
    fields: dict[str, Any] = {
        "drain": draws,
        "expected": draws.mean(axis=1),
        "unit": np.zeros(count),
        "floor": np.broadcast_to(np.asarray(floor, dtype=float), count),
        "may_fill": np.ones(count, dtype=bool),
        "can_pour": np.full(count, np.inf),
        "minutes": np.full(count, 60.0),
        "limit": 10.0,
        "in_tank": 0.0,
        "prime": 0.0,
        "confidence": 0.9,
        "extra": 0.0,
        "washing": (0.0, 0.0),
        "density": 1000.0,
    }
    arrays = ("expected", "unit", "can_pour", "minutes")
    given = {key: np.asarray(value, dtype=float) if key in arrays else value for key, value in other.items()}
    if "may_fill" in given:
        given["may_fill"] = np.asarray(given["may_fill"], dtype=bool)
    return Problem(**(fields | given))


@st.composite
def whole_days(draw: st.DrawFn, *, most: int = 5) -> Problem:
    """Days in whole numbers, so that levels often just reach a floor: refused fills, short gaps, few draws."""
    count, draws = draw(st.integers(1, most)), draw(st.integers(2, 6))
    short = draw(st.booleans())

    def row(low: int, high: int, size: int = count) -> list[float]:
        return [float(n) for n in draw(st.lists(st.integers(low, high), min_size=size, max_size=size))]

    return day(
        [row(1, 5, draws) for _ in range(count)],
        row(0, 2),
        expected=row(1, 4),
        unit=row(0, 2),
        may_fill=[draw(st.integers(0, 9)) > 0, *(draw(st.integers(0, 3)) > 0 for _ in range(count - 1))],
        can_pour=row(2, 12) if short else [np.inf] * count,
        limit=float(draw(st.integers(5, 14))),
        in_tank=float(draw(st.integers(0, 4))),
        prime=float(draw(st.integers(0, 1))),
        extra=float(draw(st.integers(0, 1))),
        confidence=draw(st.sampled_from([0.3, 0.6, 0.8, 0.99])),
    )


def legs_of(problem: Problem, stops: tuple[int, ...]) -> list[range]:
    """The sessions of each leg."""
    return [range(a, b) for a, b in pairwise((0, *stops, problem.sessions))]


def poured(problem: Problem, k: int, level: float, mark: float) -> float:
    """Level after a fill to a mark before session `k`, if it is allowed, as far as the gap's time goes."""
    if not problem.may_fill[k] or level >= mark:
        return level
    return min(mark, level + problem.can_pour[k])


def walk(
    problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...], use: Sequence[float]
) -> list[tuple[float, float, float]]:
    """Levels before a fill, after it (and after priming) and at the end of each session, of one day's uses."""
    found, level, left = [], problem.in_tank, list(marks)
    for k in range(problem.sessions):
        before = level
        if k == 0 or k in stops:
            level = poured(problem, k, level, left.pop(0))
        level -= problem.prime if k == 0 else 0.0
        found.append((before, level, level - use[k]))
        level -= use[k]
    return found


def holds(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> bool:
    """Whether marks meet the chance, and each leg starts with what it is expected to need, rounding forgiven."""
    fine = sum(
        all(
            end >= floor - 1e-9
            for (_, _, end), floor in zip(walk(problem, stops, marks, list(use)), problem.floor, strict=True)
        )
        for use in problem.drain.T
    )
    starts = [start for _, start, _ in walk(problem, stops, marks, list(problem.expected))]
    starts[0] += problem.prime
    needs = [(leg[0], problem.leg_expected_need(leg[0], leg[-1])) for leg in legs_of(problem, stops)]
    return fine >= problem.needed and all(starts[first] >= need - 1e-9 for first, need in needs)


def possible_sets(problem: Problem) -> list[tuple[int, ...]]:
    """Every set of refills that holds with each fill to the limit, the smallest first."""
    allowed = [k for k in range(1, problem.sessions) if problem.may_fill[k]]
    every = [stops for count in range(len(allowed) + 1) for stops in combinations(allowed, count)]
    return [stops for stops in every if holds(problem, stops, (problem.limit,) * (len(stops) + 1))]

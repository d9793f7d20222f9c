"""Why no plan exists, and what would make one possible.

With a refill in every allowed gap and every fill to the limit the level is as high as can be in every draw, so
what fails then fails always.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from planner.errors import Mend, NoPlan
from planner.planning.gaps import Gap
from planner.planning.legs import Levels, full_chance, full_levels, holds_when_full, poured_level
from planner.planning.problem import Problem

LARGEST_SCALE = 16.0
SCALE_HALVINGS = 9


def all_stops(problem: Problem) -> tuple[int, ...]:
    """Every session (from 0) but the first that a refill may come before."""
    return tuple(k for k in range(1, problem.sessions) if problem.may_fill[k])


def best_chance(problem: Problem) -> float:
    """The highest chance [1] that the level stays above every floor, refilled wherever allowed."""
    return full_chance(problem, all_stops(problem))


def is_feasible(problem: Problem) -> bool:
    """Whether any plan exists."""
    return holds_when_full(problem, all_stops(problem))


def holds_session_by_session(problem: Problem) -> bool:
    """Whether a plan would exist were a whole refill possible before every session."""
    primed = np.zeros(problem.sessions)
    primed[0] = problem.prime
    alive = np.ones(problem.draws, dtype=bool)
    for k in range(problem.sessions):
        alive &= problem.drain[k] + (problem.floor[k] + primed[k]) <= problem.limit
        if problem.leg_expected_need(k, k) > problem.limit:
            return False
    return int(np.count_nonzero(alive)) >= problem.needed


def breaking_session(problem: Problem, best: Levels | None = None) -> int:
    """The first session (from 0) at which the best case fails; `best` holds its levels where they are known."""
    end = (best or full_levels(problem, all_stops(problem))).end
    alive = np.logical_and.accumulate(end >= problem.floor[:, None] - 1e-15, axis=0).sum(axis=1)
    broken = alive < problem.needed
    starts = (*problem.starts(all_stops(problem)), problem.sessions)
    level = problem.in_tank
    for first, following in itertools.pairwise(starts):
        level = float(poured_level(problem, first, level, problem.limit))
        for last in range(first, following):
            if broken[last] or problem.leg_expected_need(first, last) > level + 1e-15:
                return last
        level -= problem.expected[first:following].sum() + (problem.prime if first == 0 else 0.0)
    return problem.sessions - 1


def _gap_mends(problem: Problem, names: Sequence[str], gaps: Sequence[Gap]) -> list[Mend]:
    found = []
    for k in range(problem.sessions):
        if problem.may_fill[k]:
            continue
        allowed, pour = problem.may_fill.copy(), problem.can_pour.copy()
        allowed[k], pour[k] = True, np.inf
        if is_feasible(replace(problem, may_fill=allowed, can_pour=pour)):
            text = f"allow one refill before {names[k]} (now refused: {gaps[k].reason})"
            found.append(Mend("gap", text, float(gaps[k].before_session)))
    return found


def _confidence_mend(problem: Problem) -> list[Mend]:
    chance = best_chance(problem)
    rounded = np.floor(chance * 1000) / 1000
    if not (0.5 <= rounded < problem.confidence and is_feasible(replace(problem, confidence=float(rounded)))):
        return []
    text = f"accept a confidence of {rounded:.3f} instead of {problem.confidence:g}: the highest this tank reaches"
    return [Mend("confidence", text, float(rounded))]


def _extra_mend(problem: Problem) -> list[Mend]:
    if problem.extra > 0 and is_feasible(replace(problem, extra=0.0)):
        return [Mend("extra", "keep no extra run on top of each leg (reserve.extra = 0)", 0.0)]
    return []


def smallest_scale(problem_at: Callable[[float], Problem], top: float = LARGEST_SCALE) -> float | None:
    """Smallest factor [1] on the tank's volume with which a plan exists, to one part in 180; None if beyond `top`."""
    if not is_feasible(problem_at(top)):
        return None
    low, high = 1.0, top
    for _ in range(SCALE_HALVINGS):
        middle = (low * high) ** 0.5
        low, high = (low, middle) if is_feasible(problem_at(middle)) else (middle, high)
    return high


def _tank_mend(capacity: float, problem_at: Callable[[float], Problem]) -> list[Mend]:
    scale = smallest_scale(problem_at)
    if scale is None:
        return []
    litres = np.ceil(capacity * scale * 1e4) / 10
    text = f"fit a tank of {litres:.1f} L of the same shape instead of {capacity * 1e3:.1f} L"
    return [Mend("tank", text, float(litres) / 1e3)]


def no_plan(
    problem: Problem,
    names: Sequence[str],
    gaps: Sequence[Gap],
    *,
    capacity: float,
    problem_at: Callable[[float], Problem],
) -> NoPlan:
    """The exception that says which session breaks the day and what would mend it.

    problem_at gives the same day with the tank's volume multiplied by a factor; capacity [m3] is today's.
    """
    k = breaking_session(problem)
    mends = [
        *_tank_mend(capacity, problem_at),
        *_confidence_mend(problem),
        *_gap_mends(problem, names, gaps),
        *_extra_mend(problem),
    ]
    if not mends:
        mends = [Mend("none", "no single change does it: shorten the sessions, or change tank and gaps together")]
    number = gaps[k].before_session
    message = (
        f"no plan exists: session {number} ({names[k]}) cannot be driven with {problem.confidence:.1%} confidence, "
        f"even with the tank filled to {problem.limit * 1e3:.2f} L at every allowed stop"
    )
    return NoPlan(message, session=number, mends=mends)

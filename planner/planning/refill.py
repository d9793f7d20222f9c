"""The day's refills: the least number of stops, then the priority, then the lowest marks that meet the chance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.event import PRIORITIES, Priority
from planner.planning.legs import Levels, least_sets, poured_level
from planner.planning.marks import MarkFinder
from planner.planning.problem import Problem

Array = np.ndarray

CALM_STEPS = 40
"""How many marks between the lowest and the limit are tried for the calmest tank."""

CALM_SETS = 12
"""For how many sets, calmest first at their lowest marks, higher marks are tried."""


MASS_TOLD_APART = 0.1
"""Mean masses [kg] nearer than this count as equal, and the longer gap decides."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A refill set with its marks: stops hold sessions (from 0), marks [m3] one for each leg's start.

    carried [kg] is the fluid's mean mass over the driving; washing [1] the share of sessions' time in the band.
    """

    priority: Priority
    stops: tuple[int, ...]
    marks: tuple[float, ...]
    carried: float
    washing: float


def mean_levels(problem: Problem, stops: tuple[int, ...], marks: Sequence[float | Array]) -> tuple[Array, Array]:
    """Expected levels [m3] at the start and the end of each session, (S,) each; (S, m) where a mark has m options."""
    mark_at = dict(zip(problem.starts(stops), marks, strict=True))
    level: Array | float = problem.in_tank
    start, end = [], []
    for k in range(problem.sessions):
        if k in mark_at:
            level = poured_level(problem, k, level, mark_at[k])
        start.append(level - (problem.prime if k == 0 else 0.0))
        level = start[-1] - problem.expected[k]
        end.append(level)
    return np.array(np.broadcast_arrays(*start)), np.array(np.broadcast_arrays(*end))


def washing_share(start: Array, end: Array, band: tuple[float, float]) -> Array:
    """Share [1] of the sessions' time that a level falling straight from start to end spends in the band.

    start, end: (S,) or (S, m) for m options; the answer has their shape without S.
    """
    low, high = band
    end = np.minimum(end, start - 1e-12)  # a level that stays is in the band all the time, or never
    inside = np.minimum(start, high) - np.maximum(end, low)
    return np.clip(inside / (start - end), 0.0, 1.0).mean(axis=0)


def choice_of(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> Choice:
    """A set and its marks with what they carry and how much they wash."""
    start, end = mean_levels(problem, stops, marks)
    carried = float((start + end).mean() / 2) * problem.density
    return Choice(problem.priority, stops, marks, carried, float(washing_share(start, end, problem.washing)))


def calmest_marks(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> tuple[float, ...]:
    """Marks at or above the lowest ones that keep the level out of the washing band longest, leg by leg."""
    chosen = list(marks)
    for leg, lowest in enumerate(marks):
        grid = np.linspace(0.0, problem.limit, CALM_STEPS + 1)
        options = np.concatenate(([lowest], grid[grid > lowest]))
        start, end = mean_levels(problem, stops, (*chosen[:leg], options, *chosen[leg + 1 :]))
        scores = np.round(washing_share(start, end, problem.washing), 6)
        chosen[leg] = float(options[int(np.argmin(scores))])
    return tuple(chosen)


def _order(problem: Problem, choice: Choice, priority: Priority) -> tuple[object, ...]:
    """What is least for the best choice under a priority; the session numbers settle what is equal."""
    longest_short_gap = tuple(sorted(-float(problem.minutes[stop]) for stop in choice.stops))[::-1]
    if priority == "calmest tank":
        return (round(choice.washing, 6), round(choice.carried, 9), choice.stops)
    return (longest_short_gap, round(choice.carried, 9), choice.stops)


@dataclass(frozen=True, slots=True)
class RefillPlan:
    """The choice for the priority asked, one for each priority, and whether the search was complete."""

    best: Choice
    alternatives: tuple[Choice, ...]
    complete: bool
    levels: Levels


def plan_refills(problem: Problem, priorities: Sequence[Priority] = PRIORITIES) -> RefillPlan | None:
    """The best plan of a problem, or None where none exists; alternatives for the priorities and the problem's own."""
    sets, complete = least_sets(problem)
    if not sets:
        return None
    finder = MarkFinder(problem)
    lowest = [choice_of(problem, stops, finder.marks(stops)) for stops in sets]
    asked = [one for one in PRIORITIES if one in priorities or one == problem.priority]
    alternatives = tuple(replace(_best(problem, priority, lowest), priority=priority) for priority in asked)
    best = alternatives[asked.index(problem.priority)]
    return RefillPlan(best, alternatives, complete, Levels(problem, best.stops, best.marks))


def _best(problem: Problem, priority: Priority, lowest: Sequence[Choice]) -> Choice:
    """The best choice for a priority, from each possible set at its lowest marks."""
    if priority == "lightest car":
        least = min(choice.carried for choice in lowest)
        lowest = [choice for choice in lowest if choice.carried <= least + MASS_TOLD_APART]
    if priority != "calmest tank":
        return min(lowest, key=lambda choice: _order(problem, choice, priority))
    calmest_first = sorted(lowest, key=lambda choice: _order(problem, choice, priority))[:CALM_SETS]
    calm = [choice_of(problem, c.stops, calmest_marks(problem, c.stops, c.marks)) for c in calmest_first]
    return min(calm, key=lambda choice: _order(problem, choice, priority))

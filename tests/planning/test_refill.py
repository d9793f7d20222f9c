"""The refill plan: least stops against enumeration, the stated chance against another simulation, monotonicity."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.legs import Levels, expected_holds, full_levels, least_sets
from planner.planning.marks import MarkFinder
from planner.planning.mends import best_chance, breaking_session, is_feasible
from planner.planning.problem import Problem
from planner.planning.refill import MASS_TOLD_APART, choice_of, mean_levels, plan_refills, washing_share
from planner.use.spread import CarFactor, use_draws

LITRE = 1e-3


@st.composite
def problems(draw: st.DrawFn, most: int = 7) -> Problem:
    """Random days of up to `most` sessions, with closed gaps, short gaps, floors and any start."""
    count = draw(st.integers(1, most))
    vector = st.lists(st.floats(0.2, 1.6), min_size=count, max_size=count)
    mean = np.array(draw(vector)) * LITRE
    floor = np.array(draw(vector)) * 0.4 * LITRE
    may_fill = np.array([True, *draw(st.lists(st.booleans(), min_size=count - 1, max_size=count - 1))])
    short = draw(st.booleans())
    pour = np.array(draw(vector)) * (2.0 if short else 100.0) * LITRE
    pour[0] = np.inf
    return Problem(
        drain=use_draws(mean, np.full(count, 0.08), CarFactor(1.0, 0.1), 400, draw(st.integers(0, 5))),
        expected=mean,
        unit=mean / draw(st.integers(1, 6)),
        floor=floor,
        may_fill=may_fill,
        can_pour=np.where(may_fill, pour, 0.0),
        minutes=np.array(draw(st.lists(st.floats(10, 90), min_size=count, max_size=count))),
        limit=draw(st.floats(1.0, 6.0)) * LITRE,
        in_tank=draw(st.floats(0.0, 0.5)) * LITRE,
        prime=draw(st.sampled_from([0.0, 0.1])) * LITRE,
        confidence=draw(st.sampled_from([0.9, 0.97, 0.99])),
        extra=draw(st.sampled_from([0.0, 1.0])),
        washing=(0.0, 0.0),
        density=927.0,
    )


def possible(problem: Problem, stops: tuple[int, ...]) -> bool:
    """Whether a refill set holds with every fill to the limit, one draw at a time, without the product's code."""
    holds = 0
    for draw in range(problem.draws):
        level, fine = problem.in_tank, True
        for k in range(problem.sessions):
            if k == 0 or k in stops:
                level = max(level, min(problem.limit, level + problem.can_pour[k]))
            level -= problem.drain[k, draw] + (problem.prime if k == 0 else 0.0)
            fine &= bool(level >= problem.floor[k] - 1e-15)
        holds += fine
    return holds >= problem.needed and expected_holds(problem, stops)


def by_enumeration(problem: Problem) -> list[tuple[int, ...]]:
    """Every possible set of the least size, by trying all."""
    allowed = [k for k in range(1, problem.sessions) if problem.may_fill[k]]
    for count in range(len(allowed) + 1):
        found = [stops for stops in combinations(allowed, count) if possible(problem, stops)]
        if found:
            return found
    return []


@given(problems())
def test_the_least_sets_are_those_of_enumeration(problem: Problem) -> None:
    found, complete = least_sets(problem)
    assert complete
    assert sorted(found) == sorted(by_enumeration(problem))


def test_the_least_sets_of_a_day_of_nine_are_those_of_enumeration() -> None:
    mean = np.array([0.9, 0.5, 0.7, 1.1, 0.6, 0.8, 0.4, 1.0, 0.7]) * LITRE
    problem = Problem(
        drain=use_draws(mean, np.full(9, 0.08), CarFactor(), 300, 1),
        expected=mean,
        unit=mean / 5,
        floor=np.full(9, 0.4 * LITRE),
        may_fill=np.ones(9, dtype=bool),
        can_pour=np.full(9, np.inf),
        minutes=np.full(9, 60.0),
        limit=3.2 * LITRE,
        in_tank=0.0,
        prime=0.0,
        confidence=0.98,
        extra=1.0,
        washing=(0.0, 0.0),
        density=927.0,
    )
    assert sorted(least_sets(problem)[0]) == sorted(by_enumeration(problem))


@given(problems())
def test_every_plan_meets_its_chance_and_its_expected_need(problem: Problem) -> None:
    plan = plan_refills(problem)
    if plan is None:
        assert not is_feasible(problem)
        return
    for choice in plan.alternatives:
        assert len(choice.stops) == len(plan.best.stops)
        end = Levels(problem, choice.stops, choice.marks).end
        assert np.count_nonzero(np.all(end >= problem.floor[:, None] - 1e-12, axis=0)) >= problem.needed
        starts, _ = mean_levels(problem, choice.stops, choice.marks)
        legs = (*problem.starts(choice.stops), problem.sessions)
        for first, following in pairwise(legs):
            had = starts[first] + (problem.prime if first == 0 else 0.0)
            assert had >= problem.leg_expected_need(first, following - 1) - 1e-9
        assert all(mark <= problem.limit + 1e-15 for mark in choice.marks)


@given(problems(), st.floats(0.001, 0.02))
def test_no_mark_of_a_single_leg_can_be_lower(problem: Problem, less: float) -> None:
    alone = replace(problem, may_fill=np.arange(problem.sessions) == 0, limit=1.0)
    plan = plan_refills(alone)
    assert plan is not None
    lower = plan.best.marks[0] * (1 - less)
    end = Levels(alone, (), (lower,)).end
    holds = np.count_nonzero(np.all(end >= alone.floor[:, None], axis=0)) >= alone.needed
    assert not (holds and lower >= alone.leg_expected_need(0, alone.sessions - 1))


def test_the_stated_chance_is_that_of_an_independent_simulation() -> None:
    mean = np.array([0.9, 0.8, 1.0, 0.7, 0.9]) * LITRE
    common: dict[str, Any] = {
        "expected": mean,
        "unit": mean / 5,
        "floor": np.full(5, 0.5 * LITRE),
        "may_fill": np.ones(5, bool),
    }
    common |= {"can_pour": np.full(5, np.inf), "minutes": np.full(5, 60.0), "limit": 3.6 * LITRE, "in_tank": 0.0}
    common |= {"prime": 0.0, "confidence": 0.95, "extra": 0.0, "washing": (0.0, 0.0), "density": 927.0}
    plan = plan_refills(Problem(drain=use_draws(mean, np.full(5, 0.08), CarFactor(), 40_000, 5), **common))
    assert plan is not None
    generator = np.random.Generator(np.random.MT19937(99))  # another generator, and numpy's own lognormal
    sd_car, sd_run = np.sqrt(np.log1p(0.1**2)), np.sqrt(np.log1p(0.08**2))
    car = generator.lognormal(-(sd_car**2) / 2, sd_car, 400_000)
    marks = dict(zip((0, *plan.best.stops), plan.best.marks, strict=True))
    level, fine = np.zeros(400_000), np.ones(400_000, dtype=bool)
    for k in range(5):
        level = np.maximum(level, marks.get(k, 0.0))
        level = level - mean[k] * car * generator.lognormal(-(sd_run**2) / 2, sd_run, 400_000)
        fine &= level >= 0.5 * LITRE
    assert fine.mean() == pytest.approx(0.95, abs=0.004)


@given(problems(most=6), st.sampled_from([0.5, 0.8, 0.95]))
def test_more_confidence_never_means_a_lower_mark_with_the_same_stops(problem: Problem, lower: float) -> None:
    careful = plan_refills(replace(problem, confidence=0.97))
    bold = plan_refills(replace(problem, confidence=lower))
    if careful is None:
        return
    assert bold is not None
    assert len(bold.best.stops) <= len(careful.best.stops)
    same = MarkFinder(replace(problem, confidence=lower)).marks(careful.best.stops)
    assert all(high >= low - 1e-12 for high, low in zip(careful.best.marks, same, strict=True))


@given(problems(), st.floats(1.0, 2.0))
def test_a_larger_tank_never_means_more_stops(problem: Problem, factor: float) -> None:
    small, large = plan_refills(problem), plan_refills(replace(problem, limit=problem.limit * factor))
    if small is not None:
        assert large is not None
        assert len(large.best.stops) <= len(small.best.stops)


@given(problems())
def test_no_plan_names_the_first_session_that_fails_and_its_best_chance(problem: Problem) -> None:
    if is_feasible(problem):
        assert plan_refills(problem) is not None
        return
    k = breaking_session(problem)
    before = replace(
        problem,
        **{
            name: getattr(problem, name)[:k]
            for name in ("drain", "expected", "unit", "floor", "may_fill", "can_pour", "minutes")
        },
    )
    if k:
        assert is_feasible(before)
    if 0.1 < best_chance(problem) < problem.confidence:
        lower = replace(problem, confidence=max(best_chance(problem) - 1e-9, 0.01), extra=0.0)
        assert round(best_chance(lower) * lower.draws) >= lower.needed


@given(problems())
def test_what_is_poured_is_what_leaves_and_what_stays(problem: Problem) -> None:
    plan = plan_refills(problem)
    if plan is None:
        return
    levels = plan.levels
    added = np.array([levels.added(problem, session) for session in range(problem.sessions)])
    poured = added.sum(axis=0)
    out = problem.drain.sum(axis=0) + problem.prime + levels.end[-1]
    np.testing.assert_allclose(problem.in_tank + poured, out, atol=1e-15)
    assert np.all(added >= -1e-15)
    assert np.all(added <= problem.can_pour[:, None] + 1e-15)


@given(problems())
def test_each_priority_is_best_at_what_it_is_for(problem: Problem) -> None:
    washing = replace(problem, washing=(0.3 * problem.limit, 0.7 * problem.limit))
    plan = plan_refills(washing)
    if plan is None:
        return
    stops, light, calm = plan.alternatives
    assert light.carried <= min(stops.carried, calm.carried) + MASS_TOLD_APART
    assert calm.washing <= min(stops.washing, light.washing) + 1e-6
    shortest = [min((float(problem.minutes[s]) for s in c.stops), default=0.0) for c in (stops, light, calm)]
    assert shortest[0] >= max(shortest)


@given(problems())
def test_the_lightest_set_is_that_of_all_possible_sets(problem: Problem) -> None:
    plan = plan_refills(problem)
    if plan is None:
        return
    finder = MarkFinder(problem)
    all_carried = [choice_of(problem, stops, finder.marks(stops)).carried for stops in by_enumeration(problem)]
    assert plan.alternatives[1].carried == pytest.approx(min(all_carried), abs=MASS_TOLD_APART)


def test_washing_is_the_share_of_time_in_the_band() -> None:
    start, end = np.array([10.0, 4.0, 1.0]), np.array([6.0, 2.0, 0.5])
    assert washing_share(start, end, (3.0, 7.0)) == pytest.approx((0.25 + 0.5 + 0.0) / 3)
    assert washing_share(start, end, (0.0, 0.0)) == 0.0


def test_an_unfilled_tank_starts_with_what_is_in_it() -> None:
    mean = np.array([0.5]) * LITRE
    problem = Problem(
        drain=use_draws(mean, np.full(1, 0.08), CarFactor(), 400, 1),
        expected=mean,
        unit=mean,
        floor=np.array([0.1 * LITRE]),
        may_fill=np.array([False]),
        can_pour=np.array([0.0]),
        minutes=np.array([np.inf]),
        limit=3 * LITRE,
        in_tank=0.4 * LITRE,
        prime=0.0,
        confidence=0.99,
        extra=0.0,
        washing=(0.0, 0.0),
        density=927.0,
    )
    assert plan_refills(problem) is None
    assert plan_refills(replace(problem, in_tank=2 * LITRE)) is not None
    assert np.all(full_levels(problem, ()).start == 0.4 * LITRE)

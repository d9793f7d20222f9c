"""The lowest marks of a set that meet the day's chance, on days in whole numbers, one quantile after another."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from planner.planning.marks import MarkFinder
from planner.planning.problem import Problem
from tests.refill_days import day, holds, legs_of, possible_sets, whole_days

Stops = tuple[int, ...]
Marks = tuple[float, ...]


def _demands(problem: Problem, stops: Stops) -> list[list[float]]:
    """Each leg's demand in each draw."""
    return [[float(x) for x in problem.leg_demand(leg[0], leg[-1])] for leg in legs_of(problem, stops)]


def _needs(problem: Problem, stops: Stops) -> list[float]:
    return [problem.leg_expected_need(leg[0], leg[-1]) for leg in legs_of(problem, stops)]


def _at_one_quantile(problem: Problem, stops: Stops) -> Marks:
    """The lowest quantile, the same for every leg, up to which enough draws have all their demands, none too large."""
    demands, caps = _demands(problem, stops), [problem.cap(leg[0]) for leg in legs_of(problem, stops)]
    for place in range(problem.needed - 1, problem.draws):
        marks = [min(sorted(demand)[place], cap) for demand, cap in zip(demands, caps, strict=True)]
        fine = [
            all(demand[n] <= mark for demand, mark in zip(demands, marks, strict=True)) for n in range(problem.draws)
        ]
        if sum(fine) >= problem.needed:
            return tuple(min(max(m, n), c) for m, n, c in zip(marks, _needs(problem, stops), caps, strict=True))
    raise AssertionError("no quantile is enough")


def _carried_back(problem: Problem, stops: Stops, place: int) -> Marks:
    """Marks at one quantile, each leg with what the gap after it is too short to pour."""
    marks: list[float] = []
    owed = 0.0
    for leg, demand, need in reversed(
        list(zip(legs_of(problem, stops), _demands(problem, stops), _needs(problem, stops), strict=True))
    ):
        prime = problem.prime if leg[0] == 0 else 0.0
        through = [sum(problem.drain[k, n] for k in leg) + prime for n in range(problem.draws)]
        wanted = sorted(max(d, t + owed) for d, t in zip(demand, through, strict=True))[place]
        expected = max(need, sum(problem.expected[k] for k in leg) + prime + owed)
        marks.insert(0, float(min(max(wanted, expected), problem.limit)))
        owed = max(0.0, marks[0] - problem.can_pour[leg[0]])
    return tuple(marks)


def _lowest(problem: Problem, stops: Stops) -> Marks:
    marks = _at_one_quantile(problem, stops)
    if holds(problem, stops, marks):
        return marks
    found = (_carried_back(problem, stops, place) for place in range(problem.draws))
    return next((marks for marks in found if holds(problem, stops, marks)), (problem.limit,) * len(marks))


@st.composite
def untied_days(draw: st.DrawFn) -> Problem:
    """Days in 1024ths in which no two draws demand the same of a leg."""
    problem = draw(whole_days())
    parts = np.random.default_rng(draw(st.integers(0, 10**6))).integers(0, 1024, problem.drain.shape) / 1024
    problem = replace(problem, drain=problem.drain + parts)
    demands = [problem.leg_demand(a, b) for a in range(problem.sessions) for b in range(a, problem.sessions)]
    assume(all(np.unique(demand).size == problem.draws for demand in demands))
    return problem


@given(untied_days())
def test_marks_are_those_of_the_lowest_quantile_that_meets_the_chance_in_every_possible_set(problem: Problem) -> None:
    finder = MarkFinder(problem)
    for stops in possible_sets(problem):
        marks = finder.marks(stops)
        assert marks == _lowest(problem, stops)
        assert holds(problem, stops, marks)


@given(whole_days(), st.sampled_from([0.5, 2.0, 3.0]))
def test_marks_are_rounded_up_to_the_step(problem: Problem, step: float) -> None:
    for stops in possible_sets(problem):
        exact = MarkFinder(problem).marks(stops)
        rounded = MarkFinder(replace(problem, mark_step=step)).marks(stops)
        assert rounded == tuple(min(float(np.ceil(mark / step)) * step, problem.limit) for mark in exact)


def test_an_earlier_leg_carries_what_a_short_gap_cannot_pour_later() -> None:
    # Two legs take 4 and 9; before the second 6 can be poured, so 3 must be left of the first.
    problem = day([4, 9], can_pour=[np.inf, 6.0])
    assert MarkFinder(problem).marks((1,)) == (7.0, 9.0)
    assert MarkFinder(replace(problem, can_pour=np.array([np.inf, 9.0]))).marks((1,)) == (4.0, 9.0)


def test_a_short_gap_counts_what_is_expected_where_that_is_more_than_any_draw_takes() -> None:
    problem = day([1, 1], expected=[4, 9], can_pour=[np.inf, 6.0])
    assert MarkFinder(problem).marks((1,)) == (7.0, 9.0)
    assert MarkFinder(replace(problem, prime=1.0)).marks((1,)) == (8.0, 9.0)


@pytest.mark.parametrize(("confidence", "marks"), [(0.8, (4.0, 7.0)), (0.6, (3.0, 6.0)), (1.0, (5.0, 9.0))])
def test_the_draws_that_fail_are_the_same_for_every_leg_where_demands_rise_together(
    confidence: float, marks: Marks
) -> None:
    drain = np.array([[1.0, 2.0, 3.0, 4.0, 5.0], [4.0, 5.0, 6.0, 7.0, 9.0]])
    assert MarkFinder(day(drain, expected=[0, 0], confidence=confidence)).marks((1,)) == marks


def test_the_draws_that_fail_add_up_where_demands_rise_apart() -> None:
    # Each leg's largest demand lies in another draw: with four of five to hold, one leg's fourth would fail two.
    drain = np.array([[1.0, 2.0, 3.0, 4.0, 5.0], [9.0, 5.0, 6.0, 7.0, 4.0]])
    assert MarkFinder(day(drain, expected=[0, 0], confidence=0.8)).marks((1,)) == (5.0, 9.0)
    assert MarkFinder(day(drain, expected=[0, 0], confidence=0.6)).marks((1,)) == (4.0, 7.0)
    with_a_sure_leg = np.vstack((drain, np.full(5, 3.0)))  # whatever the quantile, that leg demands the same
    assert MarkFinder(day(with_a_sure_leg, expected=[0, 0, 0], confidence=0.8)).marks((1, 2)) == (5.0, 9.0, 3.0)


@given(whole_days())
def test_marks_hold_also_where_draws_demand_the_same(problem: Problem) -> None:
    for stops in possible_sets(problem):
        assert holds(problem, stops, MarkFinder(problem).marks(stops))


@pytest.mark.parametrize("seed", range(2))
def test_marks_of_many_draws_in_any_order_are_those_of_the_same_quantiles(seed: int) -> None:
    generator = np.random.default_rng(seed)
    problem = day(generator.lognormal(0.9, 0.2, (4, 80)), generator.uniform(0, 1, 4), limit=20.0, prime=0.5)
    for stops in ((), (1,), (2,), (1, 3)):
        assert MarkFinder(problem).marks(stops) == pytest.approx(_at_one_quantile(problem, stops))
    short = replace(problem, can_pour=np.array([np.inf, 2.0, 3.0, 1.5]))
    for stops in ((2,), (1, 3)):
        assert MarkFinder(short).marks(stops) == pytest.approx(_lowest(short, stops))
        assert MarkFinder(short).marks(stops) > MarkFinder(problem).marks(stops)


@pytest.mark.parametrize("confidence", [0.3, 0.5, 0.8, 0.97])
def test_a_quantile_of_thousands_of_draws_is_that_of_sorted_ones(confidence: float) -> None:
    generator = np.random.default_rng(3)
    for draws in (999, 1500, 3001):
        problem = day(generator.uniform(1, 9, (2, draws)), expected=[0, 0], limit=20.0, confidence=confidence)
        one = replace(problem, drain=problem.drain[:1], expected=np.zeros(1), unit=np.zeros(1), floor=np.zeros(1))
        assert MarkFinder(one).marks(()) == (np.sort(one.drain[0])[one.needed - 1],)
        ranked = np.sort(problem.drain, axis=1)
        marks = MarkFinder(problem).marks((1,))
        places = {int(np.searchsorted(row, mark)) for row, mark in zip(ranked, marks, strict=True)}
        (place,) = places

        def alive(at: int, problem: Problem = problem, ranked: np.ndarray = ranked) -> int:
            return int(np.count_nonzero((problem.drain <= ranked[:, at, None]).all(axis=0)))

        assert alive(place) >= problem.needed > alive(place - 1)

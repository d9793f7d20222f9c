"""The refill problem: what a leg demands, draw by draw and as expected, what a gap allows, how marks are rounded."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.problem import Problem
from tests.refill_days import day

WHOLE = st.integers(0, 9).map(float)


@st.composite
def days(draw: st.DrawFn) -> Problem:
    """Days of one to five sessions with three draws, everything in whole numbers."""
    count = draw(st.integers(1, 5))
    row = st.lists(WHOLE, min_size=count, max_size=count)
    return day(
        np.array(draw(st.lists(row, min_size=3, max_size=3))).T,
        draw(row),
        expected=draw(row),
        unit=draw(row),
        prime=draw(WHOLE),
        extra=draw(st.integers(0, 3)),
    )


@given(days(), st.data())
def test_a_leg_demands_the_most_that_any_moment_of_it_needs_in_each_draw(problem: Problem, data: st.DataObject) -> None:
    first = data.draw(st.integers(0, problem.sessions - 1))
    last = data.draw(st.integers(first, problem.sessions - 1))
    demand = problem.leg_demand(first, last)
    for draw in range(problem.draws):
        sums = [sum(problem.drain[first : k + 1, draw]) + problem.floor[k] for k in range(first, last + 1)]
        assert demand[draw] == max(sums) + (problem.prime if first == 0 else 0.0)


@given(days(), st.data())
def test_a_leg_is_expected_to_need_its_use_its_largest_extra_runs_so_far_and_its_floor(
    problem: Problem, data: st.DataObject
) -> None:
    first = data.draw(st.integers(0, problem.sessions - 1))
    last = data.draw(st.integers(first, problem.sessions - 1))
    needs = [
        sum(problem.expected[first : k + 1]) + problem.extra * max(problem.unit[first : k + 1]) + problem.floor[k]
        for k in range(first, last + 1)
    ]
    assert problem.leg_expected_need(first, last) == max(needs) + (problem.prime if first == 0 else 0.0)


def test_a_leg_begins_with_a_full_tank_where_a_fill_is_allowed_and_with_what_is_in_it_elsewhere() -> None:
    problem = day([1, 1], may_fill=[False, True], in_tank=4.0)
    assert (problem.cap(0), problem.cap(1)) == (4.0, 10.0)


def test_a_gap_binds_only_where_a_fill_begins_a_leg_and_less_than_a_tank_can_be_poured() -> None:
    problem = day([1] * 4, can_pour=[np.inf, 9.9, 10.0, 3.0], may_fill=[True, True, True, False])
    assert problem.pour_binds((1,))
    assert problem.pour_binds((1, 2))
    assert not problem.pour_binds(())
    assert not problem.pour_binds((2,))
    assert not problem.pour_binds((2, 3))
    assert replace(problem, can_pour=np.array([9.0, 10.0, 10.0, 10.0])).pour_binds(())


def test_the_first_leg_begins_with_the_first_session() -> None:
    assert day([1] * 6).starts((2, 5)) == (0, 2, 5)


@pytest.mark.parametrize(
    ("confidence", "draws", "needed"),
    [(0.9, 10, 9), (0.9, 11, 10), (0.91, 10, 10), (0.99, 40_000, 39_600), (1.0, 7, 7), (0.01, 7, 1)],
)
def test_the_draws_needed_are_the_confidence_rounded_up_to_a_whole_draw(
    confidence: float, draws: int, needed: int
) -> None:
    problem = day(np.ones((1, draws)), confidence=confidence)
    assert (problem.draws, problem.needed) == (draws, needed)


@pytest.mark.parametrize(
    ("step", "mark", "poured"),
    [
        (0.0, 3.217, 3.217),
        (0.0, 12.0, 10.0),
        (0.25, 3.01, 3.25),
        (0.25, 3.25, 3.25),
        (0.25, 3.25 + 1e-9, 3.25),  # a mark that is a step but for rounding is that step
        (0.25, 3.25 + 1e-4, 3.5),
        (0.25, 0.0, 0.0),
        (3.0, 9.5, 10.0),
        (3.0, 12.0, 10.0),
        (1.5, 4.0, 4.5),
    ],
)
def test_a_mark_is_rounded_up_to_its_step_but_never_above_the_limit(step: float, mark: float, poured: float) -> None:
    assert day([1], mark_step=step).pourable(mark) == poured

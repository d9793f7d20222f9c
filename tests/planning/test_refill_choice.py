"""Which set of refills and which marks a priority takes, on days in round numbers; levels, mass and washing of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.planning.legs import Levels
from planner.planning.problem import Problem
from planner.planning.refill import (
    CALM_STEPS,
    MASS_TOLD_APART,
    Choice,
    calmest_marks,
    choice_of,
    mean_levels,
    plan_refills,
    washing_share,
)
from tests.refill_days import day

# One stop of two: before session 2, with marks 4 and 7, or before session 3, with marks 8 and 3.
TWO_WAYS = day([4, 4, 3])


def _levels(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> list[tuple[float, float]]:
    """Expected levels at each session's start and end, one step after another."""
    found, level, left = [], problem.in_tank, list(marks)
    for k, use in enumerate(problem.expected):
        if k == 0 or k in stops:
            mark = left.pop(0)
            if problem.may_fill[k] and mark > level:
                level += min(mark - level, problem.can_pour[k])
        level -= problem.prime if k == 0 else 0.0
        found.append((level, level - use))
        level -= use
    return found


def _washing(levels: list[tuple[float, float]], band: tuple[float, float], points: int = 2000) -> float:
    """Share of moments, evenly spread over each session, at which the level is in the band."""
    share = (np.arange(points) + 0.5) / points
    moments = np.concatenate([high + (low - high) * share for high, low in levels])
    return float(np.mean((moments > band[0]) & (moments < band[1])))


@st.composite
def filled_days(draw: st.DrawFn) -> tuple[Problem, tuple[int, ...], tuple[float, ...]]:
    """A day with stops and marks in tenths, some fills refused, some gaps short; whether it holds is no matter."""
    count = draw(st.integers(1, 5))
    tenths = st.integers(0, 60).map(lambda n: n / 10)
    row = st.lists(tenths, min_size=count, max_size=count)
    problem = day(
        draw(row),
        may_fill=draw(st.lists(st.booleans(), min_size=count, max_size=count)),
        can_pour=[draw(st.sampled_from([np.inf, 1.5, 4.0])) for _ in range(count)],
        in_tank=draw(tenths),
        prime=draw(st.sampled_from([0.0, 0.5])),
        washing=(2.0, draw(st.sampled_from([2.0, 5.0]))),
        density=draw(st.sampled_from([1000.0, 927.0])),
    )
    stops = tuple(sorted(draw(st.sets(st.integers(1, max(count - 1, 1)), max_size=3)) & set(range(1, count))))
    return problem, stops, tuple(draw(tenths) for _ in (0, *stops))


@given(filled_days())
def test_levels_mass_and_washing_are_those_of_a_walk_through_the_day(
    made: tuple[Problem, tuple[int, ...], tuple[float, ...]],
) -> None:
    problem, stops, marks = made
    walked = _levels(problem, stops, marks)
    start, end = mean_levels(problem, stops, marks)
    assert list(zip(start, end, strict=True)) == pytest.approx(np.array(walked))
    choice = choice_of(problem, stops, marks)
    assert (choice.priority, choice.stops, choice.marks) == (problem.priority, stops, marks)
    mass = problem.density * sum((high + low) / 2 for high, low in walked) / len(walked)
    assert choice.carried == pytest.approx(mass, abs=1e-9)
    assert choice.washing == washing_share(start, end, problem.washing)
    edges = any(high == low and high in problem.washing for high, low in walked)
    assert edges or choice.washing == pytest.approx(_washing(walked, problem.washing), abs=2e-3)


def test_a_level_that_stays_is_in_the_band_all_the_time_or_never() -> None:
    for level, share in ((0.5, 0.0), (2.0, 1.0), (4.0, 0.0)):
        assert washing_share(np.array([level]), np.array([level]), (1.0, 3.0)) == pytest.approx(share)


def _best(problem: Problem, priority: str) -> Choice:
    plan = plan_refills(problem)
    assert plan is not None
    (found,) = [choice for choice in plan.alternatives if choice.priority == priority]
    return found


@pytest.mark.parametrize(
    ("minutes", "stops"),
    [
        ([60, 10, 30], (2,)),
        ([60, 30, 10], (1,)),
        ([60, 30, 30], (1,)),  # the lighter one
    ],
)
def test_of_sets_with_least_stops_the_one_whose_shortest_gap_is_longest(
    minutes: list[float], stops: tuple[int, ...]
) -> None:
    assert _best(replace(TWO_WAYS, minutes=np.array(minutes)), "fewest stops").stops == stops


def test_of_sets_with_equal_gaps_the_lighter_one_also_where_it_is_the_later_one() -> None:
    assert _best(day([4, 4, 3]), "fewest stops").stops == (1,)
    assert _best(day([4, 3, 4]), "fewest stops").stops == (2,)


def test_of_sets_with_equal_shortest_gaps_the_one_whose_next_gap_is_longer_then_the_earlier_one() -> None:
    # Two stops: (1, 3), (2, 3) or (2, 4), all of the same mass.
    for minutes, stops in (
        ([60, 10, 20, 50, 30], (2, 3)),
        ([60, 10, 20, 30, 50], (2, 4)),
        ([60, 20, 20, 50, 30], (1, 3)),
        ([60, 20, 20, 20, 20], (1, 3)),
        ([60, 60, 30, 10, 30], (2, 4)),
    ):
        assert _best(day([4] * 5, minutes=minutes), "fewest stops").stops == stops


def test_masses_that_differ_by_less_than_a_tenth_of_a_kilogram_leave_the_lightest_car_to_the_gaps() -> None:
    light, heavy = (choice_of(TWO_WAYS, *way) for way in (((1,), (4.0, 7.0)), ((2,), (8.0, 3.0))))
    assert heavy.carried - light.carried == pytest.approx(1000 / 3)
    for part, stops in ((0.9, (2,)), (1.1, (1,))):
        problem = replace(TWO_WAYS, density=3 * MASS_TOLD_APART * part, minutes=np.array([60.0, 10.0, 30.0]))
        found = _best(problem, "lightest car")
        assert (found.stops, _best(problem, "fewest stops").stops) == (stops, (2,))


def test_a_plan_has_the_lowest_marks_of_its_set_and_the_levels_that_come_of_them() -> None:
    problem = replace(TWO_WAYS, minutes=np.array([60.0, 10.0, 30.0]))
    plan = plan_refills(problem)
    assert plan is not None
    assert plan.complete
    assert (plan.best.stops, plan.best.marks, plan.best.priority) == ((2,), (8.0, 3.0), "fewest stops")
    expected = Levels(problem, (2,), (8.0, 3.0))
    np.testing.assert_array_equal(plan.levels.start, expected.start)
    np.testing.assert_array_equal(plan.levels.end, expected.end)


def test_only_the_priorities_asked_and_the_days_own_are_planned_always_in_the_same_order() -> None:
    problem = replace(TWO_WAYS, priority="lightest car", minutes=np.array([60.0, 10.0, 30.0]))
    for asked, found in (
        (["calmest tank"], ["lightest car", "calmest tank"]),
        (["fewest stops"], ["fewest stops", "lightest car"]),
        ([], ["lightest car"]),
        (["lightest car"], ["lightest car"]),
    ):
        plan = plan_refills(problem, asked)  # type: ignore[arg-type]
        assert plan is not None
        assert [choice.priority for choice in plan.alternatives] == found
        assert (plan.best.priority, plan.best.stops) == ("lightest car", (1,))
    assert plan_refills(day([11])) is None


def _calmest(problem: Problem, stops: tuple[int, ...], marks: tuple[float, ...]) -> tuple[float, ...]:
    """Leg by leg the lowest of the marks, and of the grid's above it, at which the day washes least."""
    chosen = list(marks)
    for leg in range(len(marks)):
        options = [marks[leg]]
        options += [step * problem.limit / CALM_STEPS for step in range(CALM_STEPS + 1)]
        options = [option for option in options if option >= marks[leg]]
        trials = [[*chosen[:leg], option, *chosen[leg + 1 :]] for option in options]
        washing = [
            round(
                washing_share(*np.array(_levels(problem, stops, tuple(trial))).T, problem.washing),  # type: ignore[call-arg]
                6,
            )
            for trial in trials
        ]
        least = min(washing)
        chosen[leg] = min(option for option, one in zip(options, washing, strict=True) if one == least)
    return tuple(chosen)


@settings(max_examples=30)
@given(filled_days())
def test_the_calmest_marks_are_the_lowest_that_wash_least_leg_by_leg(
    made: tuple[Problem, tuple[int, ...], tuple[float, ...]],
) -> None:
    problem, stops, marks = made
    assert calmest_marks(problem, stops, marks) == pytest.approx(_calmest(problem, stops, marks))


@pytest.mark.parametrize("band", [(0.0, 2.0), (3.0, 5.0), (4.5, 7.0), (6.5, 9.0), (0.0, 0.0)])
@pytest.mark.parametrize("drain", [[4, 4, 3], [3, 2, 4, 3], [5, 1, 4, 2]])
def test_the_calmest_tank_is_that_of_the_sets_whose_calmest_marks_wash_least_and_then_the_lighter(
    drain: list[float], band: tuple[float, float]
) -> None:
    problem = day(drain, washing=band, minutes=[60, *range(20, 20 + 10 * len(drain) - 10, 10)])
    ways = {}
    for stop in range(1, len(drain)):
        marks = (float(sum(drain[:stop])), float(sum(drain[stop:])))
        if max(marks) <= problem.limit:
            calm = choice_of(problem, (stop,), _calmest(problem, (stop,), marks))
            ways[round(calm.washing, 6), round(calm.carried, 9), calm.stops] = calm
    found, best = _best(problem, "calmest tank"), ways[min(ways)]
    assert (found.stops, found.marks) == (best.stops, pytest.approx(best.marks))
    assert found.washing == pytest.approx(best.washing)


@pytest.mark.parametrize("minutes", [[60, 10, 30], [60, 30, 10]])
def test_where_sets_are_many_only_those_calmest_at_their_lowest_marks_are_tried(
    minutes: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("planner.planning.refill.CALM_SETS", 1)
    for band in ((3.0, 5.0), (6.5, 9.0)):
        problem = replace(TWO_WAYS, minutes=np.array(minutes, dtype=float), washing=band)
        ways = [choice_of(problem, *way) for way in (((1,), (4.0, 7.0)), ((2,), (8.0, 3.0)))]
        first = min(ways, key=lambda choice: choice.washing)
        assert ways[0].washing != ways[1].washing
        found = _best(problem, "calmest tank")
        assert (found.stops, found.marks) == (first.stops, pytest.approx(_calmest(problem, first.stops, first.marks)))

"""Legs, sets and levels of days in whole numbers against a walk through each draw; a search cut short says so."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.planning.legs import (
    Legs,
    Levels,
    SetSearch,
    _packed,
    _survivors,
    expected_holds,
    full_chance,
    full_levels,
    holds_when_full,
    least_sets,
    poured_level,
)
from planner.planning.problem import Problem
from tests.refill_days import day, holds, possible_sets, poured, walk, whole_days


@given(st.lists(st.booleans(), min_size=1, max_size=200), st.lists(st.booleans(), min_size=200, max_size=200))
def test_draws_as_bits_are_counted_one_by_one_also_where_two_sets_meet(one: list[bool], other: list[bool]) -> None:
    alive, also = np.array(one), np.array(other[: len(one)])
    assert _survivors(_packed(alive)) == alive.sum()
    assert _survivors(_packed(alive) & _packed(also)) == (alive & also).sum()
    assert _packed(alive).size == -(-len(one) // 64)


def _leg_holds(problem: Problem, first: int, last: int) -> tuple[bool, list[bool]]:
    """Whether a leg holds on its own from the most it can start with, and which draws do."""
    most = problem.limit if problem.may_fill[first] else problem.in_tank
    fine = [bool(demand <= most) for demand in problem.leg_demand(first, last)]
    return sum(fine) >= problem.needed and problem.leg_expected_need(first, last) <= most, fine


@given(whole_days())
def test_legs_are_those_that_hold_on_their_own_and_end_where_a_fill_may_follow(problem: Problem) -> None:
    legs, last = Legs(problem), problem.sessions - 1
    enough = last in legs.reach[0] and not problem.pour_binds(())
    firsts = [0, *(k for k in range(1, problem.sessions) if problem.may_fill[k])]
    assert list(legs.reach) == ([0] if enough else firsts)
    for first, reached in legs.reach.items():
        ends = [k for k in range(first, problem.sessions) if k == last or problem.may_fill[k + 1]]
        assert reached == [k for k in ends if _leg_holds(problem, first, k)[0]]
        for end in reached:
            assert (legs.bits[first, end] == _packed(np.array(_leg_holds(problem, first, end)[1]))).all()


def test_a_draw_that_a_session_kills_stays_dead_though_a_later_floor_is_lower() -> None:
    problem = day([[4, 1], [1, 1], [1, 1]], [7, 0, 0], confidence=0.5)
    legs = Legs(problem)
    assert legs.reach[0] == [0, 1, 2]
    for last in legs.reach[0]:
        assert (legs.bits[0, last] == _packed(np.array([False, True]))).all()


@pytest.mark.parametrize(("floor", "enough"), [(4.0, True), (4.5, False)])
def test_what_primes_the_pump_is_missing_once_after_the_first_leg(floor: float, enough: bool) -> None:
    # 10 less 3 and 1 to prime leave 6, one more fits in the gap: 7 for 3 and the floor.
    problem = day([3, 3], [0, floor], prime=1.0, can_pour=[np.inf, 1.0])
    assert expected_holds(problem, (1,)) is enough


@given(whole_days())
def test_the_least_legs_from_a_session_are_those_of_the_shortest_chain_of_legs(problem: Problem) -> None:
    legs = Legs(problem)

    def least(first: int) -> float:
        if first == problem.sessions:
            return 0
        return min((1 + least(last + 1) for last in legs.reach.get(first, ())), default=float("inf"))

    assert legs.least == [least(first) for first in range(problem.sessions + 1)]


@given(whole_days())
def test_the_least_sets_are_all_that_a_walk_through_every_draw_finds(problem: Problem) -> None:
    found, complete = least_sets(problem)
    sets = possible_sets(problem)
    assert complete
    assert sorted(found) == sorted(stops for stops in sets if len(stops) == len(sets[0]))


@given(whole_days(), st.data())
def test_what_holds_when_full_is_what_the_walk_finds(problem: Problem, data: st.DataObject) -> None:
    stops = _some_stops(problem, data)
    full = (problem.limit,) * (len(stops) + 1)
    fine = [
        all(
            end >= floor
            for (_, _, end), floor in zip(walk(problem, stops, full, list(use)), problem.floor, strict=True)
        )
        for use in problem.drain.T
    ]
    assert full_chance(problem, stops) == pytest.approx(sum(fine) / problem.draws)
    assert full_levels(problem, stops).above_floors(problem).tolist() == fine
    assert holds_when_full(problem, stops) == holds(problem, stops, full)
    starts = walk(problem, stops, full, list(problem.expected))
    needs = [problem.leg_expected_need(a, b - 1) for a, b in pairwise((0, *stops, problem.sessions))]
    primed = [starts[first][1] + (problem.prime if first == 0 else 0.0) for first in (0, *stops)]
    enough = all(level >= need for level, need in zip(primed, needs, strict=True))
    assert expected_holds(problem, stops) == expected_holds(problem, stops, full) == enough


@given(whole_days(), st.data())
def test_levels_before_after_and_at_the_end_are_those_of_the_walk_and_fills_are_their_steps(
    problem: Problem, data: st.DataObject
) -> None:
    stops = _some_stops(problem, data)
    marks = tuple(float(data.draw(st.integers(0, int(problem.limit)))) for _ in (0, *stops))
    levels = Levels(problem, stops, marks)
    walked = np.array([walk(problem, stops, marks, list(use)) for use in problem.drain.T])  # draw, session, moment
    np.testing.assert_array_equal(levels.before, walked[:, :, 0].T)
    np.testing.assert_array_equal(levels.start, walked[:, :, 1].T)
    np.testing.assert_array_equal(levels.end, walked[:, :, 2].T)
    added = walked[:, :, 1].T - walked[:, :, 0].T
    added[0] += problem.prime
    for session, poured_then in enumerate(added):
        np.testing.assert_array_equal(levels.added(problem, session), poured_then)


def _some_stops(problem: Problem, data: st.DataObject) -> tuple[int, ...]:
    allowed = [k for k in range(1, problem.sessions) if problem.may_fill[k]]
    return tuple(k for k in allowed if data.draw(st.booleans()))


@given(whole_days(), st.integers(0, 14), st.integers(0, 14), st.data())
def test_a_fill_goes_to_its_mark_as_far_as_the_gap_goes_and_takes_nothing_out(
    problem: Problem, level: int, mark: int, data: st.DataObject
) -> None:
    k = data.draw(st.integers(0, problem.sessions - 1))
    assert poured_level(problem, k, float(level), float(mark)) == poured(problem, k, level, mark)
    both = poured_level(problem, k, np.array([float(level), 1.0]), float(mark))
    assert list(both) == [poured(problem, k, level, mark), poured(problem, k, 1.0, mark)]  # type: ignore[arg-type]


FREE = day([4] * 9)  # four stops, each leg one session or two: five sets


def test_a_search_for_sets_ends_when_it_has_found_enough_and_says_that_it_was_cut_short(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    every, complete = least_sets(FREE)
    assert (len(every), len(set(every)), complete) == (5, 5, True)
    monkeypatch.setattr("planner.planning.legs.MOST_SETS", 2)
    some, complete = least_sets(FREE)
    assert (len(some), complete) == (2, False)
    assert set(some) < set(every)


def test_a_search_for_sets_ends_after_so_many_legs_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = SetSearch(Legs(FREE), 5)
    whole.run()
    monkeypatch.setattr("planner.planning.legs.MOST_NODES", 7)
    search = SetSearch(Legs(FREE), 5)
    assert not search.exhausted
    assert set(search.run()) < set(whole.found)
    assert search.exhausted
    assert search.nodes == 7 < whole.nodes


def test_only_legs_from_which_the_end_can_still_be_reached_are_tried_the_longest_first() -> None:
    search = SetSearch(Legs(FREE), 5)
    paths = [(*stops, 9) for stops in search.run()]
    assert paths == sorted(paths, reverse=True)
    assert search.nodes == len({path[: legs + 1] for path in paths for legs in range(5)})


@pytest.mark.parametrize(("prime", "enough"), [(0.0, True), (1.0, True), (2.0, False)])
def test_priming_takes_its_volume_once_from_what_short_gaps_leave_to_later_legs(prime: float, enough: bool) -> None:
    # With 1 for priming: 10 - 1 - 4 = 5, and 1 poured less 2 is 4, and 5 poured is 9, just what is expected.
    problem = day([4, 2, 9], can_pour=[np.inf, 1.0, 5.0], prime=prime)
    assert expected_holds(problem, (1, 2)) == enough

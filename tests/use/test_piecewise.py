"""Segments found by bins against numpy's own search, and means over a straight change against scipy's quadrature."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from planner.errors import OutsideModel
from planner.use.piecewise import STILL, Knots, PiecewiseLinear

KNOTS = st.lists(st.floats(1.0, 5e4), min_size=1, max_size=30).map(lambda steps: np.cumsum([-1e5, *steps]))
WITHIN = st.lists(st.floats(0, 1), min_size=1, max_size=40).map(np.array)


@given(KNOTS, WITHIN)
def test_segments_are_those_of_numpys_search(knots: np.ndarray, shares: np.ndarray) -> None:
    argument = np.clip(np.concatenate((knots[0] + shares * (knots[-1] - knots[0]), knots)), knots[0], knots[-1])
    place = Knots(knots).locate(argument)
    expected = np.minimum(np.searchsorted(knots, argument, side="right") - 1, knots.size - 2)
    np.testing.assert_array_equal(place.segment, expected)
    np.testing.assert_allclose(place.offset, argument - knots[expected], atol=1e-9)


@pytest.mark.parametrize("beyond", [-1.001e5, 0.001e5, np.nan])
def test_an_argument_beyond_the_knots_is_refused(beyond: float) -> None:
    with pytest.raises(OutsideModel, match="check the column's unit"):
        Knots(np.array([-1e5, -5e4, 0.0])).locate(np.array([-2e4, beyond]))


def stepped(seed: int) -> tuple[Knots, PiecewiseLinear]:
    """Twelve segments of random width, with a jump at each knot."""
    random = np.random.default_rng(seed)
    knots = Knots(np.cumsum(random.uniform(10, 900, 13)))
    return knots, PiecewiseLinear(knots, random.uniform(0, 5, 12), random.uniform(0, 5, 12))


@given(st.integers(0, 200), st.floats(0, 1), st.floats(0, 1))
def test_a_mean_is_the_integral_over_the_change_whichever_way_it_runs(seed: int, a: float, b: float) -> None:
    knots, function = stepped(seed)
    low, high = (knots.x[0] + share * (knots.x[-1] - knots.x[0]) for share in sorted((a, b)))
    if high - low < 1.0:
        high = min(low + 1.0, knots.x[-1])
        low = high - 1.0

    def value(x: float) -> float:
        return float(function.values(knots.locate(np.array([x])))[0])

    inner = knots.x[(knots.x > low) & (knots.x < high)]
    edges = [low, *inner, high]
    area = sum(quad(value, p + 1e-9, q - 1e-9)[0] for p, q in itertools.pairwise(edges) if q - p > 1e-6)
    there_and_back = function.means(knots.straight(np.array([low, high, low])))
    np.testing.assert_allclose(there_and_back, area / (high - low), rtol=1e-5)


def test_where_the_argument_holds_still_the_mean_is_the_value_from_the_right_of_a_knot() -> None:
    knots, function = stepped(3)
    at = np.array([knots.x[4], knots.x[4], knots.x[4] + STILL / 2, knots.x[4] + STILL / 2 + 60])
    means = function.means(knots.straight(at))
    assert means[0] == means[1] == function.left[4]
    assert means[2] == pytest.approx(float(function.values(knots.locate(np.array([at[2:].mean()])))[0]), rel=1e-6)


def test_a_function_that_is_zero_on_one_side_of_its_segments_is_no_zero() -> None:
    knots = Knots(np.array([0.0, 10.0, 20.0]))
    for left, right in (([0.0, 0.0], [2.0, 4.0]), ([2.0, 4.0], [0.0, 0.0])):
        means = PiecewiseLinear(knots, np.array(left), np.array(right)).means(knots.straight(np.array([0.0, 20.0])))
        assert means[0] == pytest.approx(1.5)
    assert PiecewiseLinear(knots, np.zeros(2), np.zeros(2)).means(knots.straight(np.array([0.0, 20.0])))[0] == 0.0


def test_a_hair_below_a_knot_on_a_bins_edge_the_segment_before_it_holds() -> None:
    """Of three even knots the middle one lies on the edge between two of the table's bins."""
    for step in np.random.default_rng(5).uniform(1e2, 1e5, 2000):
        knots = Knots(np.array([-step, 0.0, step]))
        below, on = knots.locate(np.array([np.nextafter(0.0, -1.0), 0.0])).segment
        assert (below, on) == (0, 1)

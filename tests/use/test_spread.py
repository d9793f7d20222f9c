"""The spread of use: lognormals with mean 1, draws that settle, a flow test on the log scale."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from planner.car import Kept, Spread
from planner.errors import OutsideModel
from planner.use.spread import (
    CarFactor,
    factor_from_flow_test,
    joint_variation,
    log_sd,
    lognormal_quantile,
    normal_draws,
    prior_factor,
    shrunk_variation,
    use_draws,
)
from tests.cars import CAR


@given(st.floats(0.01, 0.6), st.floats(0.001, 0.999))
def test_quantiles_are_those_of_scipys_lognormal(variation: float, probability: float) -> None:
    sd = log_sd(variation)
    reference = stats.lognorm(s=sd, scale=math.exp(-(sd**2) / 2))
    assert reference.mean() == pytest.approx(1.0)
    assert reference.std() == pytest.approx(variation, rel=1e-9)
    assert lognormal_quantile(3.0, variation, probability) == pytest.approx(3.0 * reference.ppf(probability), rel=1e-9)


def test_draws_have_the_stated_means_and_variations_and_share_the_cars_factor() -> None:
    draws = use_draws(np.array([2.0, 5.0]), np.array([0.08, 0.2]), CarFactor(1.0, 0.1), 200_000, 3)
    np.testing.assert_allclose(draws.mean(axis=1), [2.0, 5.0], rtol=1e-3)
    expected = [joint_variation(0.1, 0.08), joint_variation(0.1, 0.2)]
    np.testing.assert_allclose(draws.std(axis=1) / draws.mean(axis=1), expected, rtol=5e-3)
    correlation = np.corrcoef(np.log(draws))[0, 1]
    assert correlation == pytest.approx(
        log_sd(0.1) ** 2 / np.prod([math.hypot(log_sd(0.1), log_sd(v)) for v in (0.08, 0.2)]), abs=0.01
    )


def test_draws_are_the_same_for_the_same_seed() -> None:
    args = (np.array([1.0]), np.array([0.1]), CarFactor(), 500)
    np.testing.assert_array_equal(use_draws(*args, 7), use_draws(*args, 7))
    assert np.any(use_draws(*args, 7) != use_draws(*args, 8))


@given(st.floats(0.05, 0.3), st.floats(0.7, 1.4), st.floats(0.01, 0.1))
def test_a_flow_test_gives_the_posterior_that_integration_gives(variation: float, ratio: float, error: float) -> None:
    posterior = factor_from_flow_test(CarFactor(1.0, variation), ratio * 7e-6, 7e-6, error)
    prior_sd, error_sd = log_sd(variation), log_sd(error)

    def weight(x: float) -> float:
        return stats.norm.pdf(x, -(prior_sd**2) / 2, prior_sd) * stats.norm.pdf(math.log(ratio), x, error_sd)

    centre, span = math.log(ratio), 12 * error_sd + 3 * prior_sd
    bounds = (centre - span, centre + span)
    total = integrate.quad(weight, *bounds, points=[centre], limit=400)[0]
    mean = integrate.quad(lambda x: math.exp(x) * weight(x), *bounds, points=[centre], limit=400)[0] / total
    assert posterior.mean == pytest.approx(mean, rel=1e-6)
    assert posterior.variation < min(variation, error) * 1.0001


def test_a_flow_test_without_flow_is_refused() -> None:
    with pytest.raises(OutsideModel, match="tells nothing"):
        factor_from_flow_test(CarFactor(), 7e-6, 0.0, 0.03)


def test_few_recordings_leave_the_usual_variation_and_many_replace_it() -> None:
    assert shrunk_variation(np.array([1.0]), 0.08) == 0.08
    pair = shrunk_variation(np.array([1.0, 1.4]), 0.08)
    assert 0.08 < pair < np.std([1.0, 1.4], ddof=1) / 1.2
    many = np.random.default_rng(1).normal(1.0, 0.3, 4000)
    assert shrunk_variation(many, 0.08) == pytest.approx(0.3, rel=0.05)


@given(st.lists(st.tuples(st.floats(0.2, 3), st.integers(1, 4)), min_size=2, max_size=6))
def test_a_value_of_twice_the_weight_pulls_the_mean_as_two_and_equal_weights_change_nothing(
    parts: list[tuple[float, int]],
) -> None:
    values, counts = (np.array(column, dtype=float) for column in zip(*parts, strict=True))
    plain = shrunk_variation(values, 0.08)
    assert shrunk_variation(values, 0.08, np.full(values.size, 7.0)) == pytest.approx(plain, rel=1e-9)
    assert plain == pytest.approx(
        math.hypot(2 * 0.08, math.sqrt(values.size - 1) * values.std(ddof=1) / values.mean())
        / math.sqrt(4 + values.size - 1)
    )
    mean = np.average(values, weights=counts)
    spread = shrunk_variation(values, 0.0, counts)
    number = counts.sum() ** 2 / (counts**2).sum()
    variance = np.average((values - mean) ** 2, weights=counts) * number / (number - 1) if number > 1 + 1e-9 else 0
    assert spread == pytest.approx(math.sqrt((number - 1) * variance / mean**2 / (3 + number)), abs=1e-7)


def test_a_short_stretch_says_little_beside_a_long_one() -> None:
    values = np.array([1.0, 1.02, 0.98, 9.0])
    even, short = (shrunk_variation(values, 0.08, np.array([20.0, 20, 20, last])) for last in (20.0, 0.05))
    assert short < 0.2 < even


def test_values_that_tell_nothing_leave_the_usual_variation() -> None:
    assert shrunk_variation(np.zeros(4), 0.08) == 0.08
    assert shrunk_variation(np.array([1.0, 2.0]), 0.08, np.zeros(2)) == 0.08
    assert shrunk_variation(np.array([1.0, 2.0]), 0.08, np.array([3.0, 0.0])) == 0.08


def test_a_kept_days_result_stands_for_the_usual_spread_and_the_last_one_counts() -> None:
    fresh = replace(CAR, spread=Spread(car=0.12))
    assert prior_factor(fresh) == CarFactor(1.0, 0.12)
    kept = tuple(Kept(date(2026, 5, day), 0.9 + day / 100, 0.03 + day / 1000, "Any") for day in (2, 5, 9))
    assert prior_factor(replace(fresh, kept=kept)) == CarFactor(pytest.approx(0.99), pytest.approx(0.039))


def test_strata_are_the_normals_quantiles_at_their_middles_for_even_and_odd_counts() -> None:
    for draws in (7, 10):
        draws_of_car = np.sort(normal_draws(1, draws, 0)[0])
        np.testing.assert_allclose(draws_of_car, stats.norm.ppf((np.arange(draws) + 0.5) / draws), atol=1e-12)

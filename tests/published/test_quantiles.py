"""Quantiles of lognormal use against scipy.stats, and how much the largest of a few recordings covers."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from planner.use.spread import CarFactor, joint_variation, lognormal_quantile, share_covered, use_draws


def lognormal(mean: float, variation: float):
    """scipy's lognormal with a mean and a coefficient of variation."""
    sd = np.sqrt(np.log1p(variation**2))
    return stats.lognorm(sd, scale=mean * np.exp(-(sd**2) / 2))


@given(st.floats(0.01, 50), st.floats(0.01, 0.8), st.floats(0.001, 0.999))
def test_quantiles_are_those_of_scipy_stats(mean: float, variation: float, chance: float) -> None:
    reference = lognormal(mean, variation)
    assert reference.mean() == pytest.approx(mean, rel=1e-9)
    assert reference.std() == pytest.approx(mean * variation, rel=1e-9)
    assert lognormal_quantile(mean, variation, chance) == pytest.approx(reference.ppf(chance), rel=1e-8)


@given(st.floats(0.01, 0.4), st.floats(0.01, 0.4))
def test_two_factors_vary_together_as_the_sum_of_their_logarithms(first: float, second: float) -> None:
    both = np.sqrt(np.log1p(first**2) + np.log1p(second**2))
    assert joint_variation(first, second) == pytest.approx(np.sqrt(np.expm1(both**2)), rel=1e-9)


def test_the_draws_of_a_day_have_scipys_quantiles_and_share_the_cars_factor() -> None:
    draws = use_draws(np.array([2.0, 3.0]), np.array([0.08, 0.08]), CarFactor(1.0, 0.10), 40_000, 1)
    reference = lognormal(2.0, joint_variation(0.10, 0.08))
    for chance in (0.01, 0.1, 0.5, 0.9, 0.99):
        assert np.quantile(draws[0], chance) == pytest.approx(reference.ppf(chance), rel=0.01)
    shared = np.log1p(0.10**2) / (np.log1p(0.10**2) + np.log1p(0.08**2))
    assert np.corrcoef(np.log(draws))[0, 1] == pytest.approx(shared, abs=0.02)


# Wilks, Ann. Math. Statist. 12 (1941) 91; the sample sizes for 95 % confidence are the usual ones of nuclear
# safety and process control (from memory).
@pytest.mark.parametrize(("share", "least"), [(0.90, 29), (0.95, 59), (0.99, 299)])
def test_so_many_recordings_cover_a_share_with_95_percent_confidence(share: float, least: int) -> None:
    assert share_covered(least) >= share > share_covered(least - 1)


def test_the_largest_of_a_few_covers_its_share_by_simulation_too() -> None:
    generator = np.random.default_rng(5)
    largest = generator.gamma(3.0, size=(20_000, 8)).max(axis=1)
    held = stats.gamma(3.0).cdf(largest) >= share_covered(8)
    assert held.mean() == pytest.approx(0.95, abs=0.006)

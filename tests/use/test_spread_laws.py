"""The laws behind the spread of use: sample sizes as published, precisions that add, draws row by row."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from planner.errors import OutsideModel
from planner.use.spread import (
    USUAL_WEIGHT,
    CarFactor,
    factor_from_flow_test,
    joint_variation,
    log_sd,
    normal_draws,
    share_covered,
    use_draws,
)


@pytest.mark.parametrize(
    ("count", "share", "confidence"), [(59, 0.95, 0.95), (22, 0.90, 0.90), (459, 0.99, 0.99), (299, 0.99, 0.95)]
)
def test_as_many_recordings_cover_a_share_as_wilkss_published_sample_sizes(
    count: int, share: float, confidence: float
) -> None:
    assert share_covered(count, confidence) >= share > share_covered(count - 1, confidence)
    if confidence == 0.95:
        assert share_covered(count) == share_covered(count, confidence)


@given(st.floats(0.5, 1.5), st.floats(0.02, 0.4), st.floats(0.6, 1.6), st.floats(0.005, 0.2))
def test_a_flow_test_adds_its_precision_and_weighs_the_logarithms(
    mean: float, variation: float, ratio: float, error: float
) -> None:
    prior = CarFactor(mean, variation)
    posterior = factor_from_flow_test(prior, ratio * 7e-6, 7e-6, error)
    before, test = 1 / math.log1p(variation**2), 1 / math.log1p(error**2)
    assert 1 / math.log1p(posterior.variation**2) == pytest.approx(before + test, rel=1e-9)
    of_prior = math.log(mean) - math.log1p(variation**2) / 2
    weighed = (before * of_prior + test * math.log(ratio)) / (before + test)
    assert posterior.log_mean == pytest.approx(weighed, abs=1e-9)


@pytest.mark.parametrize(("measured", "expected"), [(0.0, 7e-6), (7e-6, 0.0), (-1e-6, 7e-6), (math.nan, 7e-6)])
def test_a_flow_test_without_flow_names_both_flows(measured: float, expected: float) -> None:
    words = f"a flow test of {measured} m3/s against {expected} m3/s expected tells nothing"
    with pytest.raises(OutsideModel, match=f"^{words}$"):
        factor_from_flow_test(CarFactor(), measured, expected, 0.03)


def test_an_unmeasured_car_uses_what_is_expected_give_or_take_a_tenth() -> None:
    assert CarFactor() == CarFactor(1.0, 0.10)
    assert USUAL_WEIGHT == 4.0


@given(st.floats(0, 0.8), st.floats(0, 0.8))
def test_logarithms_of_independent_factors_add_their_variances(first: float, second: float) -> None:
    assert log_sd(joint_variation(first, second)) == pytest.approx(math.hypot(log_sd(first), log_sd(second)), abs=1e-7)


@pytest.mark.parametrize("draws", [9, 16])
def test_each_row_of_draws_holds_every_stratum_once_in_its_own_order(draws: int) -> None:
    table = normal_draws(3, draws, 5)
    strata = stats.norm.ppf((np.arange(draws) + 0.5) / draws)
    assert table.shape == (4, draws)
    np.testing.assert_allclose(np.sort(table, axis=1), np.tile(strata, (4, 1)), atol=1e-12)
    assert len({tuple(row) for row in table}) == 4
    assert not table.flags.writeable


def test_draws_are_the_car_factor_of_the_day_times_each_sessions_own() -> None:
    car, variations, means = CarFactor(1.1, 0.12), np.array([0.05, 0.2]), np.array([2.0, 5.0])
    normal = normal_draws(2, 50, 7)
    day = np.exp(log_sd(0.12) * normal[0] + math.log(1.1) - log_sd(0.12) ** 2 / 2)
    for k in range(2):
        own = np.exp(log_sd(variations[k]) * normal[k + 1] - log_sd(variations[k]) ** 2 / 2)
        np.testing.assert_allclose(use_draws(means, variations, car, 50, 7)[k], means[k] * day * own, rtol=1e-12)

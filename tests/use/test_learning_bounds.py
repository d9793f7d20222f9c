"""Draws of a belief score by score, readings that only bound the level, and knowledge moved between beliefs."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from planner.use.learning import (
    Belief,
    Predicted,
    after_pour,
    after_use,
    at_least_used,
    at_mark,
    draw,
    factor_mean,
    factor_quantile,
    factor_sd,
    factor_summary,
    level_mean,
    level_sd,
    predicted,
    start_belief,
    with_level_of,
)
from planner.use.spread import CarFactor, log_sd

LITRE = 1e-3


def belief_of(variation: float = 0.1, level_sd: float = 0.1, use: float = 1.0, run: float = 0.08) -> Belief:
    """A tank of 5 L, known to so many litres, after a use of so many."""
    return after_use(start_belief(CarFactor(1.0, variation), 5 * LITRE, level_sd * LITRE), use * LITRE, run)


def test_a_draw_is_the_factors_quantile_the_levels_score_and_the_uses_own_score() -> None:
    chances = np.array([[0.1, 0.2, 0.3], [0.5, 0.5, 0.5], [0.9, 0.7, 0.05], [0.25, 0.95, 0.8]])
    factor, level = draw(belief_of(), chances)
    first, second, third = stats.norm.ppf(chances).T
    run = log_sd(0.08)
    expected = np.exp(log_sd(0.1) * first - log_sd(0.1) ** 2 / 2)
    left = 5 + 0.1 * second - expected * np.exp(run * third - run**2 / 2)
    np.testing.assert_allclose(factor, expected, rtol=2e-4)
    np.testing.assert_allclose(level, left * LITRE, rtol=1e-4)


def test_a_draw_without_use_or_without_spread_is_the_level_itself() -> None:
    chances = np.random.default_rng(1).random((20, 3))
    still = start_belief(CarFactor(1.2, 0.0), 3 * LITRE, 0.0)
    factor, level = draw(still, chances)
    assert factor == pytest.approx(np.full(20, 1.2))
    assert level == pytest.approx(np.full(20, 3 * LITRE))


@pytest.mark.parametrize("variation", [0.05, 0.2])
@pytest.mark.parametrize("reading", [3.6, 4.0, 4.3])
def test_a_level_that_is_at_most_the_reading_weighs_each_factor_by_that_chance(
    variation: float, reading: float
) -> None:
    """From a level known exactly, m C R >= 5 L - reading: a normal tail of the logarithm for every C."""
    belief, run = belief_of(variation, 0.0, 1.0, 0.08), log_sd(0.08)
    tail = stats.norm.sf((np.log(5 - reading) - belief.log_factor + run**2 / 2) / run)
    weight = belief.weight * np.maximum(tail, 1e-12)
    bounded = at_least_used(belief, reading * LITRE, 0.0)
    np.testing.assert_allclose(bounded.weight, weight / weight.sum(), atol=2e-5)
    assert factor_mean(bounded) > factor_mean(belief)
    assert bounded.used == belief.used
    assert np.array_equal(bounded.level, belief.level)


def test_a_bound_read_with_an_error_tells_less_than_one_read_exactly() -> None:
    belief = belief_of(0.2, 0.0)
    none, some, much = (factor_mean(at_least_used(belief, 3.6 * LITRE, sd * LITRE)) for sd in (0.0, 0.2, 2.0))
    assert none > some > much > factor_mean(belief)


def test_a_bound_far_below_all_that_could_be_left_still_gives_a_belief() -> None:
    bounded = at_least_used(belief_of(0.02, 0.0), 1.0 * LITRE, 0.0)
    assert bounded.weight.sum() == pytest.approx(1.0)
    assert factor_mean(bounded) == pytest.approx(1.0, abs=0.1)


def test_what_one_belief_knows_of_the_factor_stands_with_the_level_and_the_use_of_another() -> None:
    sound, now = start_belief(CarFactor(0.9, 0.05), 9 * LITRE, 0.5 * LITRE), belief_of(0.3, 0.2, 1.5, 0.1)
    moved = with_level_of(sound, now)
    assert np.array_equal(moved.weight, sound.weight)
    assert np.array_equal(moved.log_factor, sound.log_factor)
    assert moved.level == pytest.approx(np.full(sound.level.size, 5 * LITRE))
    assert moved.variance == pytest.approx(np.full(sound.level.size, (0.2 * LITRE) ** 2))
    assert (moved.used, moved.used_variance) == (now.used, now.used_variance)
    assert level_mean(moved) == pytest.approx((5 - 0.9 * 1.5) * LITRE)


def test_means_and_deviations_are_those_of_the_law() -> None:
    belief = after_use(belief_of(0.2, 0.1, 1.0, 0.08), 2 * LITRE, 0.1)
    car, own = 0.2**2, 0.08**2 + (2 * 0.1) ** 2
    assert level_mean(belief) == pytest.approx(2 * LITRE, rel=1e-6)
    assert level_sd(belief) == pytest.approx(np.sqrt(0.1**2 + 9 * car + own * (1 + car)) * LITRE, rel=1e-6)
    assert factor_sd(belief) == pytest.approx(0.2, rel=1e-6)
    assert factor_summary(belief) == CarFactor(pytest.approx(1.0, rel=1e-6), pytest.approx(0.2, rel=1e-6))  # type: ignore[arg-type]
    poured = after_pour(belief, 2 * LITRE, 0.3 * LITRE)
    assert level_mean(poured) == pytest.approx(4 * LITRE, rel=1e-6)
    assert level_sd(poured) == pytest.approx(np.hypot(level_sd(belief), 0.3 * LITRE), rel=1e-6)


def test_the_factors_quantiles_are_those_of_its_lognormal() -> None:
    chances = np.array([0.01, 0.05, 0.3, 0.5, 0.8, 0.99])
    belief = start_belief(CarFactor(1.3, 0.15), LITRE, 0.0)
    law = stats.lognorm(s=log_sd(0.15), scale=1.3 * np.exp(-(log_sd(0.15) ** 2) / 2))
    np.testing.assert_allclose(factor_quantile(belief, chances), law.ppf(chances), rtol=2e-4)


def test_a_reading_is_told_with_its_mean_its_deviation_and_its_chance() -> None:
    belief = at_mark(belief_of(), 4 * LITRE, 0.3 * LITRE)
    told = predicted(belief, 4.5 * LITRE, 0.4 * LITRE)
    assert told.reading == 4.5 * LITRE
    assert told.expected == pytest.approx(4 * LITRE)
    assert told.sd == pytest.approx(0.5 * LITRE)
    assert told.lower == pytest.approx(stats.norm.cdf(1.0))
    assert told.score == pytest.approx(1.0)


@pytest.mark.parametrize(("lower", "score"), [(0.0, -7.9413), (1.0, 7.9413), (0.5, 0.0), (0.975, 1.959964)])
def test_scores_of_chances_too_small_to_tell_stay_finite(lower: float, score: float) -> None:
    assert Predicted(0.0, 0.0, 1.0, lower).score == pytest.approx(score, abs=1e-2 if lower in (0, 1) else 1e-6)


def test_a_level_that_hangs_on_the_factor_adds_its_variance_by_the_law_of_total_variance() -> None:
    belief = Belief(
        log_factor=np.log([0.5, 1.5]),
        weight=np.array([0.25, 0.75]),
        level=np.array([3.0, 5.0]),
        variance=np.array([0.1, 0.2]),
        used=1.0,
        used_variance=0.04,
    )
    left = np.array([3.0 - 0.5, 5.0 - 1.5])
    mean = 0.25 * left[0] + 0.75 * left[1]
    within = 0.25 * (0.1 + 0.25 * 0.04) + 0.75 * (0.2 + 2.25 * 0.04)
    between = 0.25 * (left[0] - mean) ** 2 + 0.75 * (left[1] - mean) ** 2
    assert level_mean(belief) == pytest.approx(mean)
    assert level_sd(belief) == pytest.approx((within + between) ** 0.5)
    assert factor_mean(belief) == pytest.approx(1.25)
    assert factor_sd(belief) == pytest.approx(0.1875**0.5)

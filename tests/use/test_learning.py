"""The day's learning: against weighted draws and simulated days; tests/published holds the closed forms."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from planner.physics.tank import Box, DipTable, LyingCylinder
from planner.use.learning import (
    after_pour,
    after_reading,
    after_use,
    at_mark,
    draw,
    factor_mean,
    factor_quantile,
    factor_sd,
    level_mean,
    level_sd,
    predicted,
    reading_sd,
    reopened,
    start_belief,
)
from planner.use.spread import CarFactor, log_sd

LITRE = 1e-3


def test_a_chain_of_readings_agrees_with_weighted_draws():
    """Three sessions, a pour, two of the sessions under one reading: importance sampling of the whole chain."""
    rng, n, run, dip = np.random.default_rng(5), 2_000_000, 0.10, 0.08
    factor = np.exp(log_sd(0.15) * rng.standard_normal(n) - log_sd(0.15) ** 2 / 2)
    own = np.exp(log_sd(run) * rng.standard_normal((3, n)) - log_sd(run) ** 2 / 2)
    first = 5 + 0.08 * rng.standard_normal(n) - 1.0 * factor * own[0]
    last = first + 2 + 0.04 * rng.standard_normal(n) - factor * (1.5 * own[1] + 0.5 * own[2])
    weight = np.exp(-(((3.8 - first) / dip) ** 2 + ((3.5 - last) / dip) ** 2) / 2)
    weight /= weight.sum()
    mean = weight @ factor
    prior = CarFactor(1.0, 0.15)
    belief = after_use(start_belief(prior, 5 * LITRE, 0.08 * LITRE), LITRE, run)
    belief, _ = after_reading(belief, 3.8 * LITRE, dip * LITRE)
    belief = after_pour(belief, 2 * LITRE, 0.04 * LITRE)
    belief = after_use(after_use(belief, 1.5 * LITRE, run), 0.5 * LITRE, run)
    belief, _ = after_reading(belief, 3.5 * LITRE, dip * LITRE)
    assert factor_mean(belief) == pytest.approx(mean, rel=1.5e-3)
    assert factor_sd(belief) == pytest.approx(np.sqrt(weight @ (factor - mean) ** 2), rel=0.01)
    assert level_mean(belief) == pytest.approx(weight @ last * LITRE, rel=1e-3)


def _simulated_day(rng, prior, sessions):
    """One day by the model: forecast made half way for the last reading, the truth, and every score."""
    run, dip = 0.08, 0.10
    factor = np.exp(prior.log_mean + log_sd(prior.variation) * rng.standard_normal())
    belief, level = start_belief(prior, 8 * LITRE, dip * LITRE), (8 + dip * rng.standard_normal()) * LITRE
    scores = []
    for session in range(sessions):
        use = (0.6 + 0.3 * session) * LITRE
        level -= use * factor * np.exp(log_sd(run) * rng.standard_normal() - log_sd(run) ** 2 / 2)
        belief = after_use(belief, use, run)
        if session == sessions - 1:
            return belief, level, factor, scores
        belief, told = after_reading(belief, level + dip * LITRE * rng.standard_normal(), dip * LITRE)
        scores.append(told.score)


def test_ninety_percent_bands_hold_ninety_percent_of_2000_simulated_days():
    rng, prior = np.random.default_rng(11), CarFactor(1.0, 0.10)
    days = [_simulated_day(rng, prior, 4) for _ in range(2000)]
    in_level = [0.05 <= predicted(belief, level, 0.0).lower <= 0.95 for belief, level, _, _ in days]
    in_factor = [np.diff(np.sign(factor_quantile(b, [0.05, 0.95]) - c))[0] > 0 for b, _, c, _ in days]
    assert np.mean(in_level) == pytest.approx(0.90, abs=0.02)
    assert np.mean(in_factor) == pytest.approx(0.90, abs=0.02)
    scores = np.array([scores for *_, scores in days])
    assert stats.kstest(scores.ravel(), "norm").pvalue > 0.01
    assert np.abs(np.corrcoef(scores.T) - np.eye(3)).max() < 0.07


def test_a_fill_to_the_mark_forgets_the_level_and_keeps_the_factor():
    belief = after_use(start_belief(CarFactor(1.0, 0.1), 5 * LITRE, 0.1 * LITRE), LITRE, 0.08)
    belief, _ = after_reading(belief, 3.7 * LITRE, 0.05 * LITRE)
    filled = at_mark(belief, 6 * LITRE, 0.1 * LITRE)
    assert level_mean(filled) == pytest.approx(6 * LITRE)
    assert level_sd(filled) == pytest.approx(0.1 * LITRE)
    assert factor_mean(filled) == factor_mean(belief)


def test_a_fill_to_the_mark_leaves_no_use_behind():
    used = after_use(start_belief(CarFactor(1.0, 0.1), 5 * LITRE, 0.1 * LITRE), LITRE, 0.08)
    filled = at_mark(used, 6 * LITRE, 0.1 * LITRE)
    assert (filled.used, filled.used_variance) == (0.0, 0.0)
    assert level_mean(filled) == pytest.approx(6 * LITRE)
    assert level_sd(filled) == pytest.approx(0.1 * LITRE)


def test_knowledge_that_is_given_up_has_a_spread_of_a_half_and_the_level_and_use_that_were_known():
    belief = after_use(start_belief(CarFactor(1.2, 0.03), 6 * LITRE, 0.2 * LITRE), LITRE, 0.08)
    fresh = reopened(belief)
    assert factor_mean(fresh) == pytest.approx(1.2, rel=1e-6)
    assert factor_sd(fresh) == pytest.approx(0.6, rel=1e-3)
    assert (fresh.used, fresh.used_variance) == (belief.used, belief.used_variance)
    assert np.unique(fresh.level) == pytest.approx([6 * LITRE])
    assert np.unique(fresh.variance) == pytest.approx([(0.2 * LITRE) ** 2])


def test_given_up_knowledge_follows_the_next_reading():
    belief = after_use(start_belief(CarFactor(1.0, 0.03), 6 * LITRE, 0.01 * LITRE), LITRE, 0.08)
    kept, _ = after_reading(belief, 4 * LITRE, 0.05 * LITRE)
    fresh, _ = after_reading(reopened(belief), 4 * LITRE, 0.05 * LITRE)
    assert factor_mean(kept) < 1.2
    assert factor_mean(fresh) == pytest.approx(2.0, rel=0.06)


def test_a_reading_above_any_possible_level_still_gives_a_belief():
    belief = after_use(start_belief(CarFactor(1.0, 0.1), 3 * LITRE, 0.0), LITRE, 0.08)
    after, told = after_reading(belief, 5 * LITRE, 0.01 * LITRE)
    assert np.all(np.isfinite(after.weight))
    assert told.lower == pytest.approx(1.0)
    assert told.score > 5


def test_a_factor_without_spread_stays():
    belief = after_use(start_belief(CarFactor(1.1, 0.0), 5 * LITRE, 0.0), LITRE, 0.08)
    after, _ = after_reading(belief, 3 * LITRE, 0.1 * LITRE)
    assert factor_mean(after) == pytest.approx(1.1)
    assert factor_sd(after) == 0
    assert list(factor_quantile(after, [0.1, 0.9])) == pytest.approx([1.1, 1.1])


def test_draws_have_the_belief_s_moments():
    belief = after_use(start_belief(CarFactor(1.0, 0.2), 5 * LITRE, 0.1 * LITRE), LITRE, 0.1)
    belief, _ = after_reading(belief, 3.7 * LITRE, 0.05 * LITRE)
    belief = after_use(belief, 2 * LITRE, 0.1)
    factor, level = draw(belief, np.random.default_rng(3).random((400_000, 3)))
    assert factor.mean() == pytest.approx(factor_mean(belief), rel=1e-3)
    assert factor.std() == pytest.approx(factor_sd(belief), rel=0.01)
    assert level.mean() == pytest.approx(level_mean(belief), rel=2e-3)
    assert level.std() == pytest.approx(level_sd(belief), rel=0.01)


@settings(deadline=None, max_examples=30)
@given(use=st.floats(0.2, 3), less=st.floats(0.01, 0.5), dip=st.floats(0.01, 0.3), run=st.floats(0.01, 0.3))
def test_a_lower_reading_never_means_a_smaller_factor(use, less, dip, run):
    belief = after_use(start_belief(CarFactor(1.0, 0.1), 8 * LITRE, dip * LITRE), use * LITRE, run)
    high, _ = after_reading(belief, (8 - use) * LITRE, dip * LITRE)
    low, _ = after_reading(belief, (8 - use - less) * LITRE, dip * LITRE)
    assert factor_mean(low) >= factor_mean(high)
    assert factor_sd(high) <= factor_sd(belief) * 1.001


@settings(deadline=None, max_examples=30)
@given(scale=st.floats(0.1, 10), reading=st.floats(2, 5))
def test_the_unit_of_volume_changes_nothing(scale, reading):
    def told(unit):
        belief = after_use(start_belief(CarFactor(1.0, 0.1), 5 * unit, 0.1 * unit), unit, 0.08)
        after, chance = after_reading(belief, reading * unit, 0.1 * unit)
        return factor_mean(after), factor_sd(after), chance.lower

    assert told(LITRE * scale) == pytest.approx(told(LITRE), rel=1e-9)


def test_a_dip_error_becomes_litres_through_the_shape():
    box, lying = Box(0.32, 0.18, 0.14), LyingCylinder(0.2, 0.3)
    table = DipTable((0.0, 0.04, 0.08), (0.0, 1e-3, 4e-3), 0.2, 0.2)
    assert reading_sd(box, 0.07, 0.002) == pytest.approx(0.32 * 0.18 * 0.002)
    assert reading_sd(box, 0.0, 0.002) == pytest.approx(0.32 * 0.18 * 0.002)
    assert reading_sd(lying, 0.1, 0.002) == pytest.approx(0.2 * 0.3 * 0.002, rel=1e-4)
    assert reading_sd(lying, 0.01, 0.002) < reading_sd(lying, 0.1, 0.002)
    assert reading_sd(table, 0.02, 0.002) == pytest.approx(1e-3 / 0.04 * 0.002)
    assert reading_sd(table, 0.06, 0.002) == pytest.approx(3e-3 / 0.04 * 0.002)

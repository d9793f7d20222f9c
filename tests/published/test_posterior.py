"""What a reading teaches of the car's factor: against the conjugate closed form, and scipy's cubature."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats

from planner.use.learning import (
    after_reading,
    after_use,
    at_least_used,
    factor_mean,
    factor_sd,
    factor_summary,
    level_mean,
    level_sd,
    predicted,
    start_belief,
)
from planner.use.spread import CarFactor, log_sd

LITRE = 1e-3


@pytest.mark.parametrize("uses", [[0.9], [1.1, 0.8], [1.3, 1.25, 1.2, 1.4]])
def test_posterior_is_the_conjugate_one_when_levels_are_exact(uses):
    # Gelman et al., Bayesian Data Analysis, 3rd ed., eq. 2.11 and 2.12 (from memory): normal mean, known variance.
    prior, run = CarFactor(1.0, 0.10), 0.08
    belief = start_belief(prior, 8 * LITRE, 0.0)
    for use in uses:
        belief = after_use(belief, LITRE, run)
        belief, _ = after_reading(belief, level_before(belief) - use * LITRE, 0.0)
    precision = 1 / log_sd(prior.variation) ** 2 + len(uses) / log_sd(run) ** 2
    evidence = sum(np.log(use) + log_sd(run) ** 2 / 2 for use in uses) / log_sd(run) ** 2
    summary = factor_summary(belief)
    assert summary.log_mean == pytest.approx(
        (prior.log_mean / log_sd(prior.variation) ** 2 + evidence) / precision, abs=1e-9
    )
    assert log_sd(summary.variation) == pytest.approx(precision**-0.5, rel=1e-7)


def level_before(belief) -> float:
    return float(belief.weight @ belief.level)


def test_predictive_chance_is_the_conjugate_one_when_levels_are_exact():
    # Gelman et al., the same section: the predictive variance is the posterior's and the reading's together.
    prior, run = CarFactor(1.05, 0.12), 0.06
    belief = after_use(start_belief(prior, 5 * LITRE, 0.0), LITRE, run)
    spread = np.hypot(log_sd(prior.variation), log_sd(run))
    score = (np.log(1.2) - prior.log_mean + log_sd(run) ** 2 / 2) / spread
    assert predicted(belief, 3.8 * LITRE, 0.0).lower == pytest.approx(stats.norm.sf(score), abs=2e-5)


def _integrated(prior, run, start_sd, dip, reading):
    """By integration over factor and session: mean and sd of C, mean and sd of the level, chance of a lower reading,
    and the mean of C where the reading only bounds the level from above."""
    run_sd, total = log_sd(run), np.hypot(start_sd, dip)
    gain = start_sd**2 / total**2

    def integrand(points):
        y, z = points.T
        factor = np.exp(prior.log_mean + log_sd(prior.variation) * y)
        left = 5 - factor * np.exp(run_sd * z - run_sd**2 / 2)
        density = np.exp(-(((reading - left) / total) ** 2) / 2)
        level = gain * reading + (1 - gain) * left
        lower = stats.norm.cdf((reading - left) / total)
        moments = (1, factor, factor**2, level, level**2)
        terms = (*(moment * density for moment in moments), lower, factor * lower)
        return np.stack(terms, axis=-1) * (stats.norm.pdf(y) * stats.norm.pdf(z))[:, None]

    mass, first, second, level, squared, lower, bounded = integrate.cubature(
        integrand, [-8, -8], [8, 8], rtol=1e-8, atol=1e-11
    ).estimate
    mean, level = first / mass, level / mass
    level_sd = np.sqrt(squared / mass - level**2 + (1 - gain) * start_sd**2)
    return mean, np.sqrt(second / mass - mean**2), level, level_sd, lower, bounded / lower


CASES = (
    # spread, run, start_sd [L], dip [L], reading [L]
    (0.10, 0.08, 0.1, 0.1, 3.8),
    (0.10, 0.05, 0.02, 0.2, 4.2),
    (0.20, 0.25, 0.05, 0.1, 3.5),
    (0.03, 0.08, 0.0, 0.07, 4.1),
)


def learnt(spread, run, start_sd, dip, reading):
    """What `_integrated` gives, levels in L: ours, and by cubature."""
    prior = CarFactor(1.0, spread)
    belief = after_use(start_belief(prior, 5 * LITRE, start_sd * LITRE), LITRE, run)
    after, told = after_reading(belief, reading * LITRE, dip * LITRE)
    bounded = at_least_used(belief, reading * LITRE, dip * LITRE)
    levels = level_mean(after) / LITRE, level_sd(after) / LITRE
    ours = factor_mean(after), factor_sd(after), *levels, told.lower, factor_mean(bounded)
    return ours, _integrated(prior, run, start_sd, dip, reading)


@pytest.mark.parametrize("case", CASES)
def test_posterior_agrees_with_scipys_cubature(case):
    ours, theirs = learnt(*case)
    assert ours[:4] == pytest.approx(theirs[:4], rel=1e-5)
    assert ours[4:] == pytest.approx(theirs[4:], abs=1e-5)

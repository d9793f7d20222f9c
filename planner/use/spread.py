"""How uncertain use is: one factor C for the car all day, one factor R_k for each session, both lognormal, mean 1."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from planner.car import Car
from planner.errors import OutsideModel

Array = np.ndarray

STANDARD_NORMAL = NormalDist()
"""The standard library's, since scipy.special would take a tenth of a second to import at every start."""

USUAL_WEIGHT = 4.0
"""How many recordings the usual variation counts for against a course's own (a design choice)."""


def log_sd(variation: float) -> float:
    """Standard deviation of ln X [1] for a lognormal X with a coefficient of variation [1]."""
    return math.sqrt(math.log1p(variation**2))


def lognormal_quantile(mean: float, variation: float, probability: float) -> float:
    """Quantile of a lognormal with a mean and a coefficient of variation [1]."""
    sd = log_sd(variation)
    return mean * math.exp(sd * STANDARD_NORMAL.inv_cdf(probability) - sd**2 / 2)


def joint_variation(first: float, second: float) -> float:
    """Coefficient of variation [1] of the product of two independent lognormals."""
    return math.sqrt((1 + first**2) * (1 + second**2) - 1)


def shrunk_variation(values: Array, usual: float, weights: Array | None = None) -> float:
    """Coefficient of variation [1] of values (n,), shrunk toward `usual` as if that were USUAL_WEIGHT values more.

    weights (n,) any unit: how long each value was measured, so that a short one says less; equal where not given.
    The variance is the unbiased one for such weights, of (sum w)^2 / sum w^2 values (Kish, Survey Sampling, 1965, from
    memory).
    """
    weight = np.ones(values.size) if weights is None else np.asarray(weights, dtype=float)
    total, squares = float(weight.sum()), float((weight**2).sum())
    count = total**2 / squares if squares else 0.0
    mean = float(weight @ values) / total if total else 0.0
    if count < 1 + 1e-9 or mean <= 0:
        return usual
    variance = float(weight @ (values - mean) ** 2) / (total - squares / total)
    freedom = count - 1
    return math.sqrt((USUAL_WEIGHT * usual**2 + freedom * variance / mean**2) / (USUAL_WEIGHT + freedom))


def share_covered(count: int, confidence: float = 0.95) -> float:
    """Share of all sessions [1] that use no more than the largest of `count` recorded ones, with a confidence [1].

    Source: Wilks, Annals of Mathematical Statistics 12 (1941) 91: `1 - share^count = confidence`, whatever the
    distribution.
    """
    return (1 - confidence) ** (1 / count)


@dataclass(frozen=True, slots=True)
class CarFactor:
    """What is known of the car's factor C: a lognormal with a mean [1] and a coefficient of variation [1]."""

    mean: float = 1.0
    variation: float = 0.10

    @property
    def log_mean(self) -> float:
        """Mean of ln C."""
        return math.log(self.mean) - log_sd(self.variation) ** 2 / 2


def factor_from_flow_test(prior: CarFactor, measured: float, expected: float, error: float) -> CarFactor:
    """Posterior of the car's factor after a flow test; conjugate on the log scale.

    ln(measured/expected) is normal about ln C with a standard deviation log_sd(error); flows [m3/s], error [1].
    Raises OutsideModel where no flow was expected or measured.
    """
    if not (measured > 0 and expected > 0):
        raise OutsideModel(f"a flow test of {measured} m3/s against {expected} m3/s expected tells nothing")
    prior_precision, precision = log_sd(prior.variation) ** -2, log_sd(error) ** -2
    variance = 1 / (prior_precision + precision)
    log_mean = variance * (prior_precision * prior.log_mean + precision * math.log(measured / expected))
    return CarFactor(math.exp(log_mean + variance / 2), math.sqrt(math.expm1(variance)))


def prior_factor(car: Car) -> CarFactor:
    """The car's factor before any measurement, or as the last day kept in its file left it."""
    if car.kept:
        return CarFactor(car.kept[-1].factor, car.kept[-1].variation)
    return CarFactor(1.0, car.spread.car)


@lru_cache(maxsize=8)
def _normal_strata(draws: int) -> Array:
    """Middles of `draws` strata of equal chance of the standard normal, (draws,), rising."""
    half = (draws + 1) // 2
    lower = np.array([STANDARD_NORMAL.inv_cdf((k + 0.5) / draws) for k in range(half)])
    return np.concatenate((lower, -lower[: draws - half][::-1]))


@lru_cache(maxsize=32)
def normal_draws(sessions: int, draws: int, seed: int) -> Array:
    """Standard normal draws (sessions + 1, draws), row 0 for the car; Latin hypercube, so quantiles settle early.

    Source: McKay, Beckman, Conover, Technometrics 21 (1979) 239.
    """
    strata = _normal_strata(draws)
    generator = np.random.default_rng(seed)
    table = np.stack([generator.permutation(strata) for _ in range(sessions + 1)])
    table.setflags(write=False)
    return table


def use_draws(means: Array, variations: Array, car: CarFactor, draws: int, seed: int) -> Array:
    """Draws (sessions, draws) of what each session takes, `mean_k C R_k`; means (sessions,) in any unit."""
    normal = normal_draws(means.size, draws, seed)
    car_sd = log_sd(car.variation)
    run_sd = np.sqrt(np.log1p(np.asarray(variations) ** 2))[:, None]
    draws_of = run_sd * normal[1:]  # logarithms first, worked on in place: the table is large
    draws_of += car.log_mean + car_sd * normal[0] - run_sd**2 / 2
    np.exp(draws_of, out=draws_of)
    draws_of *= means[:, None]
    return draws_of

"""What the day's readings say about the car's one unknown factor and about the level now.

Model. A session of mean use m takes `m C R` out of the tank: C is the car's factor, one a day, lognormal; R is the
session's own factor, lognormal with mean 1. A reading is the level plus a normal dip error. The factor stands on a
grid of log C, where a sum is as good as the integral; given C, the level is normal as of the last reading, less the
lognormal use since. A reading is weighed by Gauss-Hermite quadrature over whichever of the two is narrower, so the
posterior of C from a known level and one reading is exact to rounding; after a reading the level given C is kept by
its mean and variance. The use of several sessions between two readings is a lognormal of the sum's mean and variance
(Fenton, IRE Trans. Commun. Syst. 8, 1960).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr, ndtri

from planner.physics.tank import TankShape
from planner.use.spread import CarFactor, log_sd

Array = np.ndarray

DIP_ERROR = 0.002  # standard deviation of a level read by hand [m]; common practice, no source
POUR_ERROR = 0.02  # relative standard deviation of a poured amount; common practice, no source
_REACH, _POINTS = 8.0, 401
_NODE, _NODE_WEIGHT = np.polynomial.hermite_e.hermegauss(24)
_LOG_NODE_WEIGHT = np.log(_NODE_WEIGHT / np.sqrt(2 * np.pi))[:, None]
_LOG_ROOT_2PI = 0.5 * np.log(2 * np.pi)


@dataclass(frozen=True, slots=True, eq=False)
class Belief:
    """Joint belief about factor and level.

    log_factor: (n,) grid of log C [1]; weight: (n,) its probabilities, sum 1.
    level: (n,) [m3] and variance: (n,) [m6] of the level given C, before the use since the last reading.
    used [m3] and used_variance [m6]: that use at C = 1.
    """

    log_factor: Array
    weight: Array
    level: Array
    variance: Array
    used: float = 0.0
    used_variance: float = 0.0

    @property
    def factor(self) -> Array:
        """(n,) grid of C [1]."""
        return np.exp(self.log_factor)


@dataclass(frozen=True, slots=True)
class Predicted:
    """A reading [m3] held against what was expected before it.

    expected, sd: mean and standard deviation [m3] of the reading; lower: chance of a reading as low or lower.
    """

    reading: float
    expected: float
    sd: float
    lower: float

    @property
    def score(self) -> float:
        """Standard normal score of the reading: positive when more is left than expected."""
        return float(ndtri(min(max(self.lower, 1e-15), 1 - 1e-15)))


def start_belief(prior: CarFactor, level: float, level_sd: float) -> Belief:
    """Belief at the day's start from the factor's prior and a level [m3] with its standard deviation [m3]."""
    points = np.linspace(-_REACH, _REACH, _POINTS) if prior.variation > 0 else np.zeros(1)
    weight = np.exp(-(points**2) / 2)
    flat = np.ones_like(points)
    return Belief(
        prior.log_mean + log_sd(prior.variation) * points, weight / weight.sum(), level * flat, level_sd**2 * flat
    )


def after_use(belief: Belief, use: float, run_spread: float) -> Belief:
    """Belief after a session of mean use [m3] at C = 1, whose own factor varies by `run_spread` [1]."""
    return replace(belief, used=belief.used + use, used_variance=belief.used_variance + (use * run_spread) ** 2)


def after_pour(belief: Belief, volume: float, sd: float) -> Belief:
    """Belief after pouring a volume [m3], known to a standard deviation [m3]."""
    return replace(belief, level=belief.level + volume, variance=belief.variance + sd**2)


def at_mark(belief: Belief, mark: float, sd: float) -> Belief:
    """Belief after filling to a mark [m3], hit to a standard deviation [m3]; what was poured stays unknown."""
    flat = np.ones_like(belief.level)
    return replace(belief, level=mark * flat, variance=sd**2 * flat, used=0.0, used_variance=0.0)


def after_reading(belief: Belief, reading: float, sd: float) -> tuple[Belief, Predicted]:
    """Belief after a level reading [m3] with its standard deviation [m3], and how the reading was expected.

    The weights are Bayes's rule; the level given C gets the posterior's mean and variance.
    """
    total = belief.variance + sd**2
    log_likelihood, use, use_variance = _weigh(belief, reading, np.sqrt(total))
    log_weight = np.log(np.maximum(belief.weight, 1e-300)) + log_likelihood
    weight = np.exp(log_weight - log_weight.max())
    gain = np.divide(belief.variance, total, out=np.zeros_like(total), where=total > 0)
    level = gain * reading + (1 - gain) * (belief.level - use)
    variance = belief.variance * (1 - gain) + (1 - gain) ** 2 * use_variance
    after = Belief(belief.log_factor, weight / weight.sum(), level, variance)
    return after, predicted(belief, reading, sd)


def at_least_used(belief: Belief, reading: float, sd: float) -> Belief:
    """Belief after a reading [m3] that only bounds the level from above, as where a tank ran dry."""
    weight = belief.weight * np.maximum(_lower_chance(belief, reading, np.sqrt(belief.variance + sd**2)), 1e-12)
    return replace(belief, weight=weight / weight.sum())


def predicted(belief: Belief, reading: float, sd: float) -> Predicted:
    """A reading [m3] with its standard deviation [m3] against what the belief expects."""
    chance = float(belief.weight @ _lower_chance(belief, reading, np.sqrt(belief.variance + sd**2)))
    expected = level_mean(belief)
    return Predicted(reading, expected, float(np.hypot(level_sd(belief), sd)), chance)


def reopened(belief: Belief, spread: float = 0.5) -> Belief:
    """Belief with the factor's knowledge given up: lognormal of the same mean and `spread` [1], the level kept."""
    fresh = start_belief(CarFactor(factor_mean(belief), spread), 0.0, 0.0)
    return with_level_of(fresh, belief)


def with_level_of(belief: Belief, now: Belief) -> Belief:
    """What one belief knows of the factor with the level and the pending use of another."""
    unused = replace(now, used=0.0, used_variance=0.0)
    flat = np.ones_like(belief.level)
    return Belief(
        belief.log_factor,
        belief.weight,
        level_mean(unused) * flat,
        level_sd(unused) ** 2 * flat,
        now.used,
        now.used_variance,
    )


def factor_mean(belief: Belief) -> float:
    """Mean of the car's factor [1]."""
    return float(belief.weight @ belief.factor)


def factor_sd(belief: Belief) -> float:
    """Standard deviation of the car's factor [1]."""
    return float(np.sqrt(belief.weight @ (belief.factor - factor_mean(belief)) ** 2))


def factor_quantile(belief: Belief, chance: Array | float) -> Array:
    """Factor [1] that C stays below with a chance [1]; each grid point stands for the cell around it."""
    if len(belief.weight) == 1:
        return np.broadcast_to(belief.factor, np.shape(chance))
    step = belief.log_factor[1] - belief.log_factor[0]
    edges = np.append(belief.log_factor - step / 2, belief.log_factor[-1] + step / 2)
    return np.exp(np.interp(chance, np.append(0.0, np.cumsum(belief.weight)), edges))


def factor_summary(belief: Belief) -> CarFactor:
    """The lognormal with the posterior's mean and standard deviation of log C."""
    mean = float(belief.weight @ belief.log_factor)
    variance = float(belief.weight @ (belief.log_factor - mean) ** 2)
    return CarFactor(float(np.exp(mean + variance / 2)), float(np.sqrt(np.expm1(variance))))


def level_mean(belief: Belief) -> float:
    """Mean of the level now [m3]."""
    return float(belief.weight @ (belief.level - belief.factor * belief.used))


def level_sd(belief: Belief) -> float:
    """Standard deviation of the level now [m3]."""
    given = belief.level - belief.factor * belief.used
    inner = belief.variance + belief.factor**2 * belief.used_variance
    return float(np.sqrt(belief.weight @ (inner + (given - belief.weight @ given) ** 2)))


def draw(belief: Belief, uniform: Array) -> tuple[Array, Array]:
    """Factors (n,) [1] and levels now (n,) [m3] from uniform numbers (n, 3) between 0 and 1."""
    factor = factor_quantile(belief, uniform[:, 0])
    log_factor = np.log(factor)
    level = np.interp(log_factor, belief.log_factor, belief.level)
    sd = np.sqrt(np.interp(log_factor, belief.log_factor, belief.variance))
    use = factor * belief.used * np.exp(_log_use(belief, ndtri(uniform[:, 2])))
    return factor, level + sd * ndtri(uniform[:, 1]) - use


def reading_sd(shape: TankShape, level: float, dip_error: float = DIP_ERROR) -> float:
    """Standard deviation [m3] of a level [m] read with a dip error [m], through the tank's shape there."""
    low, high = max(level - dip_error, 0.0), min(level + dip_error, shape.height)
    volumes = shape.volume_from_level(np.array([low, high]))
    return float((volumes[1] - volumes[0]) / (high - low) * dip_error)


def _log_use(belief: Belief, score: Array) -> Array:
    """Logarithm of the pending use over its mean at standard normal scores."""
    sd = _use_log_sd(belief)
    return sd * score - sd**2 / 2


def _use_log_sd(belief: Belief) -> float:
    if belief.used <= 0:
        return 0.0
    return log_sd(belief.used_variance**0.5 / belief.used)


def _reading_is_narrower(belief: Belief, sd: Array) -> Array:
    """(n,) where the reading's error is smaller than the spread of the use, and quadrature runs over the former."""
    return sd < belief.factor * np.sqrt(belief.used_variance)


def _weigh(belief: Belief, reading: float, sd: Array) -> tuple[Array, Array, Array]:
    """Log likelihood (n,) of a reading [m3], and mean [m3] and variance [m6] of the use given it."""
    spread_use = np.exp(_log_use(belief, _NODE))[:, None] * (belief.factor * belief.used)
    over_use = _LOG_NODE_WEIGHT + _log_normal_density(reading - belief.level + spread_use, sd)
    error_use = belief.level - reading + _NODE[:, None] * sd
    over_error = _LOG_NODE_WEIGHT + _log_use_density(belief, error_use)
    narrow = _reading_is_narrower(belief, sd) & np.isfinite(over_error.max(axis=0))
    terms, use = np.where(narrow, over_error, over_use), np.where(narrow, error_use, spread_use)
    top = terms.max(axis=0)
    share = np.exp(terms - top)
    total = share.sum(axis=0)
    mean = (share * use).sum(axis=0) / total
    return top + np.log(total), mean, (share * (use - mean) ** 2).sum(axis=0) / total


def _lower_chance(belief: Belief, reading: float, sd: Array) -> Array:
    """(n,) chance of a reading [m3] as low or lower given C."""
    weight = np.exp(_LOG_NODE_WEIGHT)
    use = np.exp(_log_use(belief, _NODE))[:, None] * (belief.factor * belief.used)
    safe = np.where(sd > 0, sd, 1e-300)
    over_use = (weight * ndtr((reading - belief.level + use) / safe)).sum(axis=0)
    at_least = belief.level - reading + _NODE[:, None] * sd
    over_error = (weight * _use_chance_above(belief, at_least)).sum(axis=0)
    return np.where(_reading_is_narrower(belief, sd), over_error, over_use)


def _log_normal_density(deviation: Array, sd: Array) -> Array:
    safe = np.maximum(sd, 1e-300)
    return -((np.clip(deviation / safe, -1e150, 1e150)) ** 2) / 2 - np.log(safe) - _LOG_ROOT_2PI


def _log_use_density(belief: Belief, use: Array) -> Array:
    """Log of the lognormal density of the pending use [m3] given C; -inf where the use is not positive."""
    sd = _use_log_sd(belief)
    if sd == 0:
        return np.full_like(use, -np.inf)
    log_use, score = _use_score(belief, use, sd)
    return np.where(use > 0, -(score**2) / 2 - log_use - np.log(sd) - _LOG_ROOT_2PI, -np.inf)


def _use_chance_above(belief: Belief, use: Array) -> Array:
    sd = _use_log_sd(belief)
    if sd == 0:
        return np.ones_like(use)
    _, score = _use_score(belief, use, sd)
    return np.where(use > 0, ndtr(-score), 1.0)


def _use_score(belief: Belief, use: Array, sd: float) -> tuple[Array, Array]:
    """Log of the pending use [m3], and its standard normal score given C."""
    log_use = np.log(np.where(use > 0, use, 1.0))
    return log_use, (log_use - np.log(belief.factor * belief.used) + sd**2 / 2) / sd

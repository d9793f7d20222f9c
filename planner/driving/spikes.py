"""Single samples that no manifold can do: found on the refreshes of a boost signal.

The rates are wide on purpose (common practice, no source): boost is built within tenths of a second, a closing throttle
empties a manifold within some hundredths. Only a sample that leaves both neighbours faster than that is a spike.
"""

from __future__ import annotations

import numpy as np

Array = np.ndarray

RISE, RISE_AT_ONCE = 600e3, 30e3  # [Pa/s], [Pa]
FALL, FALL_AT_ONCE = 2500e3, 40e3  # [Pa/s], [Pa]
LOWEST, HIGHEST = -96e3, 600e3  # [Pa gauge]
_FAR = 100e3  # [Pa] beyond every other sample
_FEWEST = 20


def spikes(time: Array, gauge: Array) -> Array:
    """Places of single-sample spikes in a boost signal (n,) [Pa gauge] at time (n,) [s]."""
    steps = np.diff(gauge)
    if gauge.size < _FEWEST or np.abs(steps).max() < RISE_AT_ONCE:
        return np.empty(0, dtype=int)
    found = np.zeros(gauge.size, dtype=bool)
    found[1:-1] = _leaves_both(steps, np.diff(time))
    beyond = (gauge < LOWEST) | (gauge > HIGHEST)
    found |= beyond & _alone(beyond)
    found |= _far_above(gauge)
    return np.flatnonzero(found)


def _leaves_both(steps: Array, times: Array) -> Array:
    rise, fall = RISE_AT_ONCE + RISE * times, FALL_AT_ONCE + FALL * times
    up = (steps[:-1] > rise[:-1]) & (-steps[1:] > rise[1:])
    down = (-steps[:-1] > fall[:-1]) & (steps[1:] > fall[1:])
    return up | down


def _alone(flags: Array) -> Array:
    """Flags whose neighbours on both sides are not flagged."""
    padded = np.concatenate(([False], flags, [False]))
    return flags & ~padded[:-2] & ~padded[2:]


def _far_above(gauge: Array) -> Array:
    """The few single samples that stand 100 kPa above every other one, at any sampling rate."""
    flags = np.zeros(gauge.size, dtype=bool)
    few = min(4, gauge.size // 50)
    if not few:
        return flags
    top = np.argpartition(gauge, -(few + 1))[-(few + 1) :]
    top = top[np.argsort(gauge[top])]
    jumps = np.flatnonzero(np.diff(gauge[top]) > _FAR)
    if jumps.size:
        flags[top[jumps[0] + 1 :]] = True
    return flags & _alone(flags)

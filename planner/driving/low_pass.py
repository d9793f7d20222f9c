"""A zero-phase low-pass over the stretches between gaps, against engine and kerb vibration.

Cut-off 3 Hz: a Butterworth filter of second order run forward and back, so that nothing is delayed. Two passes at
one cut-off would lower the combined cut-off; each pass is set higher by (2^(1/2) - 1)^(-1/4), so that the combined
gain is 0.707 at 3 Hz (Winter, Biomechanics and Motor Control of Human Movement, ch. 3; from memory).
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

Array = np.ndarray

CUT_OFF = 3.0  # [Hz]
_PER_PASS = (2**0.5 - 1) ** -0.25
_FEWEST = 8
_UNEVEN = 1.5
_MOST_POINTS = 4


def low_passed(time: Array, values: Array, before_gaps: Array) -> Array:
    """Values (n,), real or complex, at time (n,) [s], low-passed at CUT_OFF [Hz] without delay, each stretch by itself.

    Stretches sampled more coarsely than 9 Hz stay as they are: they hold nothing that the filter would take out.
    """
    if not before_gaps.size:
        return _stretch(time, values)
    bounds = [0, *(before_gaps + 1).tolist(), time.size]
    parts = [_stretch(time[a:b], values[a:b]) for a, b in pairwise(bounds)]
    return np.concatenate(parts)


def _stretch(time: Array, values: Array) -> Array:
    steps = np.diff(time)
    usual = float(np.median(steps)) if steps.size >= _FEWEST else 0.0
    if not 0 < usual < 0.4 / (CUT_OFF * _PER_PASS):
        return values
    if steps.max() <= _UNEVEN * usual and steps.min() >= usual / _UNEVEN:
        return _filtered(values, usual)
    span = float(time[-1] - time[0])
    count = int(min(span / usual, _MOST_POINTS * time.size)) + 2
    even = np.linspace(time[0], time[-1], count)
    return np.interp(time, even, _filtered(np.interp(even, time, values), span / (count - 1)))


def _filtered(values: Array, interval: float) -> Array:
    from scipy.signal import butter, sosfiltfilt  # half a second to import, and few recordings need it

    corner = CUT_OFF * _PER_PASS
    sections = butter(2, min(corner, 0.45 / interval), fs=1 / interval, output="sos")
    padding = min(max(9, round(1 / (corner * interval))), values.size - 1)
    return sosfiltfilt(sections, values, padlen=padding)

"""Accelerations for cornering: to m/s2 in ISO 8855 signs, and a zero-phase low-pass against vibration.

Cut-off 3 Hz: a Butterworth filter of second order run forward and back, so that nothing is delayed. Two passes at
one cut-off would lower the combined cut-off; the pass is set higher by (2^(1/2) - 1)^(-1/4), so that the combined
gain is 0.707 at 3 Hz (Winter, Biomechanics and Motor Control of Human Movement, ch. 3; from memory).
"""

from __future__ import annotations

import numpy as np

Array = np.ndarray

CUT_OFF = 3.0  # [Hz]
_PER_PASS = (2**0.5 - 1) ** -0.25


def low_passed(values: Array, interval: float) -> Array:
    """Values (n,) at an even interval [s], low-passed at CUT_OFF [Hz] without delay; unchanged where too coarse."""
    from scipy.signal import butter, sosfiltfilt  # half a second to import, and few recordings need it

    corner = CUT_OFF * _PER_PASS
    if not interval < 0.4 / corner or values.size < 30:
        return values
    return sosfiltfilt(butter(2, corner, fs=1 / interval, output="sos"), values)

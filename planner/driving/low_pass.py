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
_SETTLING = 4.0


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
    """Values (n,) filtered as if forward and back, by their spectrum; scipy.signal would take 0.4 s to import.

    The gain of both passes is 1 / (1 + (tan(pi f dt) / tan(pi fc dt))^4), the bilinear Butterworth's squared.
    """
    corner = min(CUT_OFF * _PER_PASS, 0.45 / interval)
    reach = min(values.size - 1, round(_SETTLING / (corner * interval)))
    ahead, behind = 2 * values[0] - values[reach:0:-1], 2 * values[-1] - values[-2 : -reach - 2 : -1]
    extended = np.concatenate((ahead, values, behind))
    size = _fast_size(extended.size)
    closing = np.linspace(extended[-1], extended[0], size - extended.size + 2)[1:-1]
    frequency = np.abs(np.fft.fftfreq(size))
    gain = 1 / (1 + (np.tan(np.pi * frequency) / np.tan(np.pi * corner * interval)) ** 4)
    smooth = np.fft.ifft(np.fft.fft(np.concatenate((extended, closing))) * gain)[reach : reach + values.size]
    return smooth if np.iscomplexobj(values) else smooth.real.copy()


def _fast_size(least: int) -> int:
    """A size of at least `least` with small factors, which a fast Fourier transform wants."""
    power = max(least.bit_length() - 4, 0)
    return -((-least) >> power) << power

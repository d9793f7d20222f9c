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
_BLOCK = 3000


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
    """Values (n,) filtered as if forward and back, block by block; scipy.signal would take 0.4 s to import.

    A value answers to what lies within _SETTLING periods of the corner, the rest being below 2e-8 of it; so blocks
    that overlap by as much, each small enough for the processor's cache, give what one long transform gives.
    """
    corner = min(CUT_OFF * _PER_PASS, 0.45 / interval)
    settling = round(_SETTLING / (corner * interval))
    reach = min(values.size - 1, settling)
    ahead, behind = 2 * values[0] - values[reach:0:-1], 2 * values[-1] - values[-2 : -reach - 2 : -1]
    size = 1 << (min(values.size, _BLOCK) + 2 * settling - 1).bit_length()
    kept = size - 2 * settling
    level = settling - reach, settling - reach + (-values.size) % kept
    extended = np.pad(np.concatenate((ahead, values, behind)), level, mode="edge")
    blocks = np.lib.stride_tricks.sliding_window_view(extended, size)[::kept]
    gain = _gain(size, corner * interval)
    if np.iscomplexobj(values):
        smooth = np.fft.ifft(np.fft.fft(blocks) * gain)
    else:
        smooth = np.fft.irfft(np.fft.rfft(blocks) * gain[: size // 2 + 1], size)
    return smooth[:, settling : settling + kept].reshape(-1)[: values.size]


def _gain(size: int, corner: float) -> Array:
    """Gain (size,) of both passes for a corner [1] in cycles a sample, the bilinear Butterworth's squared.

    It is 1 / (1 + (tan(pi f) / tan(pi corner))^4) at a frequency f in cycles a sample.
    """
    return 1 / (1 + (np.tan(np.pi * np.abs(np.fft.fftfreq(size))) / np.tan(np.pi * corner)) ** 4)

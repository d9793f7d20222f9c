"""A zero-phase low-pass over the stretches between gaps, against engine and kerb vibration.

Cut-off 8 Hz: a Butterworth filter of second order run forward and back, so that nothing is delayed. Two passes at
one cut-off would lower the combined cut-off; each pass is set higher by (2^(1/2) - 1)^(-1/4), to 10 Hz, so that the
combined gain is 0.707 at 8 Hz at any sampling rate (Winter, Biomechanics and Motor Control of Human Movement, ch. 3;
from memory).

Tanks of a car slosh at 1 to 3 Hz: what moves the fluid must pass (0.99 at 3 Hz), and no more than 0.04 of what shakes
at 20 Hz does. A cut-off at 3 Hz would take a tenth and more of what drives a mode above 2.2 Hz.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np

Array = np.ndarray

CUT_OFF = 8.0  # [Hz]
COARSEST = 25.0  # [Hz]
_PER_PASS = (2**0.5 - 1) ** -0.25
_FEWEST = 8
_UNEVEN = 1.5
_MOST_POINTS = 4
_SETTLING = 4.0
_BLOCK, _AT_ONCE = 3000, 8
_JUDGED = 20_000


def low_passed(time: Array, values: Array, before_gaps: Array) -> Array:
    """Values (n,), real or complex, at time (n,) [s], low-passed at CUT_OFF [Hz] without delay, each stretch by itself.

    Stretches sampled more coarsely than COARSEST [Hz] stay as they are: they hold little that the filter would take.
    """
    if not before_gaps.size:
        return _stretch(time, values)
    bounds = [0, *(before_gaps + 1).tolist(), time.size]
    parts = [_stretch(time[a:b], values[a:b]) for a, b in pairwise(bounds)]
    return np.concatenate(parts)


def _stretch(time: Array, values: Array) -> Array:
    steps = np.diff(time)
    usual = float(np.median(steps[:: 1 + steps.size // _JUDGED])) if steps.size >= _FEWEST else 0.0
    if not 0 < usual <= 1.001 / COARSEST:
        return values
    if steps.max() <= _UNEVEN * usual and steps.min() >= usual / _UNEVEN:
        return _filtered(values, usual)
    span = float(time[-1] - time[0])
    count = int(min(span / usual, _MOST_POINTS * time.size)) + 2
    even = np.linspace(time[0], time[-1], count)
    return np.interp(time, even, _filtered(np.interp(even, time, values), span / (count - 1)))


def _filtered(values: Array, interval: float) -> Array:
    """Values (n,) filtered as if forward and back, block by block; scipy.signal would take 0.4 s to import.

    A value answers to what lies within _SETTLING periods of a pass's cut-off, the rest being below 2e-8 of it; so
    blocks that overlap by as much, each small enough for the processor's cache, give what one long transform gives.
    """
    settling = round(_SETTLING / (CUT_OFF * _PER_PASS * interval))
    reach = min(values.size - 1, settling)
    ahead, behind = 2 * values[0] - values[reach:0:-1], 2 * values[-1] - values[-2 : -reach - 2 : -1]
    size = 1 << (min(values.size, _BLOCK) + 2 * settling - 1).bit_length()
    kept = size - 2 * settling
    count = -(-values.size // kept)
    extended = np.full(count * kept + 2 * settling, behind[-1] if reach else values[-1])
    extended[: settling - reach] = ahead[0] if reach else values[0]
    extended[settling - reach : settling + values.size + reach] = np.concatenate((ahead, values, behind))
    blocks = np.lib.stride_tricks.sliding_window_view(extended, size)[::kept]
    gain, smooth = (
        _gain(size, _PER_PASS * float(np.tan(np.pi * CUT_OFF * interval))),
        np.empty((count, kept), dtype=values.dtype),
    )
    for first in range(0, count, _AT_ONCE):
        part = slice(first, first + _AT_ONCE)
        smooth[part] = _passed(blocks[part], gain)[:, settling : settling + kept]
    return smooth.reshape(-1)[: values.size]


def _passed(blocks: Array, gain: Array) -> Array:
    """Blocks (m, n), real or complex, with each frequency taken times its gain (n,)."""
    if np.iscomplexobj(blocks):
        spectrum = np.fft.fft(blocks)
        spectrum *= gain
        return np.fft.ifft(spectrum, out=spectrum)
    spectrum = np.fft.rfft(blocks)
    spectrum *= gain[: spectrum.shape[1]]
    return np.fft.irfft(spectrum, blocks.shape[1])


def _gain(size: int, corner: float) -> Array:
    """Gain (size,) of both passes, the bilinear Butterworth's squared, for the corner's tangent [1].

    It is 1 / (1 + (tan(pi f) / corner)^4) at a frequency f in cycles a sample.
    """
    return 1 / (1 + (np.tan(np.pi * np.abs(np.fft.fftfreq(size))) / corner) ** 4)

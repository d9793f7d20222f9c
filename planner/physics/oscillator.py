"""A damped oscillator driven by a sampled acceleration that runs straight from sample to sample.

`y'' + 2 zeta w y' + w^2 y = w^2 u` has unit gain at rest. The first-order hold is exact for such an input; samples
are worked off in blocks, each one matrix product, so that many oscillators over a long recording take little time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.errors import OutsideModel

Array = np.ndarray

BLOCK = 64
_FADED = 40.0
"""Natural logarithm of what counts as nothing beside one, exp(-40)."""


def free_motion(frequency: Array, damping: float, step: Array | float) -> Array:
    """What a time [s] without drive makes of (y, y'), (..., 2, 2), at undamped frequencies [Hz]; both broadcast."""
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    swing = omega * np.sqrt(1 - damping**2)
    decay = np.exp(-damping * omega * step)
    cosine, sine = decay * np.cos(swing * step), decay * np.sin(swing * step)
    lag = damping / np.sqrt(1 - damping**2) * sine
    rows = [cosine + lag, sine / swing, -(omega**2) * sine / swing, cosine - lag]
    return np.stack(np.broadcast_arrays(*rows), axis=-1).reshape(*cosine.shape, 2, 2)


def _held(frequency: Array, damping: float, step: float, free: Array) -> tuple[Array, Array]:
    """Vectors of `x1 = free x0 + before u0 + after u1`, (m, 2) each; free: (m, 2, 2), of one step without drive."""
    lag = 2 * damping / (2 * np.pi * frequency) / step
    # The answer to a ramp from u0 to u1 is the ramp itself, late by `lag` steps; what differs from it at first decays.
    late = np.stack((lag, np.full_like(lag, -1 / step)), axis=-1)
    on_time = np.zeros_like(late)
    on_time[:, 0] = 1.0
    before = late - (free @ (on_time + late)[..., None])[..., 0]
    return before, on_time - late + (free @ late[..., None])[..., 0]


@dataclass(frozen=True, slots=True, eq=False)
class _Block:
    """What a block of samples makes of an oscillator, in closed form.

    ends: (m, B + 1, 2), the state at the block's end from each of its samples; answers: (m, B + 1, B), the weighted
    state after each step from each sample; started: (m, 2, B), the same from the state at the block's start.
    """

    ends: Array
    answers: Array
    started: Array


def _block(frequency: Array, damping: float, step: float, weights: Array) -> _Block:
    """The block's answers for states weighted by (m, 2)."""
    free = free_motion(frequency[:, None], damping, step * np.arange(BLOCK + 1))
    before, after = _held(frequency, damping, step, free[:, 1])
    own, late = free @ before[:, None, :, None], free @ after[:, None, :, None]
    both = (own[:, :-1] + late[:, 1:])[..., 0]
    first, last = own[:, BLOCK - 1 : BLOCK, :, 0], late[:, :1, :, 0]
    ends = np.concatenate((first, both[:, -2::-1], last), axis=1)
    # A sample acts `lag` steps later; those still to come do nothing, and the block's first has no step before it.
    lagged = np.zeros((frequency.size, 2 * BLOCK))
    lagged[:, BLOCK:] = (both @ weights[..., None])[..., 0]
    lagged[:, BLOCK - 1] = (after * weights).sum(axis=1)
    windows = np.lib.stride_tricks.sliding_window_view(lagged, BLOCK, axis=1)
    answers = np.ascontiguousarray(windows[:, ::-1])
    answers[:, 0] = (own[:, :-1, :, 0] @ weights[..., None])[..., 0]
    return _Block(ends, answers, (weights[:, None, None, :] @ free[:, 1:])[:, :, 0].swapaxes(1, 2))


def _block_starts(ends: Array, frequency: Array, damping: float, step: float, start: float) -> Array:
    """States (m, blocks, 2) at the start of each block, from rest under `start`; ends: at its end without history.

    In the plane of `z = y' + zeta w y + i w_d y` a block of free motion is one complex factor.
    """
    omega = 2 * np.pi * frequency
    swing = omega * np.sqrt(1 - damping**2)
    pole = -damping * omega + 1j * swing
    decay = pole * BLOCK * step
    gained = ends[..., 1] - np.conj(pole)[:, None] * ends[..., 0]
    given = np.concatenate((-np.conj(pole)[:, None] * start, gained[:, :-1]), axis=1)
    # What came in fades by one factor a block, until nothing of it is left to add.
    lasting = min(ends.shape[1], int(np.ceil(_FADED / -decay.real.max())) + 1)
    fading = np.exp(decay[:, None] * np.arange(lasting))
    states = np.stack([np.convolve(row, kernel)[: row.size] for row, kernel in zip(given, fading, strict=True)])
    height = states.imag / swing[:, None]
    return np.stack((height, states.real - (damping * omega)[:, None] * height), axis=-1)


def driven_response(
    drive: Array, step: float, frequency: Array, *, damping: float, rate_time: Array | float = 0.0
) -> Array:
    """Answers `y + rate_time y'`, (m, n), of oscillators to a drive (n,) sampled every `step` [s]; unit of the drive.

    frequency: (m,) [Hz], undamped; damping [1] above 0 and below 1; rate_time: (m,) or one [s]. Each starts at
    rest under the first sample. Within 1e-12 of the drive for one that is straight between samples.
    Raises OutsideModel for a frequency that is not finite and above 0, or a damping out of bounds.
    """
    frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
    if not np.all(np.isfinite(frequency) & (frequency > 0)):
        raise OutsideModel(f"frequency [Hz] {frequency} must be finite and above 0")
    if not 0 < damping < 1:
        raise OutsideModel(f"damping {damping} must be above 0 and below 1; a bare tank has 0.15")
    samples = drive.size
    blocks = max(1, -(-(samples - 1) // BLOCK))
    padded = np.concatenate((drive, np.full(blocks * BLOCK + 1 - samples, drive[-1])))
    # Copied, since the arithmetic library takes no rows that overlap.
    windows = np.ascontiguousarray(np.lib.stride_tricks.sliding_window_view(padded, BLOCK + 1)[::BLOCK])
    weights = np.ones((frequency.size, 2))
    weights[:, 1] = rate_time
    block = _block(frequency, damping, step, weights)
    starts = _block_starts(windows @ block.ends, frequency, damping, step, float(drive[0]))
    answer = windows @ block.answers
    answer += starts @ block.started
    first = np.full((frequency.size, 1), drive[0])
    return np.concatenate((first, answer.reshape(frequency.size, -1)[:, : samples - 1]), axis=1)

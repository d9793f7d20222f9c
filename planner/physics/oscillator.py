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


def free_motion(frequency: Array, damping: float, step: Array | float) -> Array:
    """What a time [s] without drive makes of (y, y'), (..., 2, 2), at undamped frequencies [Hz]; both broadcast."""
    omega = 2 * np.pi * np.asarray(frequency, dtype=float)
    swing = omega * np.sqrt(1 - damping**2)
    decay = np.exp(-damping * omega * step)
    cosine, sine = decay * np.cos(swing * step), decay * np.sin(swing * step)
    lag = damping / np.sqrt(1 - damping**2) * sine
    rows = [cosine + lag, sine / swing, -(omega**2) * sine / swing, cosine - lag]
    return np.stack(np.broadcast_arrays(*rows), axis=-1).reshape(*cosine.shape, 2, 2)


def _held(frequency: Array, damping: float, step: float) -> tuple[Array, Array, Array]:
    """Matrices of `x1 = free x0 + before u0 + after u1`: (m, 2, 2), (m, 2), (m, 2)."""
    free = free_motion(frequency, damping, step)
    lag = 2 * damping / (2 * np.pi * np.asarray(frequency, dtype=float))
    # The answer to a ramp from u0 to u1 is the ramp itself, late by `lag`; what differs from it at the start decays.
    start_before = np.stack((1 + lag / step, np.full_like(lag, -1 / step)), axis=-1)
    start_after = np.stack((-lag / step, np.full_like(lag, 1 / step)), axis=-1)
    end_before = np.stack((lag / step, np.full_like(lag, -1 / step)), axis=-1)
    end_after = np.stack((1 - lag / step, np.full_like(lag, 1 / step)), axis=-1)
    before = end_before - np.einsum("mij,mj->mi", free, start_before)
    return free, before, end_after - np.einsum("mij,mj->mi", free, start_after)


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
    _, before, after = _held(frequency, damping, step)
    free = free_motion(frequency[:, None], damping, step * np.arange(BLOCK + 1))
    own, late = free @ before[:, None, :, None], free @ after[:, None, :, None]
    both = (own[:, :-1] + late[:, 1:])[..., 0]
    first, last = own[:, BLOCK - 1 : BLOCK, :, 0], late[:, :1, :, 0]
    ends = np.concatenate((first, both[:, -2::-1], last), axis=1)
    # A sample acts `lag` steps later; those still to come do nothing, and the block's first has no step before it.
    lagged = np.zeros((frequency.size, 2 * BLOCK))
    lagged[:, BLOCK:] = np.einsum("mki,mi->mk", both, weights)
    lagged[:, BLOCK - 1] = np.einsum("mi,mi->m", after, weights)
    windows = np.lib.stride_tricks.sliding_window_view(lagged, BLOCK, axis=1)
    answers = np.ascontiguousarray(windows[:, ::-1])
    answers[:, 0] = np.einsum("mki,mi->mk", own[:, :-1, :, 0], weights)
    return _Block(ends, answers, np.einsum("mkij,mi->mjk", free[:, 1:], weights))


def _block_starts(ends: Array, frequency: Array, damping: float, step: float, start: float) -> Array:
    """States (m, blocks, 2) at the start of each block, from rest under `start`; ends: at its end without history.

    In the plane of `z = y' + zeta w y + i w_d y` a block of free motion is one complex factor.
    """
    omega = 2 * np.pi * frequency
    swing = omega * np.sqrt(1 - damping**2)
    pole = -damping * omega + 1j * swing
    turn = np.exp(pole * BLOCK * step)
    gained = np.ascontiguousarray((ends[..., 1] - np.conj(pole)[:, None] * ends[..., 0]).T)
    states = np.empty_like(gained)
    states[0] = -np.conj(pole) * start
    for block in range(1, len(states)):
        np.multiply(turn, states[block - 1], out=states[block])
        states[block] += gained[block - 1]
    height = states.imag / swing
    return np.stack((height, states.real - damping * omega * height), axis=-1).transpose(1, 0, 2)


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
    windows = np.lib.stride_tricks.sliding_window_view(padded, BLOCK + 1)[::BLOCK]
    weights = np.ones((frequency.size, 2))
    weights[:, 1] = rate_time
    block = _block(frequency, damping, step, weights)
    starts = _block_starts(windows @ block.ends, frequency, damping, step, float(drive[0]))
    answer = windows @ block.answers
    answer += starts @ block.started
    first = np.full((frequency.size, 1), drive[0])
    return np.concatenate((first, answer.reshape(frequency.size, -1)[:, : samples - 1]), axis=1)

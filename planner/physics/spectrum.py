"""How strongly an acceleration excites each frequency, and what a sloshing mode makes of it."""

from __future__ import annotations

import numpy as np

Array = np.ndarray

SEGMENT = 20.48
"""Length of the averaged segments [s]: 0.05 Hz apart, fine against the width of a damped mode."""


def excitation(acceleration: Array, step: float) -> tuple[Array, Array]:
    """Frequencies [Hz] and one-sided power density [(m/s2)^2/Hz], (k,) each, of an acceleration (n,) every `step` [s].

    Welch's method (IEEE Trans. Audio Electroacoust. 15 (1967) 70): Hann windows, overlapping by half, no detrending,
    since a steady corner tilts the surface too. A recording shorter than a segment is padded with nothing.
    """
    length = round(SEGMENT / step)
    padded = np.concatenate((acceleration, np.zeros(max(0, length - acceleration.size))))
    pieces = np.lib.stride_tricks.sliding_window_view(padded, length)[:: length // 2]
    window = np.hanning(length + 1)[:-1]
    power = np.mean(np.abs(np.fft.rfft(pieces * window, axis=1)) ** 2, axis=0) * step / np.sum(window**2)
    power[1:] *= 2
    return np.fft.rfftfreq(length, step), power


def mode_gain(frequency: Array, density: Array, first_mode: Array, *, damping: float) -> Array:
    """Root-mean-square of a mode's answer over that of its excitation, (m,): 1 at rest, more near resonance.

    frequency [Hz], density: (k,) as `excitation` gives; first_mode: (m,) [Hz]; damping [1]. 1 where nothing excites.
    """
    ratio = frequency / np.asarray(first_mode, dtype=float)[:, None]
    squared = 1 / ((1 - ratio**2) ** 2 + (2 * damping * ratio) ** 2)
    total = density.sum()
    return np.sqrt(squared @ density / total) if total > 0 else np.ones(len(ratio))


def strongest_frequency(frequency: Array, density: Array) -> float:
    """Frequency [Hz] at which the excitation per octave is strongest, since steady corners have no frequency."""
    return float(frequency[np.argmax(density * frequency)])

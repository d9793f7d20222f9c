"""The excitation against scipy.signal's Welch, and a mode's gain against the integral that it is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import welch

from planner.physics.spectrum import SEGMENT, excitation, mode_gain, strongest_frequency

STEP = 0.02
LENGTH = round(SEGMENT / STEP)


@given(
    st.integers(0, 30), st.sampled_from([LENGTH, LENGTH + 1, LENGTH + LENGTH // 2 - 1, 2 * LENGTH, 5 * LENGTH + 300])
)
def test_it_is_scipys_welch_without_detrending(seed: int, count: int) -> None:
    signal = np.random.default_rng(seed).normal(0.7, 2.0, count)
    theirs = welch(signal, 1 / STEP, "hann", LENGTH, LENGTH // 2, detrend=False)
    ours = excitation(signal, STEP)
    np.testing.assert_allclose(ours[0], theirs[0])
    # scipy does not double the highest frequency, of which there is only one; we leave no room for it to matter.
    np.testing.assert_allclose(ours[1][:-1], theirs[1][:-1], rtol=1e-9, atol=1e-12)


def test_a_recording_shorter_than_a_segment_is_padded_with_nothing() -> None:
    signal = np.random.default_rng(1).normal(0, 1, 300)
    padded = excitation(np.append(signal, np.zeros(LENGTH - 300)), STEP)
    np.testing.assert_array_equal(excitation(signal, STEP)[1], padded[1])


@given(st.floats(0.3, 3.0), st.floats(0.05, 0.4), st.floats(1e-6, 1e3))
def test_a_modes_gain_is_the_mean_square_it_makes_of_the_excitation(mode: float, damping: float, size: float) -> None:
    frequency = np.arange(0, 25, 0.05)
    density = size * np.exp(-frequency) * (1 + np.sin(frequency))
    factor = 1 / ((1 - (frequency / mode) ** 2) ** 2 + (2 * damping * frequency / mode) ** 2)
    expected = np.sqrt(np.sum(factor * density) / np.sum(density))
    assert mode_gain(frequency, density, np.array([mode]), damping=damping)[0] == pytest.approx(expected, rel=1e-9)
    scaled = mode_gain(frequency, 1e-6 * density, np.array([mode, 2 * mode]), damping=damping)
    assert scaled[0] == pytest.approx(expected, rel=1e-9)


def test_the_strongest_frequency_is_per_octave() -> None:
    frequency = np.array([0.0, 0.5, 1.0, 2.0])
    assert strongest_frequency(frequency, np.array([9.0, 1.0, 0.9, 0.1])) == 1.0

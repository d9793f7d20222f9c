"""The zero-phase low-pass against scipy.signal, and at frequencies it must pass, halve and stop."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.signal import butter, sosfiltfilt

from planner.driving.low_pass import CUT_OFF, low_passed

NO_GAPS = np.array([], dtype=int)


def reference(values: np.ndarray, rate: float) -> np.ndarray:
    """scipy.signal's forward and backward Butterworth of second order, its passes set for 0.707 at the cut-off."""
    corner = rate / np.pi * np.arctan((2**0.5 - 1) ** -0.25 * np.tan(np.pi * CUT_OFF / rate))
    sections = butter(2, corner, fs=rate, output="sos")
    return sosfiltfilt(sections, values, padlen=min(values.size - 1, int(4 * rate / CUT_OFF)))


@given(st.integers(0, 50), st.sampled_from([30.0, 50.0, 100.0]), st.integers(60, 3000))
def test_it_is_scipys_filter_run_forward_and_back(seed: int, rate: float, count: int) -> None:
    generator = np.random.default_rng(seed)
    time = np.arange(count) / rate
    values = 8 * np.sin(2 * np.pi * 0.4 * time) + generator.normal(0, 2, count)
    ours, theirs = low_passed(time, values, NO_GAPS), reference(values, rate)
    inner = slice(int(rate), -int(rate))
    assert np.max(np.abs(ours - theirs)) < 0.5
    if count > 3 * rate:
        np.testing.assert_allclose(ours[inner], theirs[inner], atol=0.02)


@pytest.mark.parametrize(("frequency", "gain"), [(0.3, 1.0), (3.0, 0.992), (8.0, 2**-0.5), (40.0, 0.0)])
def test_slow_waves_pass_the_cut_off_is_at_0_707_and_vibration_is_gone(frequency: float, gain: float) -> None:
    time = np.arange(4000) / 100
    wave = np.sin(2 * np.pi * frequency * time)
    out = low_passed(time, wave, NO_GAPS)[500:-500]
    np.testing.assert_allclose(out, gain * wave[500:-500], atol=0.005)


def test_two_axes_as_one_complex_signal_are_each_filtered_alone() -> None:
    time = np.arange(500) / 50
    one, two = np.sin(time * 3) + np.sin(time * 60), np.cos(time * 2)
    both = low_passed(time, one + 1j * two, NO_GAPS)
    np.testing.assert_allclose(both.real, low_passed(time, one, NO_GAPS), atol=1e-12)
    np.testing.assert_allclose(both.imag, low_passed(time, two, NO_GAPS), atol=1e-12)


def test_each_stretch_between_gaps_is_filtered_by_itself() -> None:
    time = np.concatenate((np.arange(300) / 50, 60 + np.arange(300) / 50))
    values = np.concatenate((np.full(300, -5.0), np.full(300, 5.0)))
    np.testing.assert_allclose(low_passed(time, values, np.array([299])), values, atol=1e-9)

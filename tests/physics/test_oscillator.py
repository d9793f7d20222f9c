"""The first-order hold against an ODE solver, another library's recursion, and what is known of an oscillator."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.signal import cont2discrete, lfilter

from planner.errors import OutsideModel
from planner.physics.oscillator import driven_response, free_motion

STEP = 0.02


def wander(samples: int, seed: int = 0) -> np.ndarray:
    """A drive that wanders."""
    return np.cumsum(np.random.default_rng(seed).normal(0, 0.3, samples))


@pytest.mark.parametrize("damping", [0.05, 0.15, 0.5])
def test_it_agrees_with_an_ode_solver(damping: float) -> None:
    """The goal is 1e-5 of the drive."""
    drive, time = wander(400), STEP * np.arange(400)
    for frequency in (0.6, 1.7):
        w = 2 * np.pi * frequency

        def law(t: float, y: np.ndarray, w: float = w) -> list[float]:
            return [y[1], w * w * (np.interp(t, time, drive) - y[0]) - 2 * damping * w * y[1]]

        solved = solve_ivp(law, (0, time[-1]), [drive[0], 0], t_eval=time, rtol=1e-8, atol=1e-9, max_step=STEP)
        found = driven_response(drive, STEP, np.array([frequency]), damping=damping)[0]
        assert np.max(np.abs(found - solved.y[0])) <= 1e-5 * np.max(np.abs(drive))


def test_it_agrees_with_scipys_first_order_hold_and_filter() -> None:
    """scipy.signal.cont2discrete(method="foh") and lfilter, from rest under no drive."""
    drive = np.concatenate(([0.0], wander(5000, 4)))
    w, damping = 2 * np.pi * 1.3, 0.15
    num, den, _ = cont2discrete(([w * w], [1, 2 * damping * w, w * w]), STEP, method="foh")
    reference = lfilter(num.ravel(), den, drive)
    found = driven_response(drive, STEP, np.array([0.4, 1.3]), damping=damping)[1]
    assert np.max(np.abs(found - reference)) <= 1e-8 * np.max(np.abs(drive))


@settings(max_examples=40, deadline=None)
@given(st.floats(0.1, 6.0), st.floats(0.01, 0.9), st.integers(1, 200), st.integers(0, 9))
def test_the_rate_is_the_slope_and_length_does_not_matter(
    frequency: float, damping: float, samples: int, seed: int
) -> None:
    drive, rate_time = wander(samples, seed), 0.05
    whole = driven_response(wander(260, seed), STEP, np.array([frequency]), damping=damping)[0]
    part = driven_response(drive, STEP, np.array([frequency]), damping=damping)
    assert part.shape == (1, samples)
    np.testing.assert_allclose(part[0], whole[:samples], atol=1e-9)
    with_rate = driven_response(drive, STEP, np.array([frequency]), damping=damping, rate_time=rate_time)[0]
    rate = (with_rate - part[0]) / rate_time
    step = np.cumsum((rate[1:] + rate[:-1]) / 2) * STEP
    # The trapezoid's own error over a step is rate'' h^3 / 12, with rate' of the order w^2 times the drive.
    bound = samples * (2 * np.pi * frequency) ** 3 * (1 + np.abs(drive).max()) * STEP**3
    assert np.all(np.abs(part[0][1:] - part[0][0] - step) <= bound + 1e-9)


@pytest.mark.parametrize("damping", [0.05, 0.15, 0.3])
def test_at_resonance_the_gain_is_one_over_twice_the_damping(damping: float) -> None:
    """From the transfer function at its undamped frequency; any textbook of vibrations."""
    frequency = 1.1
    time = np.arange(0, 3 / damping, STEP / 4)
    drive = np.sin(2 * np.pi * frequency * time)
    found = driven_response(drive, STEP / 4, np.array([frequency]), damping=damping)[0]
    last = np.abs(found[-int(1 / frequency / STEP * 4) :])
    assert np.max(last) == pytest.approx(1 / (2 * damping), rel=2e-3)


def test_a_steady_drive_is_followed_and_one_at_rest_stays() -> None:
    drive = np.concatenate((np.full(10, 2.0), np.full(3000, -3.0)))
    found = driven_response(drive, STEP, np.array([0.7, 2.0]), damping=0.15)
    np.testing.assert_allclose(found[:, :10], 2.0, rtol=1e-12)
    np.testing.assert_allclose(found[:, -1], -3.0, rtol=1e-6)


def test_free_motion_over_two_steps_is_that_over_their_sum() -> None:
    frequency = np.array([0.5, 1.9])
    once, twice = free_motion(frequency, 0.2, 0.03), free_motion(frequency, 0.2, 0.06)
    np.testing.assert_allclose(once @ once, twice, atol=1e-12)


def test_what_it_cannot_answer_is_refused() -> None:
    with pytest.raises(OutsideModel, match=r"frequency \[Hz\] .* above 0"):
        driven_response(np.zeros(5), STEP, np.array([0.0]), damping=0.15)
    with pytest.raises(OutsideModel, match=r"damping 1\.2 must be above 0 and below 1"):
        driven_response(np.zeros(5), STEP, np.array([1.0]), damping=1.2)


@pytest.mark.parametrize("damping", [0.0, 1.0, -0.1, np.nan])
def test_a_damping_at_its_bounds_is_refused(damping: float) -> None:
    with pytest.raises(OutsideModel, match="must be above 0 and below 1"):
        driven_response(np.zeros(5), STEP, np.array([1.0]), damping=damping)

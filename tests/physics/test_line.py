"""The hose: the factor of friction against Colebrook's own equation, where it turns, and no loss where none is."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from planner.physics.line import LAMINAR_BELOW, friction_factor, line_loss


@given(st.floats(LAMINAR_BELOW, 1e7))
def test_turbulent_friction_solves_the_smooth_pipes_law(reynolds: float) -> None:
    """1/sqrt(f) = 2 log10(Re sqrt(f) / 2.51), solved by brentq."""
    root = brentq(lambda r: r - 2 * np.log10(reynolds / (2.51 * r)), 1.0, 30.0, xtol=1e-14)
    assert float(friction_factor(np.float64(reynolds))) == pytest.approx(root**-2, rel=1e-12)


@given(st.floats(1e-3, 2039.9))
def test_laminar_friction_is_64_over_the_reynolds_number(reynolds: float) -> None:
    assert float(friction_factor(np.float64(reynolds))) == pytest.approx(64 / reynolds, rel=1e-12)


def test_at_2040_the_flow_is_turbulent() -> None:
    below, at = friction_factor(np.array([np.nextafter(2040.0, 0.0), 2040.0]))
    assert below == pytest.approx(64 / 2040)
    assert at > 1.5 * below


def test_loss_is_that_of_darcy_and_weisbach_and_none_without_flow_or_length() -> None:
    flow = np.array([0.0, 1e-6, 20e-6])
    velocity = flow / (np.pi * 0.002**2)
    factor = np.array([0.0, *friction_factor(930.0 * velocity[1:] * 0.004 / 2e-3)])
    expected = factor * 3.0 / 0.004 * 930.0 * velocity**2 / 2
    loss = line_loss(flow, 3.0, 0.004, density=930.0, viscosity=2e-3)
    np.testing.assert_allclose(loss, expected, rtol=1e-12)
    assert loss[0] == 0.0
    np.testing.assert_array_equal(line_loss(flow, 0.0, 0.004, density=930.0, viscosity=2e-3), 0.0)

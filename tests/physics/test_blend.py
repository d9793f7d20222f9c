"""What holds for any blend: inverses, shapes, limits, and refusals in words."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import OutsideModel
from planner.physics import blend
from planner.physics.blend import (
    alcohol_share_from_density,
    alcohol_share_from_mass_fraction,
    density,
    density_slope,
    flash_point,
    freezing_point,
    mass_fraction,
    shrink,
    viscosity,
)

SHARES = st.floats(0, 1)
TEMPERATURES = st.floats(-20, 50)


@given(SHARES)
def test_mass_fraction_and_share_are_inverses(share: float) -> None:
    assert alcohol_share_from_mass_fraction(mass_fraction(share)) == pytest.approx(share, abs=1e-12)


@given(SHARES, TEMPERATURES)
def test_density_falls_with_the_share_so_that_strength_is_never_ambiguous(share: float, t: float) -> None:
    assert density_slope(share, t) < -50


@given(SHARES, TEMPERATURES)
def test_a_blend_takes_less_room_than_its_parts(share: float, t: float) -> None:
    assert -1e-12 <= shrink(share, t) < 0.06


@given(SHARES, st.floats(-20, 49))
def test_a_warmer_blend_flows_more_easily(share: float, t: float) -> None:
    assert viscosity(share, t + 1) < viscosity(share, t)


@given(SHARES, TEMPERATURES)
def test_numbers_and_arrays_agree(share: float, t: float) -> None:
    for function in (density, shrink, viscosity):
        assert function(np.array([share]), np.array([t]))[0] == pytest.approx(function(share, t), rel=1e-12)
    assert np.ndim(alcohol_share_from_density(density(share, t), t)) == 0


def test_shares_and_temperatures_broadcast() -> None:
    assert density(np.linspace(0, 1, 5)[:, None], np.array([0.0, 20.0, 40.0])).shape == (5, 3)
    assert alcohol_share_from_density(np.array([950.0, 900.0])[:, None], np.array([0.0, 20.0])).shape == (2, 2)


def test_freezing_falls_with_the_share_without_a_step() -> None:
    shares = np.linspace(0, 1, 2001)
    steps = np.diff(freezing_point(shares))
    assert np.all(steps < 0)
    assert steps.min() > -0.25


@pytest.mark.parametrize("share", [-0.01, 1.01, 50, float("nan")])
def test_a_share_outside_0_to_1_is_refused(share: float) -> None:
    for function in (density, mass_fraction, shrink, viscosity, freezing_point, flash_point, blend.latent_heat):
        with pytest.raises(OutsideModel, match=r"alcohol share .* is outside the blend model, which holds from 0 to 1"):
            function(share)


@pytest.mark.parametrize("t", [-20.1, 50.1, float("nan")])
def test_a_temperature_outside_the_model_is_refused(t: float) -> None:
    for function in (density, shrink, viscosity):
        with pytest.raises(OutsideModel, match=r"temperature \[degC\] .* holds from -20 to 50"):
            function(0.5, t)


def test_a_density_that_no_blend_has_is_refused() -> None:
    with pytest.raises(OutsideModel, match=r"lies between methanol's 791\.0 and water's 998\.2 kg/m3"):
        alcohol_share_from_density(1010.0, 20.0)


def test_a_trace_of_methanol_has_no_flash_point_below_boiling() -> None:
    assert np.isinf(flash_point(np.array([0.0, 0.02]))).all()
    assert flash_point(0.03) < 100


def test_a_mass_fraction_outside_0_to_1_is_refused() -> None:
    with pytest.raises(OutsideModel, match=r"mass fraction 1\.2 is outside"):
        alcohol_share_from_mass_fraction(1.2)


@given(SHARES)
def test_where_no_temperature_is_said_it_is_20_degrees(share: float) -> None:
    assert shrink(share) == shrink(share, 20.0) != shrink(0.5, 21.0)
    assert density_slope(share) == density_slope(share, 20.0)
    assert alcohol_share_from_density(density(share, 20.0)) == pytest.approx(share, abs=1e-9)


def test_the_slope_is_that_of_a_finer_difference_at_both_ends_and_between() -> None:
    for share in (0.0, 0.3, 0.7, 1.0):
        low, high = max(share - 1e-5, 0.0), min(share + 1e-5, 1.0)
        fine = (density(high, 10.0) - density(low, 10.0)) / (high - low)
        assert density_slope(share, 10.0) == pytest.approx(fine, rel=2e-3)


def test_densities_and_temperatures_broadcast() -> None:
    rho, t = np.array([[930.0], [900.0], [960.0]]), np.array([10.0, 30.0])
    shares = alcohol_share_from_density(rho, t)
    assert shares.shape == (3, 2)
    np.testing.assert_allclose(density(shares, t), np.broadcast_to(rho, (3, 2)), rtol=1e-9)

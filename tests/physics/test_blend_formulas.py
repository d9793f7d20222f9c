"""The blend's pure ends and its conversions against the published formulas themselves, and the ends of the model."""

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
    latent_heat,
    mass_fraction,
    mole_fraction,
    shrink,
    viscosity,
)

TEMPERATURES = np.array([-20.0, -7.5, 0.0, 4.0, 15.0, 20.0, 33.0, 50.0])


def test_water_is_kells_equation_term_by_term() -> None:
    """Kell, J. Chem. Eng. Data 20 (1975) 97, eq. 16: a polynomial of the fifth degree over 1 + b t."""
    terms = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
    t = TEMPERATURES
    expected = sum(term * t**k for k, term in enumerate(terms)) / (1 + 16.879850e-3 * t)
    np.testing.assert_allclose(density(0.0, t), expected, rtol=1e-12)
    # The maximum, at 3.98 degC, is 999.972 kg/m3.
    assert density(0.0, 3.98) == pytest.approx(999.972, abs=0.003)


def test_water_flows_as_the_release_on_its_viscosity_says() -> None:
    """IAPWS 2008, eq. 37 for 0.1 MPa: four powers of T / 300 K; 889.9 uPa s at 298.15 K."""
    ratio = (TEMPERATURES + 273.15) / 300
    powers = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
    expected = 1e-6 * sum(factor * ratio**power for factor, power in powers)
    np.testing.assert_allclose(viscosity(0.0, TEMPERATURES), expected, rtol=1e-10)
    assert viscosity(0.0, 25.0) == pytest.approx(889.9e-6, rel=2e-4)


def test_the_blends_molecules_masses_and_volumes_add_up() -> None:
    """By counting: a litre of each, its mass by the pure density at 20 degC, its molecules by the molar mass."""
    for share in (0.0, 0.2, 0.5, 0.9, 1.0):
        methanol, water = share * density(1.0, 20.0), (1 - share) * density(0.0, 20.0)
        assert mass_fraction(share) == pytest.approx(methanol / (methanol + water), rel=1e-12, abs=1e-15)
        molecules = methanol / 0.03204186, water / 0.01801528
        assert mole_fraction(share) == pytest.approx(molecules[0] / sum(molecules), rel=1e-12, abs=1e-15)
        fraction = mass_fraction(share)
        assert alcohol_share_from_mass_fraction(fraction) == pytest.approx(share, abs=1e-12)
        assert latent_heat(share) == pytest.approx(1.170e6 * fraction + 2.442e6 * (1 - fraction), rel=1e-12)
        for t in (-10.0, 20.0, 40.0):
            apart = fraction / density(1.0, t) + (1 - fraction) / density(0.0, t)
            assert shrink(share, t) == pytest.approx(1 - 1 / (density(share, t) * apart), abs=1e-12)
    assert shrink(0.0) == pytest.approx(0.0, abs=1e-12)
    assert shrink(1.0) == pytest.approx(0.0, abs=1e-12)


def test_where_no_temperature_is_said_it_is_20_degrees_for_density_and_viscosity() -> None:
    assert density(0.4) == density(0.4, 20.0) != density(0.4, 21.0)
    assert viscosity(0.4) == viscosity(0.4, 20.0) != viscosity(0.4, 21.0)


def test_freezing_is_one_curve_to_six_tenths_by_mass_and_straight_lines_beyond() -> None:
    """The table beyond the polynomial: -74, -86 and -97.6 degC at 0.6, 0.8 and 1 by mass."""
    fractions = np.array([0.7, 0.8, 0.9, 1.0])
    found = freezing_point(alcohol_share_from_mass_fraction(fractions))
    np.testing.assert_allclose(found, [-80.0, -86.0, -91.8, -97.6], atol=1e-9)
    share = float(alcohol_share_from_mass_fraction(0.6))
    below, above = freezing_point(share - 1e-9), freezing_point(share + 1e-9)
    assert below == pytest.approx(-74.0, abs=0.2)
    assert above == pytest.approx(-74.0, abs=1e-5)
    # Below, the cryoscopic slope with a fitted square and cube.
    w = np.array([0.1, 0.3, 0.5])
    expected = -(58.05 * w + 75.11761774 * w**2 + 55.59582293 * w**3)
    np.testing.assert_allclose(freezing_point(alcohol_share_from_mass_fraction(w)), expected, rtol=1e-12)
    assert np.ndim(freezing_point(0.3)) == 0


def test_flash_points_are_the_tables_and_straight_between() -> None:
    shares = np.array([0.0299, 0.03, 0.04, 0.10, 0.25, 0.5, 0.9, 1.0])
    np.testing.assert_allclose(flash_point(shares), [np.inf, 93.0, 85.5, 59.0, 40.0, 27.0, 14.5, 11.0])


@given(st.floats(0, 1), st.floats(-20, 50))
def test_the_share_from_a_density_is_exact_at_any_temperature(share: float, t: float) -> None:
    assert alcohol_share_from_density(density(share, t), t) == pytest.approx(share, abs=2e-12)


def test_the_ends_of_the_model_belong_to_it() -> None:
    for share in (0.0, 1.0):
        for t in (-20.0, 50.0):
            assert np.isfinite(
                [density(share, t), viscosity(share, t), shrink(share, t), density_slope(share, t)]
            ).all()
            assert alcohol_share_from_density(density(share, t), t) == pytest.approx(share, abs=1e-9)
    assert alcohol_share_from_mass_fraction([0.0, 1.0]).tolist() == [0.0, 1.0]


def test_the_slope_is_taken_over_a_thousandth_and_half_of_it_at_the_ends() -> None:
    for share, low, high in ((0.4, 0.3995, 0.4005), (0.0, 0.0, 0.0005), (1.0, 0.9995, 1.0), (0.9998, 0.9993, 1.0)):
        expected = (density(high, 15.0) - density(low, 15.0)) / (high - low)
        assert density_slope(share, 15.0) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda: density(1.5), "alcohol share 1.5 is outside the blend model, which holds from 0 to 1"),
        (
            lambda: viscosity(0.5, 50.5),
            "temperature [degC] 50.5 is outside the blend model, which holds from -20 to 50",
        ),
        (
            lambda: alcohol_share_from_mass_fraction(-0.1),
            "mass fraction -0.1 is outside the blend model, which holds from 0 to 1",
        ),
        (
            lambda: alcohol_share_from_density(1010.0, 20.0),
            "density 1010.0 kg/m3 at 20.0 degC is no blend's: it lies between methanol's 791.0 and water's 998.2 kg/m3",
        ),
        (
            lambda: alcohol_share_from_density(700.0),
            "density 700.0 kg/m3 at 20.0 degC is no blend's: it lies between methanol's 791.0 and water's 998.2 kg/m3",
        ),
    ],
)
def test_what_lies_outside_is_refused_with_the_value_and_the_bounds(ask, told: str) -> None:
    with pytest.raises(OutsideModel) as refused:
        ask()
    assert str(refused.value) == told


@given(st.floats(0.01, 0.99), st.floats(-20, 50))
def test_what_mixing_adds_is_redlichs_and_kisters_series_in_the_mole_fraction(share: float, t: float) -> None:
    """x (1 - x) sum of A_k (2 x - 1)^k, each A_k a parabola in (t - 20)/100: volume, and logarithm of viscosity."""
    x = float(mole_fraction(share))
    tau = (t - 20) / 100

    def series(table: tuple[tuple[float, float, float], ...]) -> float:
        return x * (1 - x) * float(np.polyval([np.polyval(row[::-1], tau) for row in table[::-1]], 2 * x - 1))

    methanol, water = x * 0.03204186, (1 - x) * 0.01801528
    apart = methanol / density(1.0, t) + water / density(0.0, t)
    excess = (methanol + water) / density(share, t) - apart
    assert excess == pytest.approx(1e-6 * series(blend._EXCESS_VOLUME), rel=1e-6)
    ideal = x * np.log(viscosity(1.0, t)) + (1 - x) * np.log(viscosity(0.0, t))
    assert np.log(viscosity(share, t)) - ideal == pytest.approx(series(blend._EXCESS_LOG_VISCOSITY), abs=1e-10)


def test_methanol_is_the_fitted_cubic_and_the_fitted_parabola_in_the_inverse_temperature() -> None:
    t = TEMPERATURES
    cubic = np.polynomial.Polynomial([809.7291, -0.9369783, 1.978495e-4, -6.333565e-6])
    np.testing.assert_allclose(density(1.0, t), cubic(t), rtol=1e-12)
    parabola = np.polynomial.Polynomial([-0.609354133, 1290.33982, -27114.6606])
    expected = 1e-3 * np.exp(parabola(1 / (t + 273.15) - 1 / 298.15))
    np.testing.assert_allclose(viscosity(1.0, t), expected, rtol=1e-10)

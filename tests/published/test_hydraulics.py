"""Flow of nozzles and loss of hoses against the orifice law, the fluids package and handbook units."""

from __future__ import annotations

import fluids
import numpy as np
import pytest

from planner.physics.line import line_loss
from planner.physics.nozzle import Stage, nozzle_flow, stages_flow
from planner.units import quantity

PSI = 6894.757293168
PRESSURES = np.array([20.0, 60.0, 100.0, 140.0, 200.0]) * PSI


def test_one_nozzle_follows_the_orifice_law_at_five_pressures() -> None:
    # Q = Cd A sqrt(2 dp / rho): Lefebvre, Atomization and Sprays, chapter on flow number (from memory).
    rated, density = 300e-6 / 60, 926.7
    area = rated / np.sqrt(2 * 100 * PSI / 998.2)
    expected = area * np.sqrt(2 * PRESSURES / density)
    np.testing.assert_allclose(nozzle_flow(PRESSURES, rated, 100 * PSI, density=density), expected, rtol=1e-12)


def test_two_unequal_nozzles_in_two_places_add_up_at_five_pressures() -> None:
    boost = np.full(5, 80e3)
    stages = (Stage(200e-6 / 60, 100 * PSI, after_throttle=True), Stage(350e-6 / 60, 100 * PSI, after_throttle=False))
    single = sum(s.rated_flow * np.sqrt((PRESSURES - 80e3) / s.rated_pressure * 998.2 / 850.0) for s in stages)
    np.testing.assert_allclose(stages_flow(PRESSURES, boost, stages, density=850.0), single, rtol=1e-12)


def test_vacuum_helps_a_nozzle_after_the_throttle_and_not_one_before_it() -> None:
    pressure, boost = np.array([500e3]), np.array([-60e3])
    after = stages_flow(pressure, boost, (Stage(5e-6, 100 * PSI, after_throttle=True),), density=998.2)
    before = stages_flow(pressure, boost, (Stage(5e-6, 100 * PSI),), density=998.2)
    assert after[0] / before[0] == pytest.approx(np.sqrt(560 / 500), rel=1e-12)


def test_common_practice_an_exponent_below_a_half_changes_flow_by_under_4_percent_from_3_to_14_bar() -> None:
    # Full-cone tips show 0.44 to 0.46 (spray makers' catalogues, seen second hand).
    pressure = np.linspace(3e5, 14e5, 50)
    square = nozzle_flow(pressure, 5e-6, 100 * PSI)
    flatter = nozzle_flow(pressure, 5e-6, 100 * PSI, exponent=0.46)
    assert np.max(np.abs(flatter / square - 1)) < 0.04
    assert np.max(np.abs(flatter / square - 1)) > 0.01


def test_gallons_an_hour_and_psi_are_the_handbook_units() -> None:
    # NIST SP 811, appendix B: 1 US gal = 3.785412e-3 m3, 1 psi = 6894.757 Pa.
    assert quantity("1 gal/h", "flow") * 6e7 == pytest.approx(63.0902, rel=1e-5)
    assert quantity("100 psi", "pressure") == pytest.approx(689475.7, rel=1e-6)


@pytest.mark.parametrize("flow_ml_min", [100, 300, 700, 1000, 1500, 3000])
@pytest.mark.parametrize("diameter", [0.003, 0.0043, 0.006])
def test_line_loss_is_that_of_the_fluids_package(flow_ml_min: float, diameter: float) -> None:
    # fluids (C. Bell and contributors), friction_factor of a smooth pipe, Colebrook by Clamond's method.
    density, viscosity, length = 926.7, 1.8e-3, 4.6
    flow = flow_ml_min * 1e-6 / 60
    velocity = flow / (np.pi / 4 * diameter**2)
    reynolds = fluids.Reynolds(V=velocity, D=diameter, rho=density, mu=viscosity)
    factor = fluids.friction_factor(Re=reynolds)
    expected = factor * length / diameter * density * velocity**2 / 2
    loss = line_loss(np.array([flow]), length, diameter, density=density, viscosity=viscosity)
    assert loss[0] == pytest.approx(expected, rel=1e-6)


def test_laminar_loss_is_that_of_hagen_and_poiseuille() -> None:
    # dp = 128 mu L Q / (pi d^4): any textbook of fluid mechanics.
    flow, mu = 3e-6, 2e-3
    expected = 128 * mu * 4.6 * flow / (np.pi * 0.0043**4)
    assert line_loss(np.array([flow]), 4.6, 0.0043, density=930.0, viscosity=mu)[0] == pytest.approx(
        expected, rel=1e-12
    )

"""Strength by density: its errors, and where it is weak."""

from __future__ import annotations

import pytest

from planner.errors import OutsideModel
from planner.physics.blend import alcohol_share_from_mass_fraction, density
from planner.planning.strength import strength_from_density


def test_strength_carries_the_errors_of_hydrometer_thermometer_and_model() -> None:
    sure = strength_from_density(926.7, 20.0, density_error=0.0, temperature_error=0.0)
    usual = strength_from_density(926.7, 20.0)
    assert usual.alcohol_share == pytest.approx(0.5, abs=1e-3)
    assert sure.error == pytest.approx(usual.per_kg_m3)
    # Handbook rows at 20 degC: 934.5 kg/m3 at 40 % by mass, 925.2 at 45 %.
    step = alcohol_share_from_mass_fraction(0.45) - alcohol_share_from_mass_fraction(0.40)
    assert usual.per_kg_m3 == pytest.approx(step / (934.5 - 925.2), abs=2e-4)
    # From the published densities at 0 and 40 degC: 939.2 and 913.9 kg/m3.
    assert usual.per_kelvin == pytest.approx(usual.per_kg_m3 * (939.2 - 913.9) / 40, rel=0.05)
    assert usual.error == pytest.approx((2 * usual.per_kg_m3**2 + usual.per_kelvin**2) ** 0.5)


def test_weak_places_of_the_density_are_named() -> None:
    assert not strength_from_density(float(density(0.7)), 20.0).notices
    assert "1 kg/m3 is 0.8 %" in strength_from_density(float(density(0.2)), 20.0).notices[0]
    assert "measure near 20 degC" in strength_from_density(float(density(0.9, 45.0)), 45.0).notices[0]
    assert "partly ice" in strength_from_density(float(density(0.2, -20.0)), -20.0).notices[-1]


def test_a_density_of_no_blend_is_refused() -> None:
    with pytest.raises(OutsideModel, match=r"density 780\.0 kg/m3 at 20\.0 degC is no blend's"):
        strength_from_density(780.0, 20.0)

"""Blend properties against published tables, a textbook example and a reference library.

Tables in tests/published/tables, each with its source: density and viscosity from doi:10.1016/j.jct.2007.05.004,
doi:10.1021/je049691v and doi:10.1021/je700300y; handbook densities (from memory, but for one row); freezing from
Lange's Handbook of Chemistry and VDI-Waermeatlas.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from planner.physics.blend import (
    alcohol_share_from_density,
    alcohol_share_from_mass_fraction,
    density,
    flash_point,
    freezing_point,
    latent_heat,
    mass_fraction,
    mole_fraction,
    shrink,
    viscosity,
)

TABLES = Path(__file__).parent / "tables"


def _table(name: str) -> dict[str, np.ndarray]:
    with (TABLES / name).open() as lines:
        rows = list(csv.DictReader(line for line in lines if not line.startswith("#")))
    return {key: np.array([row[key] for row in rows]) for key in rows[0]}


def _numbers(name: str, *keys: str) -> list[np.ndarray]:
    table = _table(name)
    return [table[key].astype(float) for key in keys]


@pytest.mark.parametrize("name", ["methanol_water_density.csv", "methanol_water_density_handbook.csv"])
def test_density_is_within_0_11_percent_of_the_tables(name: str) -> None:
    fraction, t, published = _numbers(name, "mass_fraction_methanol", "temperature_degC", "density_kg_m3")
    held = t <= 50
    ours = density(alcohol_share_from_mass_fraction(fraction[held]), t[held])
    assert held.sum() > 80
    assert ours == pytest.approx(published[held], rel=1.15e-3)
    assert np.sqrt(np.mean((ours / published[held] - 1) ** 2)) < 5e-4


def test_density_at_40_percent_by_mass_is_the_confirmed_handbook_row() -> None:
    assert density(alcohol_share_from_mass_fraction(0.40), 20.0) == pytest.approx(934.5, abs=0.5)


def test_density_agrees_with_coolprop_where_it_holds() -> None:
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for fraction in (0.1, 0.2, 0.3, 0.4, 0.5, 0.6):
        for t in (0, 10, 20, 30, 40):  # CoolProp's MMA: to 60 % by mass and 40 degC, after Melinder (2010)
            theirs = reference("D", "T", t + 273.15, "P", 101325, f"INCOMP::MMA[{fraction}]")
            assert density(alcohol_share_from_mass_fraction(fraction), t) == pytest.approx(theirs, rel=2e-3)


def test_water_is_that_of_the_reference_equation() -> None:
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    t = np.array([0.01, 4, 10, 20, 35, 50])  # IAPWS-95 as CoolProp carries it; exactly 0 degC raises there
    theirs = reference("D", "T", t + 273.15, "P", 101325, "Water")
    assert density(0.0, t) == pytest.approx(theirs, rel=1e-5)
    assert viscosity(0.0, t) == pytest.approx(reference("V", "T", t + 273.15, "P", 101325, "Water"), rel=0.01)


def test_methanol_is_that_of_the_reference_equation() -> None:
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    t = np.array([-20.0, 0, 20, 50])
    assert density(1.0, t) == pytest.approx(reference("D", "T", t + 273.15, "P", 101325, "Methanol"), rel=1.2e-3)
    assert viscosity(1.0, t) == pytest.approx(reference("V", "T", t + 273.15, "P", 101325, "Methanol"), rel=0.01)


def test_the_textbook_mixture_shrinks_to_2000_cm3() -> None:
    # Smith, Van Ness, Introduction to Chemical Engineering Thermodynamics: 1,017 cm3 methanol and 1,053 cm3 water
    # at 25 degC give 2,000 cm3 of 30 mole percent.
    methanol, water = 1017e-6 * density(1.0, 25.0), 1053e-6 * density(0.0, 25.0)
    share = alcohol_share_from_mass_fraction(methanol / (methanol + water))
    assert (methanol + water) / density(share, 25.0) == pytest.approx(2000e-6, rel=1e-3)
    assert mole_fraction(share) == pytest.approx(0.30, abs=0.001)
    assert shrink(share, 25.0) == pytest.approx(1 - 2000 / 2070, abs=1e-3)


def test_half_and_half_is_44_2_percent_by_mass_and_shrinks_by_3_5_percent() -> None:
    # Computed from the published densities, independently of this fit.
    assert mass_fraction(0.5) == pytest.approx(0.4421, abs=2e-4)
    assert shrink(0.5) == pytest.approx(0.0346, abs=1e-3)
    assert density(0.5, np.array([0.0, 20.0, 40.0])) == pytest.approx([939.2, 926.7, 913.9], abs=0.1)


def test_freezing_is_within_1_kelvin_of_the_table() -> None:
    table = _table("methanol_water_freezing.csv")
    percent, published = table["methanol_percent"].astype(float), table["freezing_degC"].astype(float)
    for basis, share, expected in zip(table["basis"], percent / 100, published, strict=True):
        fraction = share if basis == "mass percent" else _mass_fraction_of_finished_volume(share)
        assert freezing_point(alcohol_share_from_mass_fraction(fraction)) == pytest.approx(expected, abs=1.0)


def _mass_fraction_of_finished_volume(percent_of_finished: float) -> float:
    """The mass fraction whose alcohol, alone, has that share of the blend's volume at 20 degC."""
    shares = np.linspace(0, 1, 100_001)
    fractions = mass_fraction(shares)
    return float(np.interp(percent_of_finished, fractions * density(shares) / density(1.0), fractions))


def test_freezing_agrees_with_coolprop_to_60_percent_by_mass() -> None:
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for fraction in np.arange(0.05, 0.60, 0.05):
        theirs = reference("T_freeze", "P", 101325, "T", 293.15, f"INCOMP::MMA[{fraction}]") - 273.15
        assert freezing_point(alcohol_share_from_mass_fraction(fraction)) == pytest.approx(theirs, abs=1.0)


def test_freezing_starts_at_zero_with_the_cryoscopic_slope_of_water() -> None:
    # 1.86 K kg/mol for water (handbooks); 0.01 mol of methanol in 1 kg of water.
    fraction = 0.01 * 0.03204186 / (1 + 0.01 * 0.03204186)
    assert freezing_point(0.0) == 0.0
    assert freezing_point(alcohol_share_from_mass_fraction(fraction)) == pytest.approx(-0.0186, rel=0.01)


def test_viscosity_is_within_2_percent_of_the_table() -> None:
    name = "methanol_water_viscosity.csv"
    fraction, t, published = _numbers(name, "mass_fraction_methanol", "temperature_degC", "viscosity_mPa_s")
    ours = viscosity(alcohol_share_from_mass_fraction(fraction), t) * 1e3
    assert ours == pytest.approx(published, rel=0.02)


def test_viscosity_agrees_with_coolprop_over_temperature() -> None:
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    for fraction in (0.1, 0.3, 0.4421, 0.6):
        for t in (-5, 0, 5, 20, 40):
            theirs = reference("V", "T", t + 273.15, "P", 101325, f"INCOMP::MMA[{fraction}]")
            assert viscosity(alcohol_share_from_mass_fraction(fraction), t) == pytest.approx(theirs, rel=0.035)


def test_flash_points_are_low_beside_the_published_ones() -> None:
    assert 9.0 <= flash_point(1.0) <= 12.0  # methanol, closed cup, safety data sheets
    assert -9.0 <= flash_point(0.3) - 40.6 < 0.0  # the one published blend: 40.6 degC at 30 %
    assert np.all(np.diff(flash_point(np.linspace(0.03, 1.0, 98))) < 0)


def test_at_its_flash_point_a_blend_has_the_vapour_of_methanol_at_11_degrees() -> None:
    # Modified Raoult's law: the activity coefficient it implies falls from about 2 (water-rich, UNIFAC 2.0 to 2.3)
    # to 1 (pure methanol). Vapour pressure from CoolProp.
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    shares = np.array([0.03, 0.05, 0.07, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1.0])
    pressure = reference("P", "T", np.array([11.0, *flash_point(shares)]) + 273.15, "Q", 0, "Methanol")
    activity = pressure[0] / pressure[1:] / mole_fraction(shares)
    assert activity[:4] == pytest.approx(2.05, rel=0.02)
    assert activity[-1] == pytest.approx(1.0, rel=1e-3)
    assert np.all(np.diff(activity[3:]) < 0)


def test_latent_heat_of_water_methanol_and_half_and_half() -> None:
    # Water 2,442 kJ/kg by steam tables; methanol about 1,170 from memory, checked below; 50/50 computed.
    assert latent_heat(np.array([0.0, 0.5, 1.0])) / 1e3 == pytest.approx([2442, 1880, 1170], abs=1)
    reference = pytest.importorskip("CoolProp.CoolProp").PropsSI
    vapour, liquid = (reference("H", "T", 298.15, "Q", quality, "Methanol") for quality in (1, 0))
    assert latent_heat(1.0) == pytest.approx(vapour - liquid, rel=0.01)
    vapour, liquid = (reference("H", "T", 298.15, "Q", quality, "Water") for quality in (1, 0))
    assert latent_heat(0.0) == pytest.approx(vapour - liquid, rel=1e-3)


def test_strength_from_density_inverts_density_over_the_whole_model() -> None:
    share, t = np.meshgrid(np.linspace(0, 1, 201), np.linspace(-20, 50, 71))
    assert alcohol_share_from_density(density(share, t), t) == pytest.approx(share, abs=1e-9)

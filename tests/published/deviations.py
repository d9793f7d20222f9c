"""The table of outside checks: what, against which source, and how far off we are.

`python -m tests.published.deviations` prints it as it stands in README.md; a test holds the two alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import fluids
import numpy as np
from CoolProp.CoolProp import PropsSI
from fluids.geometry import V_from_h
from scipy import stats

from planner.physics.blend import alcohol_share_from_mass_fraction, density, freezing_point, viscosity
from planner.physics.line import line_loss
from planner.physics.slosh import box_frequency, box_moving_share, cylinder_frequency
from planner.physics.surface import STANDARD_GRAVITY, surface_height
from planner.physics.tank import Box, LyingCylinder
from planner.use.slosh_accuracy import ACCURACY
from planner.use.spread import lognormal_quantile
from tests.published import test_calendar as calendar
from tests.published import test_drive_cycle as cycle
from tests.published import test_posterior as posterior
from tests.published.test_blend import _numbers
from tests.published.test_slosh import table
from tests.published.test_tilt import middle_height

Row = tuple[str, str, str]


def _percent(ours: np.ndarray, theirs: np.ndarray) -> str:
    off = float(np.max(np.abs(np.asarray(ours) / np.asarray(theirs) - 1))) * 100
    return "under 0.001 %" if off < 1e-3 else f"{off:.2g} %"


def _blend() -> Iterator[Row]:
    fraction, t, published = _numbers(
        "methanol_water_density.csv", "mass_fraction_methanol", "temperature_degC", "density_kg_m3"
    )
    held = t <= 50
    ours = density(alcohol_share_from_mass_fraction(fraction[held]), t[held])
    yield (
        "density of blends, up to 50 degC",
        "J. Chem. Thermodyn. and J. Chem. Eng. Data",
        _percent(ours, published[held]),
    )
    shares, temperatures = np.meshgrid(np.arange(0.1, 0.61, 0.1), np.arange(0.0, 41, 10))
    theirs = [
        PropsSI("D", "T", t + 273.15, "P", 101325, f"INCOMP::MMA[{f}]")
        for f, t in zip(shares.ravel(), temperatures.ravel(), strict=True)
    ]
    ours = density(alcohol_share_from_mass_fraction(shares.ravel()), temperatures.ravel())
    yield "density of blends, to 60 % by mass", "CoolProp, MMA (Melinder 2010)", _percent(ours, np.array(theirs))
    fraction, t, published = _numbers(
        "methanol_water_viscosity.csv", "mass_fraction_methanol", "temperature_degC", "viscosity_mPa_s"
    )
    ours = viscosity(alcohol_share_from_mass_fraction(fraction), t) * 1e3
    yield "viscosity of blends", "J. Chem. Eng. Data", _percent(ours, published)
    f = np.arange(0.05, 0.60, 0.05)
    theirs = [PropsSI("T_freeze", "P", 101325, "T", 293.15, f"INCOMP::MMA[{x}]") - 273.15 for x in f]
    off = np.abs(freezing_point(alcohol_share_from_mass_fraction(f)) - theirs).max()
    yield "freezing point, to 60 % by mass", "CoolProp, MMA; Lange's Handbook within 1 K", f"{off:.2f} K"
    methanol, water = 1017e-6 * density(1.0, 25.0), 1053e-6 * density(0.0, 25.0)
    mixed = (methanol + water) / density(alcohol_share_from_mass_fraction(methanol / (methanol + water)), 25.0)
    yield (
        "shrink: 1,017 and 1,053 cm3 make 2,000 cm3",
        "Smith, Van Ness, Introduction to Chemical Engineering Thermodynamics",
        f"{abs(mixed * 1e6 - 2000):.1f} cm3",
    )


def _hydraulics() -> Iterator[Row]:
    flows = np.array([100, 300, 700, 1000, 1500, 3000]) * 1e-6 / 60
    velocity = flows / (np.pi / 4 * 0.0043**2)
    reynolds = [fluids.Reynolds(V=v, D=0.0043, rho=926.7, mu=1.8e-3) for v in velocity]
    factor = np.array([fluids.friction_factor(Re=r) for r in reynolds])
    theirs = factor * 4.6 / 0.0043 * 926.7 * velocity**2 / 2
    ours = line_loss(flows, 4.6, 0.0043, density=926.7, viscosity=1.8e-3)
    yield "loss in the hose, laminar and turbulent", "package fluids", _percent(ours, theirs)
    time, boost = cycle.us06_boost()
    found = cycle.litres_of_the_planner(time, boost)
    yield (
        "litres over the US06 drive cycle",
        "US EPA schedule; brentq, fluids and a fine sum",
        _percent(np.array([found]), np.array([cycle.litres_by_summing(time, boost)])),
    )


def _tanks() -> Iterator[Row]:
    shape, levels = LyingCylinder(0.2, 0.4), np.linspace(0.002, 0.198, 50)
    theirs = [V_from_h(float(h), 0.2, 0.4, horizontal=True) for h in levels]
    yield (
        "litres at a level, lying cylinder",
        "package fluids",
        _percent(shape.volume_from_level(levels), np.array(theirs)),
    )
    random, worst = np.random.default_rng(11), 0.0
    for _ in range(200):
        box = Box(*random.uniform(0.08, 0.5, 3))
        share, slope = random.uniform(0.02, 0.98), abs(random.normal(0, 1.0)) + 1e-3
        ours = float(surface_height(box, share * box.capacity, -slope * STANDARD_GRAVITY, 0.0))
        worst = max(worst, abs(ours - middle_height(box.length, box.height, share, slope)))
    yield "surface of a tilted box, 200 cases", "exact regimes, worked out beside", f"{worst * 1e3:.3f} mm"


def _slosh() -> Iterator[Row]:
    found = box_frequency(0.8, 0.3, np.arange(1, 6), 9.81)
    published = np.array([0.89825, 1.38452, 1.70952, 1.97551, 2.20885])
    yield "five modes of a box", "Code_Aster, validation case V8.21.101", f"{np.abs(found - published).max():.6f} Hz"
    measured = table("slosh_measured_addington.csv")
    theory = 2 * np.pi * box_frequency(1.0, measured["depth_over_length"], gravity=1.0)
    rms = np.sqrt(np.mean((measured["omega_sqrt_L_over_g"] / theory - 1) ** 2))
    yield "measured first modes of boxes", "Addington 1960, College of Aeronautics Note 99", f"{rms * 100:.1f} % rms"
    ratio = np.linspace(0.05, 3.0, 60)
    rule = 0.264 / ratio * np.tanh(3.16 * ratio)
    yield "moving share of a box", "Housner / ACI 350.3", _percent(box_moving_share(1.0, ratio), rule)
    depth = np.linspace(0.005, 0.6, 40)
    short = np.sqrt(3.68 * 9.81 / 0.2 * np.tanh(3.68 * depth / 0.2)) / (2 * np.pi)
    yield (
        "first mode of an upright cylinder",
        "NASA SP-106 table 6.1",
        _percent(cylinder_frequency(0.2, depth, 9.81), short),
    )
    yield (
        "share of time the pickup is bare, 108 cases",
        "an independent nonlinear simulation",
        f"{ACCURACY.share_error:.2f} on average",
    )
    yield (
        "dangerous cases seen; false alarms",
        "the same simulation",
        f"{ACCURACY.dangerous - ACCURACY.missed} of {ACCURACY.dangerous}; {ACCURACY.false_alarms} of {ACCURACY.calm}",
    )


def _chances() -> Iterator[Row]:
    sd = np.sqrt(np.log1p(0.15**2))
    chances = np.array([0.01, 0.1, 0.5, 0.9, 0.99])
    theirs = stats.lognorm(sd, scale=2.0 * np.exp(-(sd**2) / 2)).ppf(chances)
    ours = np.array([lognormal_quantile(2.0, 0.15, chance) for chance in chances])
    yield "quantiles of lognormal use", "scipy.stats", _percent(ours, theirs)


@cache
def _learning() -> Iterator[Row]:
    ours, theirs = (np.array(side) for side in zip(*(posterior.learnt(*case) for case in posterior.CASES), strict=True))
    yield "what a reading teaches of the car's factor", "scipy's cubature of the model", _percent(ours, theirs)


def _calendar() -> Iterator[Row]:
    wrong = sum(len(calendar.wrong_moments(name)) for name in calendar.ZONES)
    what = f"each half hour of three years in {len(calendar.ZONES)} zones"
    yield what, "IANA time zone database", f"{wrong or 'none'} wrong"


def rows() -> tuple[Row, ...]:
    """What was checked, against which source, and the largest deviation found."""
    return (*_blend(), *_hydraulics(), *_tanks(), *_slosh(), *_chances(), *_learning(), *_calendar())


def lines() -> list[str]:
    """The table in Markdown."""
    head = ["| what | against | largest deviation |", "|---|---|---|"]
    return head + [f"| {what} | {source} | {deviation} |" for what, source, deviation in rows()]


if __name__ == "__main__":
    print("\n".join(lines()))

"""Blends of methanol and water: density, shrink of mixing, viscosity, freezing, flash point, latent heat.

Everything in SI, temperatures in degC, arrays in, arrays out (numbers for numbers). `alcohol_share` is methanol's
share by volume of the two liquids before mixing, both at 20 degC: 0 is water, 1 is methanol. Functions hold for
shares 0 to 1 and -20 to 50 degC and raise OutsideModel elsewhere. Weak zone: 40 to 50 degC and below 0 degC, where
few published values stand behind the fits; below its freezing point a blend is not a liquid at all.
"""

from __future__ import annotations

import numpy as np

from planner.errors import OutsideModel

Array = np.ndarray

METHANOL_MOLAR_MASS = 0.03204186  # [kg/mol]
WATER_MOLAR_MASS = 0.01801528  # [kg/mol]
MIXING_TEMPERATURE = 20.0  # [degC] at which the shares are counted
COLDEST, HOTTEST = -20.0, 50.0  # [degC]

# Redlich-Kister coefficients (a, b, c) of tau = (t - 20)/100 for k = 0..4, molar excess volume [cm3/mol].
_EXCESS_VOLUME = (
    (-4.0111, -0.2765, -0.9740),
    (0.2721, -0.6998, 3.1485),
    (-0.0950, -2.1500, -8.8071),
    (-0.9385, 0.8160, 1.8722),
    (0.9773, 0.0422, 14.5232),
)
# The same for the excess of the logarithm of viscosity, k = 0..3.
_EXCESS_LOG_VISCOSITY = (
    (2.66316317, -2.07799994, -0.03443007),
    (-1.65290893, 3.07007718, 0.0),
    (1.49275201, -3.84396612, 0.0),
    (-0.59913539, 0.0, 0.0),
)
_FLASH_SHARE = (0.03, 0.05, 0.07, 0.10, 0.20, 0.30, 0.40, 0.50, 0.60, 0.70, 0.80, 1.00)
_FLASH_POINT = (93.0, 78.0, 68.5, 59.0, 44.0, 36.0, 32.0, 27.0, 24.0, 21.0, 18.0, 11.0)
# Mass fraction and freezing point [degC] beyond the polynomial; uncertain by some 20 K.
_FREEZING_RICH = ((0.6, 0.8, 1.0), (-74.0, -86.0, -97.6))
_LATENT_HEAT_METHANOL, _LATENT_HEAT_WATER = 1.170e6, 2.442e6  # [J/kg] at 25 degC


def _within(value: Array | float, low: float, high: float, *, what: str) -> Array:
    values = np.asarray(value, dtype=float)[()]
    if not np.all((values >= low) & (values <= high)):
        raise OutsideModel(f"{what} {value} is outside the blend model, which holds from {low:g} to {high:g}")
    return values


def _share(alcohol_share: Array | float) -> Array:
    return _within(alcohol_share, 0.0, 1.0, what="alcohol share")


def _temperature(temperature: Array | float) -> Array:
    return _within(temperature, COLDEST, HOTTEST, what="temperature [degC]")


def _methanol_density(t: Array | float) -> Array | float:
    return 809.7291 - 0.9369783 * t + 1.978495e-4 * t**2 - 6.333565e-6 * t**3


def _water_density(t: Array | float) -> Array | float:
    rising = 999.83952 + t * (16.945176 + t * (-7.9870401e-3 + t * -46.170461e-6))
    return (rising + t**4 * (105.56302e-9 - 280.54253e-12 * t)) / (1 + 16.879850e-3 * t)


_RATIO = float(_methanol_density(MIXING_TEMPERATURE) / _water_density(MIXING_TEMPERATURE))


def mass_fraction(alcohol_share: Array | float) -> Array:
    """Methanol's share of the mass [1] of a blend. Exact, but for the densities at 20 degC (0.1 %).

    Raises OutsideModel for a share outside 0 to 1.
    """
    share = _share(alcohol_share)
    return _RATIO * share / (1 + (_RATIO - 1) * share)


def alcohol_share_from_mass_fraction(fraction: Array | float) -> Array:
    """Share by volume before mixing [1] from methanol's share of the mass [1]; the inverse of `mass_fraction`.

    Raises OutsideModel for a fraction outside 0 to 1.
    """
    fractions = _within(fraction, 0.0, 1.0, what="mass fraction")
    return fractions / (fractions + _RATIO * (1 - fractions))


def mole_fraction(alcohol_share: Array | float) -> Array:
    """Methanol's share of the molecules [1] of a blend. Raises OutsideModel for a share outside 0 to 1."""
    fraction = mass_fraction(alcohol_share)
    methanol, water = fraction / METHANOL_MOLAR_MASS, (1 - fraction) / WATER_MOLAR_MASS
    return methanol / (methanol + water)


def _redlich_kister(x: Array, tau: Array, coefficients: tuple[tuple[float, float, float], ...]) -> Array:
    terms = (((c * tau + b) * tau + a) * (2 * x - 1) ** k for k, (a, b, c) in enumerate(coefficients))
    return x * (1 - x) * sum(terms)


def _molar_volumes(x: Array, t: Array) -> tuple[Array, Array]:
    """Volume [m3/mol] of the parts side by side, and of the blend."""
    parts = x * METHANOL_MOLAR_MASS / _methanol_density(t) + (1 - x) * WATER_MOLAR_MASS / _water_density(t)
    return parts, parts + 1e-6 * _redlich_kister(x, (t - 20) / 100, _EXCESS_VOLUME)


def density(alcohol_share: Array | float, temperature: Array | float = 20.0) -> Array:
    """Density [kg/m3] of a blend at a temperature [degC]; shapes broadcast.

    Within 0.11 % of the published tables over the whole range. Raises OutsideModel beyond 0 to 1 and -20 to 50 degC.
    Source: Redlich-Kister excess volume fitted to doi:10.1016/j.jct.2007.05.004, doi:10.1021/je049691v,
    doi:10.1021/je700300y and handbook rows; water after Kell, J. Chem. Eng. Data 20 (1975) 97.
    """
    x, t = mole_fraction(alcohol_share), _temperature(temperature)
    molar_mass = x * METHANOL_MOLAR_MASS + (1 - x) * WATER_MOLAR_MASS
    return molar_mass / _molar_volumes(x, t)[1]


def shrink(alcohol_share: Array | float, temperature: Array | float = 20.0) -> Array:
    """Share of the parts' volume [1] that is lost on mixing, parts and blend at a temperature [degC].

    Errors and source as in `density`; 0.001 of the parts' volume.
    """
    parts, blend = _molar_volumes(mole_fraction(alcohol_share), _temperature(temperature))
    return 1 - blend / parts


def _log_water_viscosity(t: Array) -> Array:
    ratio = (t + 273.15) / 300
    return np.log(1e-6 * (280.68 * ratio**-1.9 + 511.45 * ratio**-7.7 + 61.131 * ratio**-19.6 + 0.45903 * ratio**-40.0))


def _log_methanol_viscosity(t: Array) -> Array:
    cold = 1 / (t + 273.15) - 1 / 298.15
    return np.log(1e-3) - 0.609354133 + cold * (1290.33982 - 27114.6606 * cold)


def viscosity(alcohol_share: Array | float, temperature: Array | float = 20.0) -> Array:
    """Dynamic viscosity [Pa s] of a blend at a temperature [degC]; shapes broadcast.

    Within 2 % of the published table at 20 to 30 degC and 3 % of the MMA correlation where that holds; take it as
    10 %, for line loss. Above 60 % methanol by mass no value away from 20 to 30 degC stands behind it. Raises
    OutsideModel beyond 0 to 1 and -20 to 50 degC. Source: Redlich-Kister excess of the logarithm over mole fraction,
    fitted here to doi:10.1016/j.jct.2007.05.004 and, for the temperature, the correlation MMA of Melinder (2010) as
    CoolProp carries it; water after the IAPWS release on liquid water at 0.1 MPa (coefficients from memory, checked).
    """
    x, t = mole_fraction(alcohol_share), _temperature(temperature)
    ideal = x * _log_methanol_viscosity(t) + (1 - x) * _log_water_viscosity(t)
    return np.exp(ideal + _redlich_kister(x, (t - 20) / 100, _EXCESS_LOG_VISCOSITY))


def freezing_point(alcohol_share: Array | float) -> Array:
    """Temperature [degC] at which the first ice forms in a blend. Raises OutsideModel for a share outside 0 to 1.

    Within 1 K of the published table to 60 % methanol by mass (about 65 % by volume); richer blends freeze
    below -70 degC, uncertain by some 20 K. Source: Lange's Handbook of Chemistry and VDI-Waermeatlas, fitted here with
    the cryoscopic constant of water, 1.86 K kg/mol, as the slope at zero.
    """
    w = mass_fraction(alcohol_share)
    poor = -w * (58.05 + w * (75.11761774 + w * 55.59582293))
    rich = np.interp(w, *_FREEZING_RICH)
    return np.where(w <= 0.6, poor, rich)[()]


def flash_point(alcohol_share: Array | float) -> Array:
    """Closed-cup flash point [degC] of a blend, straight between computed values; for a warning, not for safety.

    Good to 5 to 9 K, on the low side; infinite below a share of 0.03, where none lies below boiling. Raises
    OutsideModel for a share outside 0 to 1. Source: UNIFAC and NRTL activities from 10 % on, and below it the
    activity coefficient of 10 %, 2.05, with methanol's vapour pressure; methanol 9 to 12 degC as published.
    """
    return np.interp(_share(alcohol_share), _FLASH_SHARE, _FLASH_POINT, left=np.inf)


def latent_heat(alcohol_share: Array | float) -> Array:
    """Heat [J/kg] that a blend takes to evaporate whole at 25 degC, heat of mixing left out (1 %).

    Raises OutsideModel for a share outside 0 to 1. Source: steam tables, water 2,442 kJ/kg; methanol 1,170 from memory.
    """
    fraction = mass_fraction(alcohol_share)
    return fraction * _LATENT_HEAT_METHANOL + (1 - fraction) * _LATENT_HEAT_WATER


def density_slope(alcohol_share: Array | float, temperature: Array | float = 20.0) -> Array:
    """Change of density [kg/m3] with the share [1], by differences of 0.001; below zero everywhere in the model.

    Raises OutsideModel as `density` does.
    """
    share = _share(alcohol_share)
    low, high = np.maximum(share - 5e-4, 0.0), np.minimum(share + 5e-4, 1.0)
    return (density(high, temperature) - density(low, temperature)) / (high - low)


def alcohol_share_from_density(rho: Array | float, temperature: Array | float = 20.0) -> Array:
    """Share by volume before mixing [1] of a blend of density rho [kg/m3] at a temperature [degC]; shapes broadcast.

    Never ambiguous: density falls with the share at every temperature of the model. Exact to 1e-12; but 1 kg/m3 is
    0.3 to 0.8 of a percent at 20 degC, and up to 1.6 at -20. Raises OutsideModel for a density that no blend has there.
    """
    t = _temperature(temperature)
    water, alcohol = density(0.0, t), density(1.0, t)
    rho = np.asarray(rho, dtype=float)[()]
    if not np.all((rho >= alcohol) & (rho <= water)):
        raise OutsideModel(
            f"density {rho} kg/m3 at {temperature} degC is no blend's: it lies between methanol's "
            f"{np.round(alcohol, 1)} and water's {np.round(water, 1)} kg/m3"
        )
    low, high = np.zeros(np.broadcast(rho, t).shape), np.ones(np.broadcast(rho, t).shape)
    for _ in range(42):
        middle = (low + high) / 2
        weak = density(middle, t) > rho
        low, high = np.where(weak, middle, low), np.where(weak, high, middle)
    return ((low + high) / 2)[()]

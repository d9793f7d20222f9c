"""Mixing recipes: what to pour for a blend, by volume and by scale.

Volumes are those at the recipe's temperature [degC]; shares are by volume of the parts before mixing, at 20 degC.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from planner.errors import OutsideModel
from planner.physics.blend import (
    density,
    density_slope,
    flash_point,
    freezing_point,
    latent_heat,
    mass_fraction,
    shrink,
)
from planner.planning.stock import Parts, parts_of_masses

Liquid = Literal["methanol", "water", "blend at hand", "bought premix"]

_NOTHING = 1e-9  # share of the blend's mass that is not worth pouring


@dataclass(frozen=True, slots=True)
class Have:
    """Blend at hand: volume [m3] at the recipe's temperature and its alcohol share [1]."""

    volume: float
    alcohol_share: float


@dataclass(frozen=True, slots=True)
class Pour:
    """One liquid to pour: volume [m3] at the recipe's temperature, mass [kg]; `whole` if all of it goes in."""

    liquid: Liquid
    alcohol_share: float
    volume: float
    mass: float
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Recipe:
    """What to pour for a blend of `wanted_share`, what comes out, and what is left [m3] of the blend at hand."""

    wanted_share: float
    temperature: float
    pours: tuple[Pour, ...]
    parts: Parts
    left: float = 0.0

    @property
    def shrink(self) -> float:
        """Volume [m3] that is lost when the pours are mixed."""
        return sum(pour.volume for pour in self.pours) - self.parts.blend

    def poured(self, liquid: Liquid) -> Pour:
        """What is poured of a liquid; nothing if the recipe has none of it."""
        return next((pour for pour in self.pours if pour.liquid == liquid), Pour(liquid, 0.0, 0.0, 0.0))


def recipe(
    volume: float,
    alcohol_share: float,
    temperature: float = 20.0,
    *,
    have: Have | None = None,
    premix_share: float | None = None,
) -> Recipe:
    """What to pour for `volume` [m3] of finished blend of a share [1], everything at `temperature` [degC].

    As much of the blend at hand as fits is used first. The rest comes of methanol and water or, with `premix_share`,
    of a bought premix and whichever of the two is then missing. Mass is conserved exactly.
    Raises OutsideModel for a volume that is not above zero, or beyond the blend model.
    """
    if not 0 < volume < np.inf:
        raise OutsideModel(f"a blend's volume is above zero, not {volume * 1e3:g} L")
    mass = volume * float(density(alcohol_share, temperature))
    wanted = mass * _fractions(alcohol_share)
    pours: list[Pour] = []
    if have and have.volume > 0:
        pours.append(_poured_first(have, wanted, temperature))
        wanted = wanted - pours[0].mass * _fractions(have.alcohol_share)
    pours += _from_stock(wanted, temperature, premix_share)
    kept = tuple(pour for pour in pours if pour.mass > _NOTHING * mass)
    left = have.volume - pours[0].volume if have and have.volume > 0 else 0.0
    return Recipe(alcohol_share, temperature, kept, _mixed(kept, temperature), left)


def _fractions(alcohol_share: float) -> np.ndarray:
    """Methanol's and water's share of the mass."""
    fraction = float(mass_fraction(alcohol_share))
    return np.array([fraction, 1 - fraction])


def _pour(liquid: Liquid, alcohol_share: float, mass: float, *, temperature: float) -> Pour:
    mass = max(mass, 0.0)
    return Pour(liquid, alcohol_share, mass / float(density(alcohol_share, temperature)), mass)


def _poured_first(have: Have, wanted: np.ndarray, temperature: float) -> Pour:
    """As much of the blend at hand as brings neither part beyond what is wanted [kg]."""
    mass = have.volume * float(density(have.alcohol_share, temperature))
    fractions = _fractions(have.alcohol_share)
    room = min(want / part for want, part in zip(wanted, fractions, strict=True) if part > 0)
    if mass <= room:
        return Pour("blend at hand", have.alcohol_share, have.volume, mass, whole=True)
    return _pour("blend at hand", have.alcohol_share, room, temperature=temperature)


def _from_stock(wanted: np.ndarray, temperature: float, premix_share: float | None) -> list[Pour]:
    """Bought premix and the missing part, or water and then methanol, that hold the wanted masses [kg]."""
    pours = []
    if premix_share is not None:
        fractions = _fractions(premix_share)
        room = max(min(want / part for want, part in zip(wanted, fractions, strict=True) if part > 0), 0.0)
        pours.append(_pour("bought premix", premix_share, room, temperature=temperature))
        wanted = wanted - room * fractions
    methanol, water = (float(want) for want in wanted)
    return [
        *pours,
        _pour("water", 0.0, water, temperature=temperature),
        _pour("methanol", 1.0, methanol, temperature=temperature),
    ]


def _mixed(pours: tuple[Pour, ...], temperature: float) -> Parts:
    alcohol = sum(pour.mass * float(mass_fraction(pour.alcohol_share)) for pour in pours)
    return parts_of_masses(alcohol, sum(pour.mass for pour in pours) - alcohol, temperature)


def rounded_by_volume(exact: Recipe, step: float) -> Recipe:
    """The recipe with every pour rounded to `step` [m3]; a blend at hand that goes in whole stays as it is."""
    return _rounded(exact, lambda pour: round(pour.volume / step) * step * pour.mass / pour.volume)


def rounded_by_mass(exact: Recipe, step: float) -> Recipe:
    """The recipe with every pour rounded to `step` [kg]; a blend at hand that goes in whole stays as it is."""
    return _rounded(exact, lambda pour: round(pour.mass / step) * step)


def _rounded(exact: Recipe, mass_of: Callable[[Pour], float]) -> Recipe:
    t = exact.temperature
    pours = tuple(
        pour if pour.whole else _pour(pour.liquid, pour.alcohol_share, mass_of(pour), temperature=t)
        for pour in exact.pours
    )
    if not sum(pour.mass for pour in pours):
        raise OutsideModel("rounding leaves nothing to pour; round to a smaller step")
    used = exact.poured("blend at hand").volume
    now = sum(pour.volume for pour in pours if pour.liquid == "blend at hand")
    return Recipe(exact.wanted_share, t, pours, _mixed(pours, t), exact.left + used - now)


def share_of_finished_volume(alcohol_share: float) -> float:
    """Methanol before mixing over the finished blend's volume [1], at 20 degC: the other common way to count."""
    return float(alcohol_share / (1 - shrink(alcohol_share)))


def recipe_json(made: Recipe) -> dict[str, Any]:
    """The recipe as plain data: what to pour, and the blend that comes of it. flash_degC is None if it has none."""
    parts, share = made.parts, made.parts.alcohol_share
    methanol, water, at_hand = (made.poured(liquid) for liquid in ("methanol", "water", "blend at hand"))
    return {
        "alcohol_L": methanol.volume * 1e3,
        "water_L": water.volume * 1e3,
        "blend_L": parts.blend * 1e3,
        "shrink_L": made.shrink * 1e3,
        "alcohol_kg": methanol.mass,
        "water_kg": water.mass,
        "mass_kg": parts.mass,
        "mass_fraction": float(mass_fraction(share)),
        "density_kg_m3": float(density(share, made.temperature)),
        "density_20degC_kg_m3": float(density(share)),
        "strength_per_kg_m3": -1 / float(density_slope(share, made.temperature)),
        "freezing_degC": float(freezing_point(share)),
        "flash_degC": flash if np.isfinite(flash := float(flash_point(share))) else None,
        "latent_heat_kJ_kg": float(latent_heat(share)) / 1e3,
        "temperature_degC": made.temperature,
        "alcohol_share": share,
        "wanted_alcohol_share": made.wanted_share,
        "share_of_finished_volume": share_of_finished_volume(share),
        "have_used_L": at_hand.volume * 1e3,
        "have_left_L": made.left * 1e3,
        "premix_L": made.poured("bought premix").volume * 1e3,
        "pours": [pour_json(pour) for pour in made.pours],
    }


def pour_json(pour: Pour) -> dict[str, Any]:
    """One pour as plain data in L and kg."""
    return {
        "liquid": pour.liquid,
        "alcohol_share": pour.alcohol_share,
        "volume_L": pour.volume * 1e3,
        "mass_kg": pour.mass,
    }

"""How strong a blend is by its density, how sure that is, and where a density says little."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from planner.physics.blend import COLDEST, HOTTEST, alcohol_share_from_density, density, density_slope, freezing_point

MODEL_ERROR = 1.0  # [kg/m3]; the density fit against the published tables, 0.11 %


@dataclass(frozen=True, slots=True)
class Strength:
    """Alcohol share by density, its error [1] (of density, temperature and model, as squares), and what to know.

    per_kg_m3 and per_kelvin are the change of the share [1] with 1 kg/m3 and with 1 K of error.
    """

    alcohol_share: float
    error: float
    per_kg_m3: float
    per_kelvin: float
    notices: tuple[str, ...]


def strength_from_density(
    rho: float, temperature: float = 20.0, *, density_error: float = 1.0, temperature_error: float = 1.0
) -> Strength:
    """Alcohol share of a blend measured at rho [kg/m3] and `temperature` [degC], with errors [kg/m3] and [K].

    Raises OutsideModel for a density that no blend has at that temperature, or beyond the blend model.
    """
    share = float(alcohol_share_from_density(rho, temperature))
    per_kg_m3 = -1 / float(density_slope(share, temperature))
    warmer = max(min(temperature + 0.5, HOTTEST), COLDEST + 1.0)
    expansion = float(density(share, warmer - 1.0) - density(share, warmer))
    squares = density_error**2 + MODEL_ERROR**2 + (expansion * temperature_error) ** 2
    error = per_kg_m3 * squares**0.5
    return Strength(share, error, per_kg_m3, per_kg_m3 * expansion, _strength_notices(share, temperature, per_kg_m3))


def _strength_notices(share: float, temperature: float, per_kg_m3: float) -> tuple[str, ...]:
    """Where a density says little: a thin slope, cold or hot, or a blend that is part ice."""
    found = []
    if per_kg_m3 > 0.0065:
        found.append(f"weak: here 1 kg/m3 is {100 * per_kg_m3:.1f} % of strength; read the hydrometer twice")
    if temperature > 40 or temperature < 0:
        found.append("weak: below 0 and above 40 degC few published densities exist; measure near 20 degC")
    if temperature <= float(freezing_point(share)):
        found.append("no answer: at this temperature such a blend is partly ice; warm it up and stir")
    return tuple(found)


def strength_json(strength: Strength) -> dict[str, Any]:
    """The strength as plain data, all shares 0 to 1."""
    return asdict(strength) | {"notices": list(strength.notices)}

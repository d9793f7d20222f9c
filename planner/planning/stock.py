"""What to bring: blend, its parts by volume and mass, the containers that hold it, and what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import ceil
from typing import Any

from planner.car import Blend
from planner.errors import BadInput, Fault
from planner.event import Stock
from planner.physics.blend import alcohol_share_from_mass_fraction, density, mass_fraction

FILL_LIMIT = 0.95  # share of a container that may be filled, so that the blend can expand
_GRAIN = 1e-12  # [m3]; sizes are counted in it, so that equal sums are equal
_MOST_SUMS = 500_000


@dataclass(frozen=True, slots=True)
class Parts:
    """Alcohol and water of a blend, everything at one temperature [degC]: volumes [m3], masses [kg]."""

    blend: float
    alcohol: float
    water: float
    alcohol_mass: float
    water_mass: float
    temperature: float

    @property
    def mass(self) -> float:
        """Mass of the blend [kg]."""
        return self.alcohol_mass + self.water_mass

    @property
    def shrink(self) -> float:
        """Volume [m3] that is lost on mixing."""
        return self.alcohol + self.water - self.blend

    @property
    def alcohol_share(self) -> float:
        """Share by volume of the parts before mixing, both at 20 degC [1]; 0 for nothing."""
        return float(alcohol_share_from_mass_fraction(self.alcohol_mass / self.mass)) if self.mass else 0.0


@dataclass(frozen=True, slots=True)
class Container:
    """One container: its size [m3] and what is filled into it [m3], at most 95 %."""

    size: float
    fill: float


@dataclass(frozen=True, slots=True)
class Bring:
    """The blend to bring, its parts, the containers that hold it, and the cost (None without prices)."""

    parts: Parts
    containers: tuple[Container, ...]
    cost: float | None


def parts_of(volume: float, blend: Blend) -> Parts:
    """Alcohol and water that make `volume` [m3] of a blend, everything measured at the blend's temperature.

    Raises OutsideModel for a share or temperature beyond the blend model.
    """
    mass = volume * float(density(blend.alcohol_share, blend.temperature))
    alcohol = mass * float(mass_fraction(blend.alcohol_share))
    return parts_of_masses(alcohol, mass - alcohol, blend.temperature)


def parts_of_masses(alcohol_mass: float, water_mass: float, temperature: float) -> Parts:
    """The parts and the blend of two masses [kg] at a temperature [degC]. Raises OutsideModel beyond the model."""
    mass = alcohol_mass + water_mass
    share = alcohol_share_from_mass_fraction(alcohol_mass / mass) if mass else 0.0
    return Parts(
        blend=mass / float(density(share, temperature)),
        alcohol=alcohol_mass / float(density(1.0, temperature)),
        water=water_mass / float(density(0.0, temperature)),
        alcohol_mass=alcohol_mass,
        water_mass=water_mass,
        temperature=temperature,
    )


def choose_containers(volume: float, sizes: Sequence[float]) -> tuple[float, ...]:
    """Sizes [m3], largest first, of containers that hold `volume` [m3], none filled beyond 95 %.

    Each size may be taken any number of times. Exact: least surplus, then fewest containers. No sizes, or nothing
    to hold: none. Raises BadInput for a size that is not above zero, or sizes so small that they cannot be searched.
    """
    size_of = {_grains(size): size for size in sizes}
    if not size_of:
        return ()
    need = ceil(volume / (FILL_LIMIT * _GRAIN)) - 1  # a grain less, so that rounding cannot ask for another container
    return tuple(size_of[grain] for grain in _least_sum(need, tuple(size_of)))


def _grains(size: float) -> int:
    if not size > 0:
        raise BadInput([Fault("", "stock.containers", f"{size * 1e3:g} L", "a container's size is above zero")])
    return max(1, round(size / _GRAIN))


def _least_sum(need: int, grains: Sequence[int]) -> list[int]:
    """The least sum of grains that reaches `need`, of the fewest terms: sums are met in rising order."""
    fewest: dict[int, tuple[int, int]] = {0: (0, 0)}
    waiting = [0]
    while (total := heappop(waiting)) < need:
        for grain in grains:
            longer = total + grain
            if longer not in fewest:
                heappush(waiting, longer)
            if longer not in fewest or fewest[longer][0] > fewest[total][0] + 1:
                fewest[longer] = (fewest[total][0] + 1, grain)
        if len(fewest) > _MOST_SUMS:
            raise BadInput([Fault("", "stock.containers", "", "too many small containers; leave out the smallest")])
    chosen = []
    while total:
        chosen.append(fewest[total][1])
        total -= chosen[-1]
    return sorted(chosen, reverse=True)


def fill_containers(volume: float, sizes: Sequence[float]) -> tuple[Container, ...]:
    """Fill containers [m3] in turn to 95 % until `volume` [m3] is in them; a part-full one comes last."""
    filled, rest = [], volume
    for size in sizes:
        filled.append(Container(size, min(rest, FILL_LIMIT * size)))
        rest -= filled[-1].fill
    return tuple(filled)


def cost_of(parts: Parts, stock: Stock) -> float | None:
    """Cost of the parts, in the currency of the prices; None where a part that is needed has no price."""
    priced = [(parts.alcohol, stock.alcohol_price), (parts.water, stock.water_price)]
    needed = [(volume, price) for volume, price in priced if volume > 0]
    if any(price is None for _, price in needed) or all(price is None for _, price in priced):
        return None
    return sum(volume * price for volume, price in needed if price is not None)


def bring(volume: float, blend: Blend, stock: Stock) -> Bring:
    """What to bring so that `volume` [m3] of a blend is at hand. Raises OutsideModel and BadInput as its parts do."""
    parts = parts_of(volume, blend)
    sizes = choose_containers(volume, stock.containers)
    return Bring(parts, fill_containers(volume, sizes), cost_of(parts, stock))


def bring_json(brought: Bring) -> dict[str, Any]:
    """The record as plain data in L and kg; `cost` is None without prices."""
    parts = brought.parts
    return {
        "blend_L": parts.blend * 1e3,
        "alcohol_L": parts.alcohol * 1e3,
        "water_L": parts.water * 1e3,
        "alcohol_kg": parts.alcohol_mass,
        "water_kg": parts.water_mass,
        "mass_kg": parts.mass,
        "containers": [{"size_L": round(one.size * 1e3, 6), "fill_L": one.fill * 1e3} for one in brought.containers],
        "cost": brought.cost,
    }

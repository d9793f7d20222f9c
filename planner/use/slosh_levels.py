"""Which fill levels are risky on a course: starving and washing side by side, level by level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from planner.car import Car
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.spectrum import excitation
from planner.use.content import TraceSet, trace_set
from planner.use.exposure import Exposure, exposure
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, STEP, Motion, course_motions
from planner.use.starving import StarvingFloor, starving_floor
from planner.use.washing import Washing, washing, washing_band

Array = np.ndarray

SHARES = tuple(round(0.025 * k, 3) for k in range(1, 40))
"""Fill levels looked at, shares of the capacity: an empty or a full tank has no free surface."""
BANDS = ("under 1 %", "1 to 10 %", "over 10 %")
_EDGES = (0.01, 0.10)


@dataclass(frozen=True, slots=True, eq=False)
class SloshLevels:
    """Risk at each of m fill levels, and what it was worked out from.

    volume: (m,) [m3]; still, moving: how long the pickup is bare; washing; floor of the course; band: (low, high)
    [m3] where fluid washes hardest; excitation: frequencies [Hz], density along x and y [(m/s2)^2/Hz], (k,) each.
    """

    share: Array
    volume: Array
    still: Exposure
    moving: Exposure
    washing: Washing
    floor: StarvingFloor
    band: tuple[float, float]
    excitation: tuple[Array, Array, Array]

    @property
    def bare_of_flow(self) -> Array:
        """Share of the flowing time in which the pickup is bare, (m,), by the surface that says more."""
        return np.maximum(self.still.of_flow, self.moving.of_flow)

    @property
    def words(self) -> tuple[str, ...]:
        """The band of each level's risk of starving, in words."""
        return tuple(BANDS[place] for place in np.searchsorted(_EDGES, self.bare_of_flow, side="right"))

    @property
    def borderline(self) -> Array:
        """Whether a steady corner leaves the surface within 10 mm of the pickup, (m,): the model tells no better."""
        low, high = self.floor.borderline
        return (self.volume >= low) & (self.volume < high)

    @property
    def washes(self) -> Array:
        """Whether a level lies in the washing band, (m,)."""
        return (self.volume >= self.band[0]) & (self.volume <= self.band[1])


def _excitation(motions: Sequence[Motion]) -> tuple[Array, Array, Array]:
    """Frequencies [Hz] and mean densities along x and y over all motions, by their length."""
    total = sum(motion.ax.size for motion in motions)
    grid, none = excitation(np.zeros(1), STEP)
    ax, ay = none.copy(), none.copy()
    for motion in motions:
        ax += excitation(motion.ax, STEP)[1] * (motion.ax.size / total)
        ay += excitation(motion.ay, STEP)[1] * (motion.ay.size / total)
    return grid, ax, ay


def slosh_levels(
    car: Car, traces: Sequence[Trace], per: Per = CAUTIOUS_PER, shares: Sequence[float] = SHARES
) -> SloshLevels:
    """Risk at fill levels, shares of the capacity above 0 and below 1, over all traces of a course.

    Where no trace holds an acceleration the cautious pattern for `per` stands in. Kept until car or traces change.
    Raises OutsideModel as `starving_floor` does, and for a full or an empty tank.
    """
    return _levels(car, trace_set(traces), per, tuple(shares))


@lru_cache(maxsize=64)
def _levels(car: Car, course: TraceSet, per: Per, shares: tuple[float, ...]) -> SloshLevels:
    tank = car.tank
    motions, _ = course_motions(course.traces, flow_curve(car), per)
    volumes = np.array(shares) * tank.capacity
    return SloshLevels(
        share=np.array(shares),
        volume=volumes,
        still=exposure(tank, motions, volumes, car.line.volume, "still"),
        moving=exposure(tank, motions, volumes, car.line.volume, "moving"),
        washing=washing(car, motions, volumes),
        floor=starving_floor(car, course.traces, per),
        band=washing_band(tank),
        excitation=_excitation(motions),
    )

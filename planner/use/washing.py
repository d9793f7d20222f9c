"""What washes: the weight thrown from side to side, the force on the mounts, and resonance, at each fill level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from planner.car import Car, Tank
from planner.physics.blend import density
from planner.physics.columns import fluid_offset
from planner.physics.slosh import Axis, first_mode_frequency, mount_force, moving_share
from planner.physics.spectrum import excitation, mode_gain
from planner.physics.surface import STANDARD_GRAVITY
from planner.physics.tank import TankShape
from planner.use.exposure import portions
from planner.use.motion import STEP, Motion

Array = np.ndarray

WASHING_FROM = 0.84
"""Share of the largest weight moment from which a fill level counts as washing: 30 to 70 % of a wide box (a design
choice; rules for tank vehicles ask for at most 20 or at least 80 %)."""
FORCE_RANGE = 1.5
"""The peak force lies between the computed one and this many times it."""
AXES: tuple[Axis, Axis] = ("x", "y")
RESONANT_FROM = 1.25
"""Gain of the first mode over a slow tilt from which a level counts as near resonance (a design choice)."""
_FELT = 0.02 * STANDARD_GRAVITY
_SHARES = np.arange(0.01, 1.0, 0.01)


def weight_moment(shape: TankShape, volume: Array, fluid_density: float, acceleration: float) -> Array:
    """Moment [N m], (m,), by which a steady corner of `acceleration` [m/s2] throws the fluid's weight aside.

    volume: (m,) [m3]; fluid_density [kg/m3]. For a wide box it nears `rho g V (W/2) (1 - f)`, greatest half full.
    """
    moved = fluid_offset(shape, volume, 0.0, acceleration)[1] - fluid_offset(shape, volume, 0.0, 0.0)[1]
    return np.abs(fluid_density * STANDARD_GRAVITY * np.atleast_1d(volume) * moved)


@lru_cache(maxsize=256)
def _band(shape: TankShape) -> tuple[float, float]:
    volumes = _SHARES * shape.capacity
    moment = weight_moment(shape, volumes, 1000.0, STANDARD_GRAVITY)
    limit = WASHING_FROM * moment.max()
    inside = np.flatnonzero(moment >= limit)
    first, last = int(inside[0]), int(inside[-1])
    low = np.interp(limit, moment[: first + 1], volumes[: first + 1])
    high = np.interp(-limit, -moment[last:], volumes[last:])
    return float(low), float(high)


def washing_band(tank: Tank) -> tuple[float, float]:
    """Volumes (low, high) [m3] between which a 1 g corner throws WASHING_FROM or more of the most weight moment."""
    return _band(tank.shape)


@dataclass(frozen=True, slots=True, eq=False)
class Washing:
    """What washes at each of m fill levels; axis by axis (2, m) for x and y where named so.

    frequency: (2, m) [Hz] of the first mode; moving_mass: (2, m) [kg]; gain: (2, m) [1] of the mode in this course,
    1 where an axis is not excited. force: (m,) [N], the computed peak on the mounts, to FORCE_RANGE times it;
    frozen_force: (m,) [N] were the fluid frozen; weight: (m,) [N]; moment: (m,) [N m] thrown aside in a 1 g corner.
    """

    frequency: Array
    moving_mass: Array
    gain: Array
    force: Array
    frozen_force: Array
    weight: Array
    moment: Array

    @property
    def resonant(self) -> Array:
        """Whether a level is near resonance, (m,)."""
        return np.any(self.gain >= RESONANT_FROM, axis=0)


def _axis_gain(motions: Sequence[Motion], axis: Axis, frequency: Array, damping: float) -> Array:
    """Gain (m,) of the first mode along an axis, over all motions by their length."""
    power, grid, seconds = np.zeros(1), np.zeros(1), 0
    for motion in motions:
        along = motion.ax if axis == "x" else motion.ay
        grid, part = excitation(along, STEP)
        power, seconds = power + part * along.size, seconds + along.size
    if seconds == 0 or np.sqrt(power.sum() / seconds * (grid[1] - grid[0])) < _FELT:
        return np.ones_like(frequency)
    return mode_gain(grid, power, frequency, damping=damping)


def _peak_force(tank: Tank, motion: Motion, volumes: Array, frequency: Array, share: Array) -> Array:
    """Peak sideways force per mass [N/kg], (m,), of both axes together, in one motion."""
    peaks = np.zeros(volumes.size)
    for part in portions(volumes.size, motion.ax.size):
        x, y = (
            mount_force(along, STEP, frequency[k, part], share=share[k, part], damping=tank.damping)
            for k, along in enumerate((motion.ax, motion.ay))
        )
        x *= x
        y *= y
        peaks[part] = np.sqrt((x + y).max(axis=1))
    return peaks


def washing(car: Car, motions: Sequence[Motion], volumes: Array) -> Washing:
    """What washes over all motions at volumes (m,) [m3]. Raises OutsideModel for a full or an empty tank."""
    tank = car.tank
    frequency = np.stack([first_mode_frequency(tank.shape, volumes, axis) for axis in AXES])
    share = np.stack([moving_share(tank.shape, volumes, axis) for axis in AXES])
    fluid = float(density(car.blend.alcohol_share, car.blend.temperature))
    mass = fluid * volumes
    peaks = [_peak_force(tank, motion, volumes, frequency, share) for motion in motions]
    frozen = max((float(np.hypot(motion.ax, motion.ay).max()) for motion in motions), default=0.0)
    gains = [_axis_gain(motions, axis, frequency[k], tank.damping) for k, axis in enumerate(AXES)]
    return Washing(
        frequency=frequency,
        moving_mass=share * mass,
        gain=np.stack(gains),
        force=mass * np.max([np.zeros(volumes.size), *peaks], axis=0),
        frozen_force=mass * frozen,
        weight=mass * STANDARD_GRAVITY,
        moment=weight_moment(tank.shape, volumes, fluid, STANDARD_GRAVITY),
    )

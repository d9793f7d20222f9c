"""Tank shapes: volume from level and back, for a level surface. Everything in SI, arrays in, arrays out.

x forward, y to the car's left, z up, from the middle of the tank's floor. `length` is along x, `width` along y.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.errors import OutsideModel

Array = np.ndarray


def _within(value: Array | float, top: float, what: str) -> Array:
    values = np.asarray(value, dtype=float)
    if np.any(~(values >= -1e-12 * top)) or np.any(values > top * (1 + 1e-9)):
        raise OutsideModel(f"{what} {values} is outside the tank, which has 0 to {top}")
    return np.clip(values, 0.0, top)


@dataclass(frozen=True, slots=True)
class Box:
    """length, width, height [m], inside."""

    length: float
    width: float
    height: float

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return self.length * self.width * self.height

    def volume_from_level(self, level: Array | float) -> Array:
        """Volume [m3] below a level [m] above the floor. Raises OutsideModel beyond the tank."""
        return _within(level, self.height, "level [m]") * self.length * self.width

    def level_from_volume(self, volume: Array | float) -> Array:
        """Level [m] of a volume [m3]. Raises OutsideModel beyond the tank."""
        return _within(volume, self.capacity, "volume [m3]") / (self.length * self.width)

    def scaled(self, factor: float) -> Box:
        """The same shape with every length multiplied by `factor` [1]."""
        return Box(self.length * factor, self.width * factor, self.height * factor)


@dataclass(frozen=True, slots=True)
class UprightCylinder:
    """diameter, height [m], inside; its axis stands."""

    diameter: float
    height: float

    @property
    def length(self) -> float:
        """Extent along x [m]."""
        return self.diameter

    @property
    def width(self) -> float:
        """Extent along y [m]."""
        return self.diameter

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return np.pi / 4 * self.diameter**2 * self.height

    def volume_from_level(self, level: Array | float) -> Array:
        """Volume [m3] below a level [m] above the floor. Raises OutsideModel beyond the tank."""
        return _within(level, self.height, "level [m]") * np.pi / 4 * self.diameter**2

    def level_from_volume(self, volume: Array | float) -> Array:
        """Level [m] of a volume [m3]. Raises OutsideModel beyond the tank."""
        return _within(volume, self.capacity, "volume [m3]") / (np.pi / 4 * self.diameter**2)

    def scaled(self, factor: float) -> UprightCylinder:
        """The same shape with every length multiplied by `factor` [1]."""
        return UprightCylinder(self.diameter * factor, self.height * factor)


def _segment_area(level: Array, radius: float) -> Array:
    """Area [m2] of a circle of `radius` [m] below a level [m] from 0 to 2 radius above its lowest point."""
    share = 1 - level / radius
    return radius**2 * (np.arccos(share) - share * np.sqrt(1 - share**2))


@dataclass(frozen=True, slots=True)
class LyingCylinder:
    """diameter [m] and axial_length [m], inside; `axis` is "x" (along the car) or "y" (across it)."""

    diameter: float
    axial_length: float
    axis: Literal["x", "y"] = "x"

    @property
    def length(self) -> float:
        """Extent along x [m]."""
        return self.axial_length if self.axis == "x" else self.diameter

    @property
    def width(self) -> float:
        """Extent along y [m]."""
        return self.axial_length if self.axis == "y" else self.diameter

    @property
    def height(self) -> float:
        """Extent along z [m]."""
        return self.diameter

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return np.pi / 4 * self.diameter**2 * self.axial_length

    def volume_from_level(self, level: Array | float) -> Array:
        """Volume [m3] below a level [m] above the lowest point. Raises OutsideModel beyond the tank."""
        levels = _within(level, self.diameter, "level [m]")
        return self.axial_length * _segment_area(levels, self.diameter / 2)

    def level_from_volume(self, volume: Array | float) -> Array:
        """Level [m] of a volume [m3], to 1e-12 of the diameter; to 1e-8 at floor and brim, where the area hardly grows.

        Raises OutsideModel beyond the tank.
        """
        area = _within(volume, self.capacity, "volume [m3]") / self.axial_length
        low, high = np.zeros_like(area), np.full_like(area, self.diameter)
        for _ in range(44):
            middle = (low + high) / 2
            above = _segment_area(middle, self.diameter / 2) > area
            low, high = np.where(above, low, middle), np.where(above, middle, high)
        return (low + high) / 2

    def scaled(self, factor: float) -> LyingCylinder:
        """The same shape with every length multiplied by `factor` [1]."""
        return LyingCylinder(self.diameter * factor, self.axial_length * factor, self.axis)


@dataclass(frozen=True, slots=True)
class DipTable:
    """Levels [m] and volumes [m3] measured at them, both rising from 0; length, width [m] of the footprint."""

    levels: tuple[float, ...]
    volumes: tuple[float, ...]
    length: float
    width: float

    @property
    def height(self) -> float:
        """Extent along z [m]."""
        return self.levels[-1]

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return self.volumes[-1]

    def volume_from_level(self, level: Array | float) -> Array:
        """Volume [m3] below a level [m], straight between dips. Raises OutsideModel beyond the table."""
        return np.interp(_within(level, self.height, "level [m]"), self.levels, self.volumes)

    def level_from_volume(self, volume: Array | float) -> Array:
        """Level [m] of a volume [m3], straight between dips. Raises OutsideModel beyond the table."""
        return np.interp(_within(volume, self.capacity, "volume [m3]"), self.volumes, self.levels)

    def scaled(self, factor: float) -> DipTable:
        """The same shape with every length multiplied by `factor` [1]."""
        levels = tuple(level * factor for level in self.levels)
        volumes = tuple(volume * factor**3 for volume in self.volumes)
        return DipTable(levels, volumes, self.length * factor, self.width * factor)


@dataclass(frozen=True, slots=True)
class WithSump:
    """A tank with a flat floor and a small box below it, open to it; heights count from the sump's floor.

    ahead, left [m]: the sump's middle from the tank's.
    """

    main: Box | UprightCylinder | DipTable
    sump: Box
    ahead: float = 0.0
    left: float = 0.0

    @property
    def length(self) -> float:
        """Extent along x [m]."""
        return self.main.length

    @property
    def width(self) -> float:
        """Extent along y [m]."""
        return self.main.width

    @property
    def height(self) -> float:
        """Extent along z [m], the sump included."""
        return self.main.height + self.sump.height

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return self.main.capacity + self.sump.capacity

    def volume_from_level(self, level: Array | float) -> Array:
        """Volume [m3] below a level [m] above the sump's floor. Raises OutsideModel beyond the tank."""
        levels = _within(level, self.height, "level [m]")
        below = np.minimum(levels, self.sump.height)
        return self.sump.volume_from_level(below) + self.main.volume_from_level(levels - below)

    def level_from_volume(self, volume: Array | float) -> Array:
        """Level [m] of a volume [m3] above the sump's floor. Raises OutsideModel beyond the tank."""
        volumes = _within(volume, self.capacity, "volume [m3]")
        below = np.minimum(volumes, self.sump.capacity)
        return self.sump.level_from_volume(below) + self.main.level_from_volume(volumes - below)

    def scaled(self, factor: float) -> WithSump:
        """The same shape with every length multiplied by `factor` [1]."""
        return WithSump(self.main.scaled(factor), self.sump.scaled(factor), self.ahead * factor, self.left * factor)


TankShape = Box | UprightCylinder | LyingCylinder | DipTable | WithSump

"""When the pickup would lie bare if fluid flowed: what no boost and no nozzle changes, so it is kept between what-ifs.

Fill levels are looked at on a lattice of `LATTICE` places from empty to `HIGHEST_SHARE` of the capacity.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from planner.car import Tank
from planner.physics.cover import covering_volume
from planner.use.exposure import SHORTEST_SPELL, lasting, moving_bare, pickup_point, portions, runs_of
from planner.use.motion import Motion

Array = np.ndarray

HIGHEST_SHARE = 0.99
"""Fill from which downward the moving surface is looked at, share of the capacity; above it the lid rules."""
COARSE, FINE = 25, 4**4
"""Coarse levels from empty to the highest, and the places of the lattice from one to the next."""
LATTICE = COARSE * FINE


@dataclass(frozen=True, slots=True)
class BareSpells:
    """Of one stretch of driving: where the moving surface bares the pickup at a place of the lattice.

    kept: starts and ends (k,) of its bare spells of 0.1 s or more, by place; covering: volumes by depth.
    """

    tank: Tank
    motion: Motion
    kept: dict[int, tuple[Array, Array]] = field(default_factory=dict)
    covering: dict[float, Array] = field(default_factory=dict)

    def volume(self, place: int) -> float:
        """Volume [m3] at a place of the lattice."""
        return place / LATTICE * HIGHEST_SHARE * self.tank.capacity

    def covering_at(self, depth: float) -> Array:
        """Volume [m3], (n,), that keeps a depth [m] over the pickup under the still surface."""
        if depth not in self.covering:
            motion = self.motion
            found = covering_volume(self.tank.shape, pickup_point(self.tank), motion.ax, motion.ay, margin=depth)
            self.covering[depth] = found
        return self.covering[depth]

    def _look(self, places: Sequence[int]) -> None:
        """Work out the places that are not kept yet."""
        missing = [place for place in places if place not in self.kept]
        volumes = np.array([self.volume(place) for place in missing])
        if not missing:
            return
        for place, bare in zip(missing, moving_bare(self.tank, self.motion, volumes), strict=True):
            start, end = runs_of(bare)
            long = end - start >= SHORTEST_SPELL
            self.kept[place] = start[long].astype(np.int32), end[long].astype(np.int32)

    def highest_starving(self, places: Sequence[int], flowing: Array) -> int | None:
        """The highest of falling places at which the pump starves through 0.1 s with flow (n,), or None."""
        through = np.concatenate(([0], np.cumsum(lasting(flowing), dtype=np.int32)))
        for part in portions(len(places), flowing.size):
            self._look(places[part])
            for place in places[part]:
                start, end = self.kept[place]
                if np.any(through[end - SHORTEST_SPELL + 1] > through[start]):
                    return place
        return None


@lru_cache(maxsize=16)
def _kept_spells(tank: Tank, stretch: _Stretch) -> BareSpells:
    return BareSpells(tank, stretch.motion)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A motion, equal to others with the same accelerations whatever flows."""

    digest: bytes
    motion: Motion = field(compare=False)


def bare_spells(tank: Tank, motion: Motion) -> BareSpells:
    """Spells of a motion in a tank, filled as asked, kept until tank or accelerations change."""
    digest = hashlib.blake2b(digest_size=16)
    for values in (motion.ax, motion.ay):
        digest.update(np.ascontiguousarray(values).data)
    return _kept_spells(tank, _Stretch(digest.digest(), motion))

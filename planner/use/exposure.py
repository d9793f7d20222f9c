"""How long the pickup lies bare at each fill level, with the still and with the moving surface."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.car import Tank
from planner.physics.cover import covering_volume, uncovered
from planner.physics.slosh import Axis, effective_acceleration, first_mode_frequency, rest_share
from planner.physics.surface import Point
from planner.use.motion import STEP, Motion

Array = np.ndarray
Surface = Literal["still", "moving"]

SHORTEST_SPELL = 5
"""Samples (0.1 s) from which bare flow counts as a starving spell: recordings do not time boost against acceleration
any better, and a shorter one draws less than 2 mL of air at 1 L/min (a design choice)."""
_AT_ONCE = 200_000


def pickup_point(tank: Tank) -> Point:
    """The pickup's mouth (x, y, z) [m] from the middle of the tank's floor."""
    return tank.pickup.ahead, tank.pickup.left, tank.pickup.height


def moving_tilt(tank: Tank, motion: Motion, volumes: Array) -> tuple[Array, Array]:
    """Effective accelerations (ax, ay) [m/s2], (m, n), of the moving surface at each volume [m3], (m,).

    Raises OutsideModel for a full or an empty tank.
    """

    def along(acceleration: Array, axis: Axis) -> Array:
        if not np.any(acceleration):
            return np.zeros((volumes.size, acceleration.size))
        frequency = first_mode_frequency(tank.shape, volumes, axis)
        return effective_acceleration(acceleration, STEP, frequency, damping=tank.damping, rest=rest_share(tank.shape))

    return along(motion.ax, "x"), along(motion.ay, "y")


def portions(levels: int, samples: int) -> Iterator[slice]:
    """Slices of so many levels, small enough to be worked off at once with that many samples each."""
    each = max(1, _AT_ONCE // max(samples, 1))
    return (slice(k, k + each) for k in range(0, levels, each))


def moving_bare(tank: Tank, motion: Motion, volumes: Array) -> Array:
    """Whether the moving surface leaves the pickup bare, or under less than its margin, at volumes (m,) [m3].

    Booleans (m, n). Raises OutsideModel for a full or empty tank.
    """
    ax, ay = moving_tilt(tank, motion, volumes)
    return uncovered(tank.shape, pickup_point(tank), volumes[:, None], ax, ay, margin=tank.pickup_margin)


def still_needed(tank: Tank, motion: Motion) -> Array:
    """Volume [m3], (n,), below which the still surface leaves the pickup bare, or under less than its margin."""
    return covering_volume(tank.shape, pickup_point(tank), motion.ax, motion.ay, margin=tank.pickup_margin)


def _rows(tank: Tank, motion: Motion, volumes: Array, surface: Surface) -> Iterator[tuple[int, Array]]:
    """Each level's place and whether the pickup is bare there, (n,)."""
    if surface == "still":
        needed = still_needed(tank, motion)
        yield from ((k, needed > volume) for k, volume in enumerate(volumes))
        return
    for part in portions(volumes.size, motion.ax.size):
        yield from enumerate(moving_bare(tank, motion, volumes[part]), part.start)


@dataclass(frozen=True, slots=True, eq=False)
class Exposure:
    """How long the pickup is bare at each of m fill levels; shares [1] of the recorded time, times [s].

    flowing: share of the time in which it is bare while fluid flows; of_flow: the same, of the time in which fluid
    flows. longest: the longest bare spell; longest_flowing: the longest with flow. spells: starving spells, bare
    with flow for 0.1 s or more; bridged: those of them that drew less than the line holds.
    """

    uncovered: Array
    flowing: Array
    of_flow: Array
    longest: Array
    longest_flowing: Array
    spells: Array
    bridged: Array


def lasting(flags: Array) -> Array:
    """Whether what is true (n,) stays so through a starving spell of 0.1 s from each sample on, (n - 4,)."""
    count = max(flags.size - SHORTEST_SPELL + 1, 0)
    through = flags[:count].copy()
    for late in range(1, SHORTEST_SPELL):
        through &= flags[late : late + count]
    return through


def runs_of(flags: Array) -> tuple[Array, Array]:
    """Starts and ends (k,) of the runs of True in a row (n,)."""
    edges = np.flatnonzero(np.diff(flags, prepend=False, append=False))
    return edges[::2], edges[1::2]


def _tally(bare: Array, motion: Motion, drawn: Array, line_volume: float) -> tuple[int, int, int, int, int, int]:
    """Bare and bare flowing samples of a row (n,), the longest runs of both, starving spells, and bridged ones.

    drawn: (n + 1,) running sum of the fluid [m3].
    """
    start, end = runs_of(bare)
    from_, to = runs_of(bare & motion.flowing)
    lasting = to - from_ >= SHORTEST_SPELL
    short = drawn[to] - drawn[from_] < line_volume
    return (
        int((end - start).sum()),
        int((to - from_).sum()),
        int((end - start).max(initial=0)),
        int((to - from_).max(initial=0)),
        int(lasting.sum()),
        int((lasting & short).sum()),
    )


def exposure(tank: Tank, motions: Sequence[Motion], volumes: Array, line_volume: float, surface: Surface) -> Exposure:
    """Exposure of the pickup over all motions at volumes [m3], (m,); line_volume [m3] that the hose holds.

    A spell ends with its stretch. Raises OutsideModel for a moving surface in a full or an empty tank.
    """
    sums, longest = np.zeros((volumes.size, 6)), np.zeros((volumes.size, 6))
    for motion in motions:
        drawn = np.concatenate(([0.0], np.cumsum(motion.flow * STEP)))
        for level, bare in _rows(tank, motion, volumes, surface):
            tally = _tally(bare, motion, drawn, line_volume)
            sums[level] += tally
            longest[level] = np.maximum(longest[level], tally)
    samples = max(1, sum(motion.ax.size for motion in motions))
    flow_samples = max(1, sum(int(np.count_nonzero(motion.flowing)) for motion in motions))
    return Exposure(
        uncovered=sums[:, 0] / samples,
        flowing=sums[:, 1] / samples,
        of_flow=sums[:, 1] / flow_samples,
        longest=longest[:, 2] * STEP,
        longest_flowing=longest[:, 3] * STEP,
        spells=sums[:, 4].astype(int),
        bridged=sums[:, 5].astype(int),
    )

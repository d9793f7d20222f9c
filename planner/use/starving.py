"""The level below which the pickup may run bare while fluid flows: one part of a session's floor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from planner.car import Car, Tank
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.cover import covering_volume
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.content import TraceSet, trace_set
from planner.use.exposure import SHORTEST_SPELL, in_spells, moving_bare, moving_tilt, pickup_point, portions
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, Motion, assumption, course_motions

Array = np.ndarray
Cause = Literal["no flow", "level ground", "tilted surface", "sloshing"]

HIGHEST_SHARE = 0.99
"""Fill from which downward the moving surface is searched, share of the capacity; above it the lid rules."""
SEARCH_LEVELS = 25
_ROUNDS = 4
"""How often the stretch between two levels is cut in four: a round costs little more than a single level does."""
_HAIR = 1e-6
"""Share of the capacity by which rounding may tell the two surfaces apart."""
BORDERLINE = 0.010
"""Depth [m] to either side of the pickup within which the model does not tell covered from bare."""


@dataclass(frozen=True, slots=True)
class StarvingFloor:
    """Lowest level above which the pickup never runs bare while fluid flows, as volumes [m3].

    volume: of both surfaces; still: of the still surface alone; level: on level ground, the least it can be.
    borderline: (low, high) volumes between which the steady corner leaves the surface within 10 mm of the pickup.
    assumed: whether the cornering was unknown and a cautious pattern stood in. reason: where it comes from.
    cause: what sets the volume; driving: the steady driving under which the surface stands as at the worst moment.
    """

    volume: float
    still: float
    level: float
    borderline: tuple[float, float]
    assumed: bool
    reason: str
    cause: Cause
    driving: str = ""


@dataclass(frozen=True, slots=True)
class Moment:
    """The moment that asks for most: volume [m3] under effective accelerations ax, ay [m/s2]."""

    volume: float
    ax: float = 0.0
    ay: float = 0.0
    sloshing: bool = False


def _lasting(asked: Array) -> tuple[float, int]:
    """The most [m3] that is asked for, (n,), through a whole starving spell of 0.1 s, and where; -inf without flow."""
    if asked.size < SHORTEST_SPELL:
        return -np.inf, 0
    windows = np.lib.stride_tricks.sliding_window_view(asked, SHORTEST_SPELL)
    least = windows.min(axis=1)
    worst = int(np.argmax(least))
    return float(least[worst]), worst + int(np.argmin(windows[worst]))


def worst_moment(tank: Tank, motions: Sequence[Motion], tilts: Sequence[tuple[Array, Array]], depth: float) -> Moment:
    """The moment that asks for most volume through a starving spell, under a still surface tilted as told.

    tilts: accelerations ax, ay [m/s2], (n,) each, one pair a motion; depth [m] of fluid wanted over the pickup.
    """
    worst = Moment(0.0)
    for motion, (ax, ay) in zip(motions, tilts, strict=True):
        flowing = motion.flowing
        needed = np.full(flowing.size, -np.inf)
        needed[flowing] = covering_volume(tank.shape, pickup_point(tank), ax[flowing], ay[flowing], margin=depth)
        volume, at = _lasting(needed)
        if volume > worst.volume:
            worst = Moment(volume, float(ax[at]), float(ay[at]))
    return worst


def _still_worst(tank: Tank, motions: Sequence[Motion], depth: float) -> Moment:
    return worst_moment(tank, motions, [(motion.ax, motion.ay) for motion in motions], depth)


def _starves(tank: Tank, motion: Motion, volumes: Array) -> Array:
    """Whether the moving surface starves the pump, (m,), at volumes [m3], (m,)."""
    flowing = np.flatnonzero(motion.flowing)
    bare = np.zeros((volumes.size, motion.flow.size), dtype=bool)
    bare[:, flowing] = moving_bare(tank, motion, volumes, flowing)
    return np.any(in_spells(bare), axis=1)


def _highest_starving(tank: Tank, motion: Motion, volumes: Array) -> int | None:
    """Place of the highest of rising volumes [m3] at which the moving surface starves the pump, or None."""
    falling = volumes[::-1]
    for part in portions(falling, motion.ax.size):
        starving = np.flatnonzero(_starves(tank, motion, falling[part]))
        if starving.size:
            return volumes.size - 1 - (part.start + int(starving[0]))
    return None


def _moving_floor(tank: Tank, motion: Motion, above: float) -> float:
    """Lowest volume [m3], at least `above`, over which the moving surface never starves the pump in a motion."""
    top = HIGHEST_SHARE * tank.capacity
    steps = int(np.ceil(SEARCH_LEVELS * (top - above) / tank.capacity))
    if steps < 1 or not motion.flowing.any():
        return above
    volumes = np.linspace(above + _HAIR * tank.capacity, top, steps + 1)
    found = _highest_starving(tank, motion, volumes)
    if found is None:
        return above
    if found == steps:
        return tank.capacity
    for _ in range(_ROUNDS):
        volumes = np.linspace(volumes[found], volumes[found + 1], 5)
        starving = np.flatnonzero(_starves(tank, motion, volumes[1:-1]))
        found = int(starving[-1]) + 1 if starving.size else 0
    return float(volumes[found + 1])


def _gravest_first(motions: Sequence[Motion], stills: Sequence[Moment]) -> list[Motion]:
    """Motions by what a still surface asks for: the first is likely to set the floor, and the rest are soon done."""
    return [motion for motion, _ in sorted(zip(motions, stills, strict=True), key=lambda pair: -pair[1].volume)]


def _moving_worst(tank: Tank, motions: Sequence[Motion], still: Moment) -> Moment:
    """The moving surface's worst moment, or the still one's where that asks for more."""
    worst = still
    for motion in motions:
        volume = _moving_floor(tank, motion, worst.volume)
        if volume > worst.volume:
            ax, ay = moving_tilt(tank, motion, np.array([min(volume, HIGHEST_SHARE * tank.capacity)]))
            moment = worst_moment(tank, [motion], [(ax[0], ay[0])], tank.pickup_margin)
            worst = Moment(volume, moment.ax, moment.ay, sloshing=True)
    return worst


def driving_words(ax: float, ay: float) -> str:
    """Driving at accelerations ax, ay [m/s2], in words."""
    side, along = ay / STANDARD_GRAVITY, ax / STANDARD_GRAVITY
    words = []
    if abs(side) >= 0.05:
        words.append(f"a {'left' if side > 0 else 'right'}-hand corner at {abs(side):.2f} g")
    if abs(along) >= 0.05:
        words.append(f"{'speeding up' if along > 0 else 'slowing'} at {abs(along):.2f} g")
    return " while ".join(words) if words else "driving without acceleration"


def _litres_up(volume: float) -> str:
    """A volume [m3] as text, rounded up, since it is what must remain."""
    return f"{np.ceil(volume * 1e5 - 1e-6) / 100:.2f} L"


def _cause(worst: Moment, level: float) -> Cause:
    if worst.volume <= level * (1 + 1e-9):
        return "level ground"
    return "sloshing" if worst.sloshing else "tilted surface"


def _reason(worst: Moment, still: float, cause: Cause) -> str:
    driving = driving_words(worst.ax, worst.ay)
    if cause == "level ground":
        return "No acceleration moves the fluid off the pickup while it flows, so the level-ground figure holds."
    if cause == "sloshing":
        return (
            f"Below {_litres_up(worst.volume)} the sloshing fluid bares the pickup while it flows, "
            f"as if in {driving}; a still surface would ask for {_litres_up(still)}."
        )
    return f"Below {_litres_up(worst.volume)} the tilted fluid bares the pickup while it flows, in {driving}."


def starving_floor(car: Car, traces: Sequence[Trace], per: Per = CAUTIOUS_PER) -> StarvingFloor:
    """Lowest level above which the pickup never runs bare while fluid flows, in any of a course's traces.

    Spells that the line's content bridges count as starving. Where no trace holds an acceleration, a cautious
    pattern for the kind of event `per` stands in, and the reason says so. Kept until car or traces change.
    Raises OutsideModel for a boost beyond the flow curve or a pickup outside the tank.
    """
    return _floor(car, trace_set(traces), per)


@lru_cache(maxsize=256)
def _floor(car: Car, course: TraceSet, per: Per) -> StarvingFloor:
    curve = flow_curve(car)
    motions, assumed = course_motions(course.traces, curve, per)
    level = float(covering_volume(car.tank.shape, pickup_point(car.tank), 0.0, 0.0, margin=0.0))
    if not any(motion.flowing.any() for motion in motions):
        return StarvingFloor(level, level, level, (0.0, level), assumed, "No fluid flows on this course.", "no flow")
    stills = [_still_worst(car.tank, [motion], car.tank.pickup_margin) for motion in motions]
    still = max(Moment(level), *stills, key=lambda moment: moment.volume)
    worst = _moving_worst(car.tank, _gravest_first(motions, stills), still)
    low, high = (_still_worst(car.tank, motions, depth).volume for depth in (-BORDERLINE, BORDERLINE))
    cause = _cause(worst, level)
    reason = _reason(worst, still.volume, cause) + (f" {assumption(per)}" if assumed else "")
    driving = driving_words(worst.ax, worst.ay)
    return StarvingFloor(worst.volume, still.volume, level, (low, high), assumed, reason, cause, driving)

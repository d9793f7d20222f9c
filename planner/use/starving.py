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
from planner.use.bare_spells import FINE, HIGHEST_SHARE, LATTICE, BareSpells, bare_spells
from planner.use.content import TraceSet, trace_set
from planner.use.exposure import SHORTEST_SPELL, moving_tilt, pickup_point
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, Motion, assumption, course_motions

Array = np.ndarray
Cause = Literal["no flow", "level ground", "tilted surface", "sloshing"]

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


Stretch = tuple[Motion, BareSpells, Moment]
"""A motion, what is kept of it, and the moment that a still surface asks most at."""


def _lasting(asked: Array) -> tuple[float, int]:
    """The most [m3] that is asked for, (n,), through a whole starving spell of 0.1 s, and where; -inf without flow."""
    count = asked.size - SHORTEST_SPELL + 1
    if count < 1:
        return -np.inf, 0
    least = np.minimum.reduce([asked[late : late + count] for late in range(SHORTEST_SPELL)])
    worst = int(np.argmax(least))
    return float(least[worst]), worst + int(np.argmin(asked[worst : worst + SHORTEST_SPELL]))


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


def _still_worst(spells: BareSpells, flowing: Array, depth: float) -> Moment:
    """`worst_moment` of one motion under the still surface, from what is kept of it."""
    volume, at = _lasting(np.where(flowing, spells.covering_at(depth), -np.inf))
    return Moment(max(volume, 0.0), float(spells.motion.ax[at]), float(spells.motion.ay[at]))


def _moving_floor(spells: BareSpells, flowing: Array, above: float) -> float:
    """Lowest volume [m3], at least `above`, over which the moving surface never starves the pump with flow (n,)."""
    lowest = int(above / spells.volume(1)) + 1
    if lowest > LATTICE or not flowing.any():
        return above
    below = (lowest - 1) // FINE * FINE  # where it does not starve there either, the little stretch between is taken so
    found = spells.highest_starving(range(LATTICE, max(below, 1) - 1, -FINE), flowing)
    if found is None or found < lowest:
        found = spells.highest_starving((lowest,), flowing) if found or not below else None
    if found is None:
        return above
    if found == LATTICE:
        return spells.tank.capacity
    fine = (found // FINE + 1) * FINE
    while fine - found > 1:
        cuts = sorted({found + (fine - found) * part // 4 for part in (3, 2, 1)} - {found}, reverse=True)
        starving = spells.highest_starving(cuts, flowing)
        fine = min((cut for cut in cuts if starving is None or cut > starving), default=fine)
        found = found if starving is None else starving
    return spells.volume(fine)


def _moving_worst(stretches: Sequence[Stretch], still: Moment) -> Moment:
    """The moving surface's worst moment, or the still one's where that asks for more."""
    worst = still
    # The gravest first: it is likely to set the floor, and the rest are soon done.
    for motion, spells, _ in sorted(stretches, key=lambda stretch: -stretch[2].volume):
        volume, tank = _moving_floor(spells, motion.flowing, worst.volume), spells.tank
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
    kept = [(motion, bare_spells(car.tank, motion)) for motion in motions]

    def stills(depth: float) -> list[Moment]:
        return [_still_worst(spells, motion.flowing, depth) for motion, spells in kept]

    grave = stills(car.tank.pickup_margin)
    still = max(Moment(level), *grave, key=lambda moment: moment.volume)
    worst = _moving_worst([(*each, moment) for each, moment in zip(kept, grave, strict=True)], still)
    low, high = (max(moment.volume for moment in stills(depth)) for depth in (-BORDERLINE, BORDERLINE))
    cause = _cause(worst, level)
    reason = _reason(worst, still.volume, cause) + (f" {assumption(per)}" if assumed else "")
    driving = driving_words(worst.ax, worst.ay)
    return StarvingFloor(worst.volume, still.volume, level, (low, high), assumed, reason, cause, driving)

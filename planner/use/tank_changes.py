"""What a change to the tank would gain on a course: pickup moved, tank turned, baffles, a low sump."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.car import Car, Pickup, Tank
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.surface import floor_and_lid
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from planner.use.exposure import moving_tilt
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, Motion, course_motions
from planner.use.starving import starving_floor, worst_moment

Array = np.ndarray

BAFFLED_DAMPING = 0.30
"""Damping taken with baffles: 7 to 17 % for ring baffles (Miles) on top of the bare tank's 0.15 (a design choice)."""
SUMP_SIDE, SUMP_DEPTH = 0.080, 0.040
"""The sump tried [m]: a square box, or half the tank where that is less (a design choice)."""
WALL = 0.010
"""Room [m] kept between the pickup and a wall."""
_PLACES = np.linspace(-1.0, 1.0, 5)
_TRIED = 3


@dataclass(frozen=True, slots=True)
class TankChange:
    """A change and the floor it would give: tank as changed, floor and gain against today's [m3], and what it is."""

    name: str
    tank: Tank
    floor: float
    gain: float
    text: str


def _turned_shape(shape: TankShape) -> TankShape | None:
    """The shape turned by 90 degrees, or None where turning changes nothing or is not offered."""
    if isinstance(shape, Box):
        return Box(shape.width, shape.length, shape.height)
    if isinstance(shape, LyingCylinder):
        return replace(shape, axis="y" if shape.axis == "x" else "x")
    if isinstance(shape, DipTable):
        return replace(shape, length=shape.width, width=shape.length)
    return None


def _turned_sump(shape: WithSump, ahead: float, left: float) -> WithSump:
    """A tank with a sump turned so that the sump's middle comes to stand at ahead, left [m] of the tank's."""
    main = _turned_shape(shape.main) or shape.main
    assert isinstance(main, Box | UprightCylinder | DipTable)
    return WithSump(main, Box(shape.sump.width, shape.sump.length, shape.sump.height), ahead, left)


def turned(tank: Tank) -> tuple[Tank, ...]:
    """The tank turned by 90 degrees to the left and to the right, its pickup with it; none for a round one."""
    pickup = tank.pickup
    places = ((-pickup.left, pickup.ahead), (pickup.left, -pickup.ahead))
    if isinstance(tank.shape, WithSump):
        low = tank.shape
        shapes: list[TankShape | None] = [
            _turned_sump(low, -low.left, low.ahead),
            _turned_sump(low, low.left, -low.ahead),
        ]
    else:
        shapes = [_turned_shape(tank.shape)] * 2
    return tuple(
        replace(tank, shape=shape, pickup=replace(pickup, ahead=a, left=b))
        for shape, (a, b) in zip(shapes, places, strict=True)
        if shape is not None
    )


def with_sump(tank: Tank) -> Tank | None:
    """The tank with a sump under its pickup, whose mouth moves down to the same height above the sump's floor.

    None where the floor is not flat, or there is a sump already.
    """
    shape, pickup = tank.shape, tank.pickup
    if isinstance(shape, LyingCylinder | WithSump):
        return None
    side_x, side_y = min(SUMP_SIDE, shape.length / 2), min(SUMP_SIDE, shape.width / 2)
    reach_x, reach_y = (shape.length - side_x) / 2, (shape.width - side_y) / 2
    ahead, left = np.clip(pickup.ahead, -reach_x, reach_x), np.clip(pickup.left, -reach_y, reach_y)
    if isinstance(shape, UprightCylinder):
        far = np.hypot(ahead, left)
        room = max(shape.diameter / 2 - np.hypot(side_x, side_y) / 2, 0.0)
        ahead, left = (place * min(1.0, room / far) if far else 0.0 for place in (ahead, left))
    sump = Box(side_x, side_y, SUMP_DEPTH)
    moved = replace(pickup, ahead=float(ahead), left=float(left), height=min(pickup.height, SUMP_DEPTH / 2))
    return replace(tank, shape=WithSump(shape, sump, float(ahead), float(left)), pickup=moved)


def pickup_places(tank: Tank) -> Iterator[Pickup]:
    """Places for the pickup, a grid within the walls, as high above the tank's floor there as it is now."""
    shape, pickup = tank.shape, tank.pickup
    above = pickup.height - float(floor_and_lid(shape, pickup.ahead, pickup.left)[0])
    for x in _PLACES * (shape.length / 2 - WALL):
        for y in _PLACES * (shape.width / 2 - WALL):
            if isinstance(shape, UprightCylinder) and np.hypot(x, y) > shape.diameter / 2 - WALL:
                continue
            floor, lid = floor_and_lid(shape, x, y)
            if float(floor) + above < float(lid):
                yield Pickup(float(x), float(y), float(floor) + above)


def _likely_places(tank: Tank, motions: Sequence[Motion], floor: float) -> list[Pickup]:
    """The few places, today's among them, that ask for least as the fluid stands and moves at today's floor [m3]."""
    level = np.array([np.clip(floor, 0.01 * tank.capacity, 0.99 * tank.capacity)])
    still = [(motion.ax, motion.ay) for motion in motions]
    moving = [tuple(tilt[0] for tilt in moving_tilt(tank, motion, level)) for motion in motions]

    def most(pickup: Pickup) -> float:
        there = replace(tank, pickup=pickup)
        return max(worst_moment(there, motions, tilts, tank.pickup_margin).volume for tilts in (still, moving))

    return [tank.pickup, *sorted(pickup_places(tank), key=most)[:_TRIED]]


def _options(car: Car, motions: Sequence[Motion], today: float) -> Iterator[tuple[str, str, list[Tank]]]:
    """Each kind of change: its name, what it is, and the tanks to try."""
    tank = car.tank
    places = [replace(tank, pickup=place) for place in _likely_places(tank, motions, today)]
    yield "pickup moved", "the pickup at the best place found on the tank's floor", places
    yield "tank turned", "the tank turned by 90 degrees, its pickup with it", list(turned(tank))
    if tank.damping < BAFFLED_DAMPING:
        baffled = replace(tank, damping=BAFFLED_DAMPING)
        yield "baffles", f"baffles, taken as a damping of {BAFFLED_DAMPING:g} instead of {tank.damping:g}", [baffled]
    sumped = with_sump(tank)
    if sumped is not None:
        yield "low sump", f"a box {SUMP_DEPTH * 1e3:.0f} mm deep below the floor, the pickup in it", [sumped]


def tank_changes(car: Car, traces: Sequence[Trace], per: Per = CAUTIOUS_PER) -> tuple[TankChange, ...]:
    """What each change to the tank would gain on a course, the largest gain first; changes that do not apply left out.

    A moved pickup gains nothing where today's place is the best; other gains may be below zero. Raises OutsideModel
    as `starving_floor` does.
    """
    today = starving_floor(car, traces, per).volume
    motions, _ = course_motions(traces, flow_curve(car), per)
    changes = []
    for name, text, tanks in _options(car, motions, today):
        floors = [starving_floor(replace(car, tank=tank), traces, per).volume for tank in tanks]
        if floors:
            best = int(np.argmin(floors))
            changes.append(TankChange(name, tanks[best], floors[best], today - floors[best], text))
    return tuple(sorted(changes, key=lambda change: -change.gain))

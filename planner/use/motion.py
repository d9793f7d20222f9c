"""A trace as the slosh model takes it: acceleration and flow at even times, one stretch for each unbroken recording.

Where nothing is known of the cornering, a drawn pattern stands in: its accelerations are design choices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.driving.trace import Trace
from planner.errors import OutsideModel
from planner.event import Per
from planner.physics.surface import STANDARD_GRAVITY
from planner.use.flow_curve import FlowCurve

Array = np.ndarray

STEP = 0.02
"""Time step [s]: 50 Hz, many times the first modes of a car's tank."""
ASSUMED_CORNERING: dict[Per, float] = {"run": 1.0, "lap": 1.1, "minute": 1.0}
"""Cornering [g] taken where a course holds none, by kind of event: grippy road tyres (a design choice)."""
CAUTIOUS_PER: Per = "lap"
_LIFT, _DRIVE = -0.3, 0.4
_CORNER, _CHANGE, _STRAIGHT = 2.0, 0.5, 1.5


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """Accelerations ax (forward), ay (left) [m/s2] and injected flow [m3/s], (n,), every STEP from start [s]."""

    ax: Array
    ay: Array
    flow: Array
    start: float = 0.0

    @property
    def flowing(self) -> Array:
        """Whether fluid is injected, (n,)."""
        return self.flow > 0


def _even(trace: Trace, curve: FlowCurve, first: int, last: int) -> Motion:
    """Samples first to last of a trace, with an acceleration it lacks taken as none."""
    part = slice(first, last + 1)
    time = trace.time[part]
    grid = time[0] + STEP * np.arange(int((time[-1] - time[0]) / STEP + 1e-9) + 1)

    def along(values: Array | None) -> Array:
        if values is None:
            return np.zeros_like(grid)
        if not np.all(np.isfinite(values[part])):
            raise OutsideModel(f"{trace.name or 'a trace'} holds an acceleration that is not finite; mark it as a gap")
        return np.interp(grid, time, values[part])

    flow = curve.flow(np.interp(grid, time, trace.boost[part]))
    return Motion(along(trace.longitudinal), along(trace.lateral), flow, float(time[0]))


def motions_of(trace: Trace, curve: FlowCurve) -> tuple[Motion, ...]:
    """The stretches of a trace between its gaps. Raises OutsideModel for a boost beyond the curve or a NaN."""
    gaps = np.flatnonzero(~trace.covered)
    firsts, lasts = np.append(0, gaps + 1), np.append(gaps, trace.time.size - 1)
    return tuple(_even(trace, curve, int(a), int(b)) for a, b in zip(firsts, lasts, strict=True) if b > a)


def assumed_motion(per: Per, flow: float) -> Motion:
    """A cautious pattern for a course whose cornering is unknown, with fluid flowing [m3/s] all the time.

    Corners to both sides held for 2 s, one into the other within 0.5 s, then a straight; under each corner the car
    lifts (-0.3 g), holds its speed or drives on (0.4 g), within the same total grip.
    """
    grip = ASSUMED_CORNERING[per]
    corners = [(along, side) for along in (_LIFT, 0.0, _DRIVE) for side in (1.0, -1.0)]
    held = [(along, side * float(np.sqrt(grip**2 - along**2))) for along, side in corners]
    points, time = [(0.0, 0.0, 0.0)], 0.0
    for along, side in [*held, (_DRIVE, 0.0), *reversed(held), (0.0, 0.0)]:
        stay = _CORNER if side else _STRAIGHT
        points += [(time + _CHANGE, along, side), (time + _CHANGE + stay, along, side)]
        time += _CHANGE + stay
    times, alongs, sides = np.array(points).T
    grid = STEP * np.arange(int(time / STEP) + 1)
    ax, ay = (np.interp(grid, times, values) * STANDARD_GRAVITY for values in (alongs, sides))
    return Motion(ax, ay, np.full_like(grid, flow))


def assumption(per: Per) -> str:
    """What is assumed where the cornering is unknown, as a sentence."""
    return (
        f"The cornering is unknown, so {ASSUMED_CORNERING[per]:g} g to both sides is assumed, with up to "
        f"{-_LIFT:g} g of slowing and {_DRIVE:g} g of driving, while fluid flows all the time; "
        "a recording with accelerations would replace this."
    )


def course_motions(traces: Sequence[Trace], curve: FlowCurve, per: Per) -> tuple[tuple[Motion, ...], bool]:
    """The stretches of the traces that hold accelerations, or else the assumed pattern; and whether it is assumed."""
    known = [trace for trace in traces if trace.cornering_known]
    if known:
        return tuple(motion for trace in known for motion in motions_of(trace, curve)), False
    flows = any(np.any(curve.flow(trace.boost) > 0) for trace in traces) or not traces
    return ((assumed_motion(per, curve.largest),) if flows else ()), True


def always_flowing(trace: Trace, curve: FlowCurve) -> Trace:
    """The trace with the boost at which the car injects most, for a recording that holds no pressure."""
    fullest = float(curve.boost[np.argmax(curve.injected.left)])
    return replace(trace, boost=np.full_like(trace.time, fullest))

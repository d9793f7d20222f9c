"""The tilted surface in the tank as plain data: a cut at one moment, the depth over the pickup in time, changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from planner.car import Car, Tank
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.cover import MARGIN_ABOVE
from planner.physics.section import beneath, tank_outline
from planner.physics.surface import STANDARD_GRAVITY, depth_over, slope_from_acceleration, surface_height
from planner.use.exposure import moving_tilt, pickup_point
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, STEP, Motion, always_flowing, assumed_motion, course_motions, motions_of
from planner.use.starving import starving_floor
from planner.use.tank_changes import tank_changes

Array = np.ndarray
View = Literal["from the left", "from the rear"]
MOST_POINTS = 1500


def _mm(points: Array) -> list[list[float]]:
    return [[round(float(u) * 1e3, 2), round(float(z) * 1e3, 2)] for u, z in points]


def surface_picture(tank: Tank, volume: float, ax: float, ay: float, view: View = "from the left") -> dict[str, Any]:
    """A cut through the pickup with the still surface of a volume [m3] under ax, ay [m/s2], in mm.

    From the left the horizontal runs forward, from the rear it runs to the car's left. The effective acceleration of
    a moment gives its moving surface. Raises OutsideModel for a volume that the tank cannot hold.
    """
    x, y, z = pickup_point(tank)
    axis, offset, mouth = ("x", y, x) if view == "from the left" else ("y", x, y)
    slopes = float(slope_from_acceleration(ax)), float(slope_from_acceleration(ay))
    slope, aside = slopes if axis == "x" else slopes[::-1]
    height = float(surface_height(tank.shape, volume, ax, ay)) + aside * offset
    outline = tank_outline(tank.shape, "x" if axis == "x" else "y", offset)
    depth = float(depth_over(tank.shape, pickup_point(tank), volume, ax=ax, ay=ay))
    asked = tank.pickup_margin if np.hypot(ax, ay) > MARGIN_ABOVE else 0.0
    ends = np.array([outline[:, 0].min(), outline[:, 0].max()])
    return {
        "view": view,
        "horizontal": "forward" if axis == "x" else "to the car's left",
        "outline_mm": _mm(outline),
        "fluid_mm": _mm(beneath(outline, height, slope)),
        "surface_mm": _mm(np.column_stack((ends, height + slope * ends))),
        "pickup_mm": [round(mouth * 1e3, 2), round(z * 1e3, 2)],
        "depth_mm": round(depth * 1e3, 2),
        "asked_mm": round(asked * 1e3, 2),
        "covered": depth >= asked,
        "level_L": round(volume * 1e3, 3),
        "longitudinal_g": round(ax / STANDARD_GRAVITY, 3),
        "lateral_g": round(ay / STANDARD_GRAVITY, 3),
    }


def _depths(tank: Tank, volume: float, ax: Array, ay: Array) -> list[float]:
    depth = depth_over(tank.shape, pickup_point(tank), volume, ax=ax, ay=ay)
    return [round(float(d) * 1e3, 1) for d in depth]


def _stretch(tank: Tank, motion: Motion, volume: float, stride: int) -> dict[str, list[Any]]:
    """One stretch of `depth_over_time`, every stride-th sample."""
    kept = slice(None, None, stride)
    moved_x, moved_y = (tilt[0, kept] for tilt in moving_tilt(tank, motion, np.array([volume])))
    ax, ay = motion.ax[kept], motion.ay[kept]
    g_values = {"longitudinal_g": ax, "lateral_g": ay, "moving_longitudinal_g": moved_x, "moving_lateral_g": moved_y}
    return {
        "time_s": [round(motion.start + STEP * stride * k, 3) for k in range(ax.size)],
        "flow_mL_min": [round(float(q) * 6e7, 1) for q in motion.flow[kept]],
        "still_mm": _depths(tank, volume, ax, ay),
        "moving_mm": _depths(tank, volume, moved_x, moved_y),
        **{name: [round(float(a) / STANDARD_GRAVITY, 3) for a in values] for name, values in g_values.items()},
    }


def shown_traces(car: Car, traces: Sequence[Trace], per: Per = CAUTIOUS_PER) -> tuple[Trace, ...]:
    """The traces that hold accelerations, or the cautious pattern for `per` as one trace, fluid flowing all along."""
    known = tuple(trace for trace in traces if trace.cornering_known)
    if known:
        return known
    curve = flow_curve(car)
    motion = assumed_motion(per, curve.largest)
    time = STEP * np.arange(motion.ax.size)
    pattern = Trace(time, 0.0 * time, motion.ay, motion.ax, np.ones(time.size - 1, dtype=bool), "assumed pattern")
    return (always_flowing(pattern, curve),)


def depth_over_time(car: Car, trace: Trace, volume: float) -> dict[str, list[Any]]:
    """Depth over the pickup [mm] of both surfaces in time at a volume [m3], with flow and accelerations.

    At most about MOST_POINTS rows; a row of None but for its time stands where the recording has a gap. A moment's
    moving accelerations give its picture. Raises OutsideModel for a full or an empty tank.
    """
    motions = motions_of(trace, flow_curve(car))
    stride = max(1, sum(motion.ax.size for motion in motions) // MOST_POINTS)
    joined: dict[str, list[Any]] = {}
    for number, motion in enumerate(motions):
        for name, values in _stretch(car.tank, motion, volume, stride).items():
            held = joined.setdefault(name, [])
            if number:
                held.append(values[0] if name == "time_s" else None)
            held += values
    return joined


def _unusable_text(gain: float, text: str) -> str:
    litres = abs(gain) * 1e3
    if litres < 0.005:
        return f"Gains nothing: {text}."
    return f"{'Gains' if gain > 0 else 'Costs'} {litres:.2f} L: {text}."


def tank_changes_json(car: Car, traces: Sequence[Trace] = (), per: Per = CAUTIOUS_PER) -> dict[str, Any]:
    """What moving the pickup, turning the tank, baffles or a sump would gain on a course, as plain data.

    A change's pickup counts from the middle of its own tank and from its lowest floor.
    """
    today = starving_floor(car, traces, per)
    return {
        "unusable_slosh_L": round(today.volume * 1e3, 3),
        "assumed": course_motions(traces, flow_curve(car), per)[1],
        "changes": [
            {
                "name": change.name,
                "unusable_slosh_L": round(change.floor * 1e3, 3),
                "gain_L": round(change.gain * 1e3, 3),
                "capacity_L": round(change.tank.capacity * 1e3, 3),
                "pickup_ahead_mm": round(change.tank.pickup.ahead * 1e3, 1),
                "pickup_left_mm": round(change.tank.pickup.left * 1e3, 1),
                "pickup_height_mm": round(change.tank.pickup.height * 1e3, 1),
                "what": change.text,
                "text": _unusable_text(change.gain, change.text),
            }
            for change in tank_changes(car, traces, per)
        ],
    }

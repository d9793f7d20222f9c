"""Slosh as plain data: the levels that scripts rely on, in L, Hz, kg, N and s, and the answer in words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from planner.car import Car
from planner.driving.trace import Trace
from planner.event import Per
from planner.physics.spectrum import strongest_frequency
from planner.use.exposure import Exposure
from planner.use.motion import CAUTIOUS_PER, assumption
from planner.use.slosh_accuracy import ACCURACY
from planner.use.slosh_levels import SloshLevels, slosh_levels
from planner.use.washing import FORCE_RANGE

LITRES = 1e3
_SHOWN_TO = 3.0
LIMITS = (
    "Linear theory of the first sloshing mode in a rigid tank, without splashing; the surface stays a plane.",
    "Foam and baffles are known only by their damping; bumps, swirl, and braking and cornering together in motion "
    "are not modelled. Fills under 10 % or over 92 % are guesses.",
    f"Against an independent simulation of {ACCURACY.runs} runs the share of time bare is off by "
    f"{ACCURACY.share_error:.2f} on average; {ACCURACY.missed} of {ACCURACY.dangerous} dangerous cases were missed, "
    f"most with the pickup in the middle of the tank, and none of {ACCURACY.calm} calm ones raised an alarm.",
    f"The peak force on the mounts lies within F to {FORCE_RANGE:g} F in {100 * ACCURACY.force_within:.0f} % of the "
    f"runs, the simulation's own 15 % allowed for ({100 * ACCURACY.force_strictly:.0f} % without), and above it in "
    f"{100 * ACCURACY.force_above:.0f} %, shallow fluid near resonance and fluid that hits the lid.",
)


def _litres(volume: float) -> float:
    return round(float(volume) * LITRES, 3)


def _exposure_row(part: Exposure, k: int) -> dict[str, Any]:
    return {
        "uncovered_share": round(float(part.uncovered[k]), 4),
        "uncovered_flowing_share": round(float(part.flowing[k]), 4),
        "uncovered_of_flow_share": round(float(part.of_flow[k]), 4),
        "longest_uncovered_s": round(float(part.longest[k]), 2),
        "longest_starving_s": round(float(part.longest_flowing[k]), 2),
        "starving_spells": int(part.spells[k]),
        "bridged_spells": int(part.bridged[k]),
    }


def _washing_row(levels: SloshLevels, k: int) -> dict[str, Any]:
    wash = levels.washing
    along, side = (float(f) for f in wash.frequency[:, k])
    return {
        "first_mode_Hz": round(side, 3),
        "first_mode_along_Hz": round(along, 3),
        "moving_mass_kg": round(float(wash.moving_mass[1, k]), 3),
        "moving_mass_along_kg": round(float(wash.moving_mass[0, k]), 3),
        "mode_gain": round(float(wash.gain[:, k].max()), 2),
        "resonant": bool(wash.resonant[k]),
        "mount_force_N": round(float(wash.force[k]), 1),
        "mount_force_high_N": round(float(wash.force[k]) * FORCE_RANGE, 1),
        "frozen_force_N": round(float(wash.frozen_force[k]), 1),
        "weight_N": round(float(wash.weight[k]), 1),
        "weight_moment_Nm": round(float(wash.moment[k]), 2),
        "washing": bool(levels.washes[k]),
    }


def level_rows(car: Car, levels: SloshLevels) -> list[dict[str, Any]]:
    """Each fill level as plain data, from low to high; the moving surface's exposure, the still one's under "still"."""
    heights = car.tank.shape.level_from_volume(levels.volume)
    return [
        {
            "fill_share": round(float(levels.share[k]), 4),
            "level_L": _litres(levels.volume[k]),
            "level_mm": round(float(heights[k]) * 1e3, 1),
            "starving": levels.words[k],
            "borderline": bool(levels.borderline[k]),
            **_exposure_row(levels.moving, k),
            "still": _exposure_row(levels.still, k),
            **_washing_row(levels, k),
        }
        for k in range(levels.volume.size)
    ]


def _excitation_json(levels: SloshLevels) -> dict[str, Any]:
    frequency, along, side = levels.excitation
    shown = frequency <= _SHOWN_TO
    return {
        "frequency_Hz": [round(float(f), 3) for f in frequency[shown]],
        "lateral_m2_s3": [round(float(p), 4) for p in side[shown]],
        "longitudinal_m2_s3": [round(float(p), 4) for p in along[shown]],
        "strongest_lateral_Hz": round(strongest_frequency(frequency, side), 2) if np.any(side) else None,
        "strongest_longitudinal_Hz": round(strongest_frequency(frequency, along), 2) if np.any(along) else None,
    }


def _notices(car: Car, traces: Sequence[Trace], per: Per, levels: SloshLevels) -> list[str]:
    known = [trace for trace in traces if trace.cornering_known]
    notices = []
    if levels.floor.assumed:
        notices.append(assumption(per))
    elif len(known) < len(traces):
        notices.append(f"{len(traces) - len(known)} of {len(traces)} recordings hold no acceleration and are left out.")
    for name, axis in (("lateral", "left to right"), ("longitudinal", "forward")):
        if any(getattr(trace, name) is None for trace in known):
            notices.append(f"A recording holds no {name} acceleration; none is taken {axis}.")
    if levels.floor.volume >= car.tank.limit:
        notices.append("No fill within the limit keeps the pickup covered on this course: move it, or damp the tank.")
    return notices


def slosh_answer(car: Car, levels: SloshLevels) -> str:
    """Which levels are risky, and why."""
    low, high = levels.band
    washing = f"It washes hardest between {_litres(low):.1f} and {_litres(high):.1f} L"
    resonant = levels.volume[levels.washing.resonant]
    if resonant.size:
        washing += f", and sloshes near resonance from {_litres(resonant[0]):.1f} to {_litres(resonant[-1]):.1f} L"
    return f"{levels.floor.reason} {washing}; the tank holds {_litres(car.tank.capacity):.1f} L."


def slosh_json(car: Car, traces: Sequence[Trace] = (), per: Per = CAUTIOUS_PER) -> dict[str, Any]:
    """Starving and washing at each fill level of a car's tank on a course, as plain data.

    Without traces, or where none holds an acceleration, a cautious pattern for `per` stands in, with a notice.
    Raises OutsideModel as `slosh_levels` does.
    """
    levels = slosh_levels(car, traces, per)
    floor = levels.floor
    return {
        "car": car.name,
        "answer": slosh_answer(car, levels),
        "reason": floor.reason,
        "cause": floor.cause,
        "driving": floor.driving,
        "assumed": floor.assumed,
        "tank_capacity_L": _litres(car.tank.capacity),
        "fill_limit_L": _litres(car.tank.limit),
        "unusable_slosh_L": _litres(floor.volume),
        "unusable_still_L": _litres(floor.still),
        "unusable_level_L": _litres(floor.level),
        "borderline_L": [_litres(volume) for volume in floor.borderline],
        "washing_band_L": [_litres(volume) for volume in levels.band],
        "damping": car.tank.damping,
        "pickup_margin_mm": round(car.tank.pickup_margin * 1e3, 2),
        "line_content_mL": round(car.line.volume * 1e6, 1),
        "excitation": _excitation_json(levels),
        "levels": level_rows(car, levels),
        "notices": _notices(car, traces, per, levels),
        "limits": list(LIMITS),
    }

"""A plan as plain data: the keys that scripts rely on, in L, mL/min, kPa, mm, kg and ISO 8601."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import numpy as np

from planner.car import Car
from planner.day import DayPlan
from planner.day.warnings import warnings_of
from planner.errors import NoPlan
from planner.event import Event
from planner.planning.legs import Levels
from planner.planning.refill import Choice
from planner.planning.stock import bring_json
from planner.use.spread import joint_variation, lognormal_quantile

LITRES = 1e3
ML_PER_MIN = 6e7


def _litres(volume: float) -> float:
    return round(float(volume) * LITRES, 3)


def _quantiles(values: np.ndarray) -> tuple[float, float, float]:
    """The 1st, 50th and 99th percentile of values (N,), straight between two of them as numpy's own default."""
    ranked = np.sort(values)
    places = np.array([0.01, 0.5, 0.99]) * (ranked.size - 1)
    low = places.astype(int)
    high = np.minimum(low + 1, ranked.size - 1)
    first, middle, last = ranked[low] + (places - low) * (ranked[high] - ranked[low])
    return float(first), float(middle), float(last)


def session_rows(plan: DayPlan) -> list[dict[str, Any]]:
    """Each session of a plan as plain data, in order."""
    problem, levels = plan.problem, plan.refills.levels
    ends = [_quantiles(end) for end in levels.end]
    fresh = {0, *plan.refills.best.stops}
    rows = []
    for k, (session, use, floor) in enumerate(zip(plan.sessions, plan.uses, plan.floors, strict=True)):
        mean = use.injected * session.runs * plan.factor.mean
        variation = joint_variation(plan.factor.variation, use.variation)
        quantiles = {p: lognormal_quantile(mean, variation, p / 100) for p in (50, 90, 99)}
        start_p01, start_p50, _ = _quantiles(levels.start[k]) if k in fresh else ends[k - 1]
        end_p01, end_p50, end_p99 = ends[k]
        rows.append(
            {
                "number": plan.first_number + k,
                "name": session.name,
                "start": session.start.isoformat(),
                "end": session.end.isoformat(),
                "driver": session.driver,
                "course": session.course,
                "runs": session.runs,
                "use_mean_L": _litres(mean),
                **{f"use_p{p}_L": _litres(value) for p, value in quantiles.items()},
                "siphon_mean_L": _litres(use.siphoned * session.runs * plan.factor.mean),
                "floor_L": _litres(floor.total),
                "unusable_level_L": _litres(floor.unusable_level),
                "unusable_slosh_L": _litres(floor.unusable_slosh),
                "low_level_switch_L": _litres(floor.low_level_switch),
                "final_reserve_L": _litres(floor.final_reserve),
                "floor_set_by": floor.set_by,
                "floor_reason": floor.reason,
                "level_start_p50_L": _litres(start_p50),
                "level_start_p01_L": _litres(start_p01),
                "level_end_p50_L": _litres(end_p50),
                "level_end_p01_L": _litres(end_p01),
                "level_end_p99_L": _litres(end_p99),
                "short_chance": round(float(np.mean(levels.end[k] < problem.floor[k])), 5),
            }
        )
    return rows


def _gaps(plan: DayPlan) -> list[dict[str, Any]]:
    return [
        {
            "before_session": gap.before_session,
            "minutes": round(gap.seconds / 60, 2) if np.isfinite(gap.seconds) else None,
            "refill_possible": gap.refill_possible,
            "reason": gap.reason,
            "can_pour_L": _litres(gap.can_pour) if np.isfinite(gap.can_pour) else None,
        }
        for gap in plan.gaps
    ]


def refills_of(plan: DayPlan, choice: Choice) -> list[dict[str, Any]]:
    """The fills of a choice: before which session, to which mark, how much, and by when to begin."""
    problem, tank = plan.problem, plan.car.tank
    same = (choice.stops, choice.marks) == (plan.refills.best.stops, plan.refills.best.marks)
    levels = plan.refills.levels if same else Levels(problem, choice.stops, choice.marks)
    fills = []
    for first, mark in zip(problem.starts(choice.stops), choice.marks, strict=True):
        if not problem.may_fill[first]:
            continue
        _, usual, most = _quantiles(levels.added(problem, first))
        seconds = plan.event.refill.setup + most / plan.event.refill.pour_rate
        session = plan.sessions[first]
        fills.append(
            {
                "before_session": plan.first_number + first,
                "session_name": session.name,
                "by": (session.start - timedelta(seconds=np.ceil(seconds / 60) * 60)).isoformat(),
                "mark_L": _litres(mark),
                "mark_mm": round(float(tank.shape.level_from_volume(mark)) * 1e3, 1),
                "mark_percent": round(100 * mark / tank.capacity, 1),
                "add_p50_L": _litres(usual),
                "add_p99_L": _litres(most),
                "minutes_needed": round(seconds / 60, 1),
            }
        )
    return fills


def _alternatives(plan: DayPlan) -> list[dict[str, Any]]:
    return [
        {
            "priority": choice.priority,
            "stops": len(choice.stops),
            "refills": refills_of(plan, choice),
            "mean_carried_kg": round(choice.carried, 2),
            "slosh_risk_share": round(choice.washing, 3),
        }
        for choice in plan.refills.alternatives
    ]


def balance_of(plan: DayPlan) -> dict[str, float]:
    """Mean litres over the day: in_tank + brought = used + siphoned + primed + spilled + left."""
    problem, levels = plan.problem, plan.refills.levels
    poured = sum(float(levels.added(problem, first).mean()) for first in problem.starts(plan.refills.best.stops))
    brought = float(plan.needed_blend.mean())
    siphon = np.array([use.siphoned / use.drawn if use.drawn > 0 else 0.0 for use in plan.uses])
    drained = problem.drain.mean(axis=1)
    return {
        "in_tank_L": problem.in_tank * LITRES,
        "brought_mean_L": brought * LITRES,
        "used_mean_L": float(drained @ (1 - siphon)) * LITRES,
        "siphoned_mean_L": float(drained @ siphon) * LITRES,
        "primed_L": problem.prime * LITRES,
        "spilled_mean_L": (brought - poured) * LITRES,
        "left_mean_L": float(levels.end[-1].mean()) * LITRES,
    }


def plan_json(plan: DayPlan) -> dict[str, Any]:
    """The plan as the command line prints it and the pages show it."""
    problem, tank, best = plan.problem, plan.car.tank, plan.refills.best
    short = np.any(plan.refills.levels.end < problem.floor[:, None], axis=0)
    mean = plan.factor.mean
    return {
        "event": plan.event.name,
        "car": plan.car.name,
        "date": plan.event.date.isoformat(),
        "timezone": plan.event.timezone,
        "confidence": plan.event.reserve.confidence,
        "priority": plan.event.refill.priority,
        "stops": len(best.stops),
        "sessions": session_rows(plan),
        "gaps": _gaps(plan),
        "refills": refills_of(plan, best),
        "bring": bring_json(plan.brought),
        "balance": balance_of(plan),
        "short_chance": round(float(short.mean()), 5),
        "mean_use_L": _litres(sum(u.injected * s.runs for u, s in zip(plan.uses, plan.sessions, strict=True)) * mean),
        "largest_flow_mL_min": round(plan.largest_flow * ML_PER_MIN, 1),
        "tank_capacity_L": _litres(tank.capacity),
        "tank_height_mm": round(tank.shape.height * 1e3, 1),
        "fill_limit_L": _litres(tank.limit),
        "washing_band_L": [_litres(level) for level in problem.washing],
        "mean_carried_kg": round(best.carried, 2),
        "slosh_risk_share": round(best.washing, 3),
        "car_factor": {"mean": round(plan.factor.mean, 4), "variation": round(plan.factor.variation, 4)},
        "alternatives": _alternatives(plan),
        "warnings": [warning.as_dict() for warning in warnings_of(plan)],
    }


def no_plan_json(event: Event, car: Car, reason: NoPlan) -> dict[str, Any]:
    """Why no plan exists, as plain data: the session (from 1) that breaks it, and each change that would mend it."""
    return {
        "event": event.name,
        "car": car.name,
        "feasible": False,
        "session": reason.session,
        "message": reason.message,
        "mends": [{"kind": mend.kind, "text": mend.text, "value": mend.value} for mend in reason.mends],
    }

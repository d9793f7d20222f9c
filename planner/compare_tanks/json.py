"""A comparison as plain data: the keys that scripts rely on, in L, mm, kg and min."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planner.compare_tanks import Comparison
from planner.compare_tanks.changes import Changed
from planner.compare_tanks.smallest import Smallest
from planner.compare_tanks.sure import Sureness
from planner.compare_tanks.words import Metric, answer_sentence, change_sentence, sure_sentence, trade_sentence
from planner.planning.tank_choice import Candidate, TankDay, Trade


def _litres(volume: float | None) -> float | None:
    return None if volume is None else round(float(volume) * 1e3, 3)


def _rounded(value: float | None, digits: int = 2) -> float | None:
    return None if value is None or value == float("inf") else round(float(value), digits)


def day_row(event: str, day: TankDay) -> dict[str, Any]:
    """What a tank makes of one event; stops and what only a plan has are null where no plan exists."""
    return {
        "event": event,
        "feasible": day.feasible,
        "stops": day.stops if day.feasible else None,
        "stop_gaps_min": [round(gap, 1) for gap in day.stop_gaps] if day.feasible else [],
        "spare_time_min": _rounded(day.spare_time, 1),
        "gaps_suffice": day.gaps_suffice,
        "in_long_gaps": day.in_long_gaps,
        "short_chance": round(day.short_chance, 5),
        "least_margin_L": _litres(day.least_margin),
        "spare_L": _litres(day.spare),
        "mean_carried_kg": _rounded(day.carried),
        "slosh_risk_share": round(day.washing, 3),
        "floor_L": _litres(day.floor),
        "floor_set_by": day.floor_by,
        "left_L": _litres(day.left),
        "bring_L": _litres(day.bring),
        "mean_use_L": _litres(day.use),
        "breaks_session": day.breaks,
    }


def _tank_row(one: Candidate, events: Sequence[str]) -> dict[str, Any]:
    shape = one.tank.shape
    return {
        "name": one.name,
        "capacity_L": _litres(one.capacity),
        "fill_limit_L": _litres(one.tank.limit),
        "length_mm": round(shape.length * 1e3, 1),
        "width_mm": round(shape.width * 1e3, 1),
        "height_mm": round(shape.height * 1e3, 1),
        "today": one.today,
        "scaled": one.scaled,
        "fits": one.fits,
        "turned": one.turned,
        "impossible_days": one.impossible,
        "stops": one.stops,
        "short_chance": round(one.short_chance, 5),
        "full_mass_kg": _rounded(one.full_mass),
        "empty_mass_kg": _rounded(one.empty),
        "mean_carried_kg": _rounded(one.carried),
        "slosh_risk_share": round(one.washing, 3),
        "events": [day_row(event, day) for event, day in zip(events, one.days, strict=True)],
    }


def _trade_json(trade: Trade) -> dict[str, Any]:
    return {
        "stops_saved": trade.stops_saved,
        "fewer_on": trade.fewer_on,
        "more_on": trade.more_on,
        "days": trade.days,
        "saved_days": trade.saved_days,
        "heavier_kg": round(trade.heavier, 2),
        "washing": round(trade.washing, 3),
    }


def sureness_json(sure: Sureness, comparison: Comparison) -> dict[str, Any]:
    """Which answers may flip, and how likely each measurement settles them, on average over them."""
    names = [one.name for one in comparison.candidates]
    events = [event.name for event, _ in comparison.days.events]
    count = max(len(sure.flips), 1)
    return {
        "low": round(sure.low, 3),
        "high": round(sure.high, 3),
        "measurements": [
            {
                "name": way.name,
                "error": round(way.error, 3),
                "settles": round(sum(flip.settled[k] for flip in sure.flips) / count, 3) if sure.flips else None,
            }
            for k, way in enumerate(sure.measurements)
        ],
        "flips": [
            {
                "tank": names[flip.tank],
                "event": events[flip.event],
                "stops_low": flip.low,
                "stops_planned": flip.planned,
                "stops_high": flip.high,
                "factor": round(flip.factor, 3),
                "chance": round(flip.chance, 3),
                "settled": [round(chance, 3) for chance in flip.settled],
            }
            for flip in sure.flips
        ],
    }


def changes_json(changes: Sequence[Changed]) -> list[dict[str, Any]]:
    """Each change against today's car, as plain data; what moves use most stands first."""
    return [
        {
            "kind": one.kind,
            "name": one.name,
            "mean_use_L": _litres(one.use),
            "stops": one.stops,
            "impossible_days": one.impossible,
            "use_more_L": _litres(one.use_more),
            "stops_more": one.stops_more,
            "impossible_more": one.impossible_more,
            "carried_more_kg": round(one.carried_more, 2),
        }
        for one in changes
    ]


def comparison_json(
    comparison: Comparison, least: Smallest, *, sure: Sureness | None = None, changes: Sequence[Changed] | None = None
) -> dict[str, Any]:
    """The comparison as the command line prints it and the page shows it."""
    days, answer = comparison.days, comparison.answer
    events = [event.name for event, _ in days.events]
    rows = [_tank_row(one, events) for one in comparison.candidates]
    for place, row in enumerate(rows):
        row |= {"undominated": place in answer.undominated, "worth": place in answer.worth}
    worth = [
        {
            "name": rows[k]["name"],
            "place": k,
            "stops": rows[k]["stops"],
            "base": k == answer.base,
            "trade": _trade_json(t),
        }
        for k, t in zip(answer.worth, answer.trades, strict=True)
    ]
    result = {
        "events": events,
        "car": days.car.name,
        "tanks": rows,
        "base": rows[answer.base]["name"],
        "worth": worth,
        "long_gap_min": days.long_gap,
        "space_mm": None if days.space is None else [round(room * 1e3, 1) for room in days.space],
        "smallest_without_stops_L": _litres(least.without_stops),
        "smallest_in_long_gaps_L": _litres(least.in_long_gaps),
        "smallest_feasible_L": _litres(least.feasible),
        "sureness": None if sure is None else sureness_json(sure, comparison),
        "changes": None if changes is None else changes_json(changes),
        "notices": list(comparison.notices),
    }
    return with_sentences(result)


def with_sentences(result: dict[str, Any]) -> dict[str, Any]:
    """The result with its answers in words, in L and kg."""
    units = Metric()
    for row in result["worth"]:
        row["sentence"] = trade_sentence(row, result["base"], units)
    result["answer"] = answer_sentence(result, units)
    if result["sureness"] is not None:
        result["sureness"]["sentence"] = sure_sentence(result)
    if result["changes"] is not None:
        result["changes_sentence"] = change_sentence(result["changes"], units)
    return result

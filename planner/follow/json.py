"""The board as plain data: the keys that scripts rely on, in L, mm, minutes and ISO 8601."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import numpy as np

from planner.day.json import session_rows
from planner.entry import Entry
from planner.follow import DayState, detectability_of
from planner.follow.action import Action
from planner.follow.ahead import Ahead
from planner.follow.past import Happened
from planner.follow.words import entry_text
from planner.planning.timeline import Outing

LITRES = 1e3


def pit_json(state: DayState) -> dict[str, Any]:
    """The day as the command line prints it and the page shows it."""
    mean, sd = state.factor
    read = state.past.read
    return {
        "event": state.event.name,
        "car": state.car.name,
        "timezone": state.event.timezone,
        "now": state.now.isoformat(),
        "level_expected_L": _litres(state.level),
        "level_sd_L": _litres(state.level_sd),
        "level_expected_mm": _millimetres(state, state.level),
        "level_read_L": _litres(read[0]) if read else None,
        "level_read_mm": _millimetres(state, read[0]) if read else None,
        "level_read_at": _in_zone(state, read[1]) if read else None,
        "car_factor": {
            "mean": round(mean, 4),
            "sd": round(sd, 4),
            "before_mean": round(state.prior.mean, 4),
            "before_sd": round(state.prior.mean * state.prior.variation, 4),
            "readings": state.past.watch.learnt,
        },
        "running": _running(state),
        "next": _next(state.action),
        "sessions": _sessions(state),
        "refills": _refills(state.ahead),
        "alarms": [
            {"level": a.level, "code": a.code, "chance": round(a.chance, 6), "text": a.text} for a in state.alarms
        ],
        "entries": [entry_json(state, entry) for entry in state.entries],
        "change": state.change,
        "notices": list(state.notices),
        "stock_left_L": _litres(state.stock_left),
        "short_chance": _short_chance(state.ahead),
        "confidence": state.event.reserve.confidence,
        "nozzle_check": _nozzle_check(state),
        "tank_capacity_L": _litres(state.car.tank.capacity),
        "tank_height_mm": round(state.car.tank.shape.height * 1e3, 1),
        "fill_limit_L": _litres(state.car.tank.limit),
    }


def _nozzle_check(state: DayState) -> dict[str, Any]:
    """Whether a nozzle at 70 % would be found within two readings, and what stands in the way."""
    found = detectability_of(state)
    return {"chance": round(found.chance, 4), "possible": found.possible, "text": found.text}


def entry_json(state: DayState, entry: Entry) -> dict[str, Any]:
    """One entry of the log."""
    return {
        "id": entry.id,
        "at": _in_zone(state, entry.at),
        "kind": entry.kind,
        "value": dict(entry.value),
        "undone": entry.undone,
        "number": entry.number,
        "text": entry_text(entry),
    }


def _litres(volume: float) -> float:
    return round(float(volume) * LITRES, 3)


def _millimetres(state: DayState, volume: float) -> float:
    shape = state.car.tank.shape
    return round(float(shape.level_from_volume(min(max(volume, 0.0), shape.capacity))) * 1e3, 1)


def _in_zone(state: DayState, moment: datetime) -> str:
    return moment.astimezone(state.now.tzinfo).isoformat()


def _iso(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def _running(state: DayState) -> dict[str, Any] | None:
    on = state.timeline.on
    return {"session": on.number, "name": on.session.name, "end": on.session.end.isoformat()} if on else None


def _next(action: Action) -> dict[str, Any]:
    return {
        "session": action.session,
        "name": action.name or None,
        "action": action.kind,
        "text": action.text,
        "mark_L": None if action.mark is None else _litres(action.mark),
        "mark_mm": None if action.mark_level is None else round(action.mark_level * 1e3, 1),
        "add_L": None if action.add is None else _litres(action.add),
        "add_most_L": None if action.most is None else _litres(action.most),
        "minutes_needed": None if action.needed is None else round(action.needed / 60, 1),
        "by": _iso(action.by),
        "start": _iso(action.start),
    }


def _sessions(state: DayState) -> list[dict[str, Any]]:
    """Every session: those over as they went, those ahead as planned now, those cancelled as planned before."""
    rows = {k + 1: row for k, row in enumerate(session_rows(state.before))}
    if state.ahead is not None:
        rows |= _rows_ahead(state, state.ahead)
    happened = {done.outing.number: done for done in state.past.happened}
    return [_session(outing, rows[outing.number], happened.get(outing.number)) for outing in state.timeline.outings]


def _rows_ahead(state: DayState, ahead: Ahead) -> dict[int, dict[str, Any]]:
    """Rows of the plan ahead by session number, the session that is on among them."""
    rows = session_rows(ahead.plan)
    found = {outing.number: row for outing, row in zip(ahead.outings, rows[ahead.before :], strict=True)}
    if state.timeline.on is not None:
        found[state.timeline.on.number] = rows[0]
    return found


def _session(outing: Outing, row: dict[str, Any], done: Happened | None) -> dict[str, Any]:
    shown = {
        **row,
        "number": outing.number,
        "name": outing.session.name,
        "start": outing.session.start.isoformat(),
        "end": outing.session.end.isoformat(),
        "planned_start": outing.planned.start.isoformat(),
        "runs": outing.session.runs,
        "status": outing.status,
        "assumed": outing.assumed,
    }
    return shown | (_as_it_went(done) if done else {})


def _as_it_went(done: Happened) -> dict[str, Any]:
    (start, _), (end, sd) = done.start, done.end
    read = done.read.reading if done.read else None
    return {
        "level_start_p50_L": _litres(start),
        "level_end_p50_L": _litres(end if read is None else read),
        "level_end_p01_L": _litres(end - 2.326 * sd if read is None else read),
        "short_chance": 0.0,
        "level_end_expected_L": _litres(end),
        "level_end_read_L": None if read is None else _litres(read),
    }


def _refills(ahead: Ahead | None) -> list[dict[str, Any]]:
    """Fills of the plan ahead, by session number."""
    if ahead is None:
        return []
    plan, best = ahead.plan, ahead.plan.refills.best
    shape = plan.car.tank.shape
    rows = []
    for row, mark in zip(plan.problem.starts(best.stops), best.marks, strict=True):
        if row >= ahead.before and plan.problem.may_fill[row]:
            outing = ahead.outings[row - ahead.before]
            rows.append(
                {
                    "before_session": outing.number,
                    "session_name": outing.session.name,
                    "mark_L": _litres(mark),
                    "mark_mm": round(float(shape.level_from_volume(mark)) * 1e3, 1),
                    "mark_percent": round(100 * mark / plan.car.tank.capacity, 1),
                }
            )
    return rows


def _short_chance(ahead: Ahead | None) -> float | None:
    """Chance that the level falls below a floor from now on."""
    if ahead is None:
        return None
    short = np.any(ahead.plan.refills.levels.end < ahead.plan.problem.floor[:, None], axis=0)
    return round(float(short.mean()), 5)

"""Days and plans that tests of paper, calendar and packing share: invented, written by hand."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from planner.car import Car
from planner.event import Course, Event, Session, Stock
from planner.planning.stock import bring, bring_json
from tests.cars import CAR

ZONE = ZoneInfo("Europe/Lisbon")


def event_of(sessions: int = 6, *, name: str = "Moth Meadow open day", spread_over: int = 1) -> Event:
    """An invented event of so many sessions of 20 minutes, every 30 minutes of each of its days."""
    per_day = -(-sessions // spread_over)
    starts = [
        datetime(2026, 5, 16, 8, 0, tzinfo=ZONE) + timedelta(days=k // per_day, minutes=30 * (k % per_day))
        for k in range(sessions)
    ]
    return Event(
        name=name,
        date=date(2026, 5, 16),
        timezone="Europe/Lisbon",
        car_path=Path("car.toml"),
        sessions=tuple(
            Session(f"Session {k}", start, 1200.0, "loop", 8, driver="A" if k % 2 else None)
            for k, start in enumerate(starts, 1)
        ),
        courses=(Course("loop", "lap", time_at_boost=((97e3, 30.0),)),),
        stock=Stock(containers=(0.010, 0.005)),
    )


def plan_of(event: Event, car: Car = CAR, *, refill_every: int = 3, use: float = 1.4) -> dict[str, Any]:
    """A plan of the keys that `plan --json` fixes, with a refill every few sessions and the same use [L] in each."""
    limit = car.tank.limit * 1e3
    refills, sessions, level = [], [], 0.0
    for k, session in enumerate(event.sessions):
        if k % refill_every == 0:
            mark = min(limit, 0.7 * refill_every * use + 1.0)
            refills.append(_fill(k + 1, session, mark, mark - level, car))
            level = mark
        sessions.append(_session(k + 1, session, use, level))
        level -= use * 0.7
    need = sum(fill["add_p99_L"] for fill in refills) / 1e3
    return {
        "event": event.name,
        "car": car.name,
        "date": event.date.isoformat(),
        "timezone": event.timezone,
        "confidence": 0.99,
        "stops": len(refills) - 1,
        "sessions": sessions,
        "gaps": [],
        "refills": refills,
        "bring": bring_json(bring(need, car.blend, event.stock)),
        "short_chance": 0.004,
        "tank_capacity_L": car.tank.capacity * 1e3,
        "fill_limit_L": limit,
        "warnings": [],
    }


def _fill(number: int, session: Session, mark: float, added: float, car: Car) -> dict[str, Any]:
    minutes = 9.0
    return {
        "before_session": number,
        "session_name": session.name,
        "by": (session.start - timedelta(minutes=minutes)).isoformat(),
        "mark_L": mark,
        "mark_mm": float(car.tank.shape.level_from_volume(mark / 1e3)) * 1e3,
        "mark_percent": 100 * mark / (car.tank.capacity * 1e3),
        "add_p50_L": added * 0.9,
        "add_p99_L": added,
        "minutes_needed": minutes,
    }


def _session(number: int, session: Session, use: float, level: float) -> dict[str, Any]:
    return {
        "number": number,
        "name": session.name,
        "start": session.start.isoformat(),
        "end": session.end.isoformat(),
        "driver": session.driver,
        "runs": session.runs,
        "use_mean_L": use * 0.7,
        "floor_L": 0.6,
        "level_start_p50_L": level,
        "level_end_p50_L": level - use * 0.7,
        "short_chance": 0.001,
    }

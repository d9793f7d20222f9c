"""Days and tanks that the tests of tank choice share: invented, quick to plan."""

from __future__ import annotations

from dataclasses import replace

from planner.car import Car
from planner.event import Course, Event, Piece
from tests.cars import CAR, PSI
from tests.plans import event_of

DRAWS = 1500
LOOP = Course("loop", "lap", pieces=(Piece(20.0, 14 * PSI, lateral=1.0), Piece(60.0, 0.0, lateral=4.0)))
QUICK = replace(LOOP, pieces=(Piece(9.0, 14 * PSI, longitudinal=2.0), Piece(40.0, 0.0, lateral=-6.0)))


def day(sessions: int, course: Course = LOOP, *, runs: float = 4, name: str = "Moth Meadow") -> Event:
    """An event of sessions every half hour, ten minutes between them."""
    event = event_of(sessions, name=name)
    outings = tuple(replace(session, runs=runs) for session in event.sessions)
    return replace(event, sessions=outings, courses=(course,))


def days(car: Car = CAR) -> tuple[tuple[Event, Car], ...]:
    """Three days of one car: long, short, and one that small tanks cannot drive."""
    hard = day(4, runs=14, name="Beetle Bank")
    return ((day(6), car), (day(3, QUICK, name="Fern Hill"), car), (hard, car))

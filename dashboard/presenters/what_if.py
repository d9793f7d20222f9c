"""What if: a day and its car with a few things changed, none of it written anywhere until it is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any

from dashboard.presenters.display import Display, share
from planner.car import Car
from planner.day import with_tank_scaled
from planner.event import PRIORITIES, Event

CONFIDENCES = (0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999)
BOOSTS = (-0.2, -0.15, -0.1, -0.05, 0.0, 0.05, 0.1, 0.15, 0.2)
LAPS = (-3, -2, -1, 0, 1, 2, 3, 4)
HOTTER = (-10, -5, 0, 5, 10, 15, 20)
TANKS = (0.5, 0.65, 0.8, 1.0, 1.25, 1.5, 2.0, 2.5, 3.0)


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried: None or the neutral value leaves the files' own.

    confidence and extra of the reserve, priority; boost as a change of gauge pressure [1]; laps added to each
    session; hotter [K]; tank as a factor on its volume [1]; sessions (from 1) before which a refill is allowed.
    """

    confidence: float | None = None
    extra: float | None = None
    priority: str | None = None
    boost: float = 0.0
    laps: float = 0.0
    hotter: float = 0.0
    tank: float = 1.0
    allow: tuple[int, ...] = field(default=())

    @property
    def changes(self) -> bool:
        """Whether anything is tried at all."""
        return self != Trial()


def trial_of(data: Mapping[str, Any] | None) -> Trial:
    """The trial that a browser keeps as plain data; what it should not hold is left out."""
    known = {one.name for one in fields(Trial)}
    kept = {key: value for key, value in (data or {}).items() if key in known and value is not None}
    numbers = {key: float(value) for key, value in kept.items() if isinstance(value, int | float)}
    allow = tuple(int(number) for number in kept.get("allow", ()) if isinstance(number, int))
    priority = kept.get("priority") if kept.get("priority") in PRIORITIES else None
    return Trial(**numbers, allow=allow, priority=priority)


def tried(event: Event, car: Car, trial: Trial) -> tuple[Event, Car]:
    """The day and its car with what is tried changed."""
    if not trial.changes:
        return event, car
    reserve = event.reserve
    if trial.confidence is not None:
        reserve = replace(reserve, confidence=trial.confidence)
    if trial.extra is not None:
        reserve = replace(reserve, extra=trial.extra)
    refill = replace(event.refill, priority=trial.priority) if trial.priority else event.refill  # type: ignore[arg-type]
    sessions = tuple(
        replace(
            session,
            runs=max(session.runs + trial.laps, 1.0) if trial.laps else session.runs,
            refill=True if number in trial.allow else session.refill,
        )
        for number, session in enumerate(event.sessions, 1)
    )
    courses = tuple(replace(course, boost_factor=1 + trial.boost) for course in event.courses)
    day = replace(event, reserve=reserve, refill=refill, sessions=sessions, courses=courses)
    return day, _tried_car(car, trial)


def _tried_car(car: Car, trial: Trial) -> Car:
    if trial.hotter:
        car = replace(car, blend=replace(car.blend, temperature=car.blend.temperature + trial.hotter))
    return with_tank_scaled(car, trial.tank ** (1 / 3)) if trial.tank != 1.0 else car


def _stops(values: tuple[float, ...], value: float) -> list[float]:
    """The stops of a slider, the present value among them."""
    return sorted({*values, value})


def sliders(event: Event, car: Car, trial: Trial, display: Display) -> list[dict[str, Any]]:
    """The sliders, each with key, label, stops (value and text), value, and home, the value that the files have."""
    litres = car.tank.capacity * 1e3
    unit = event.courses[0].per if event.courses else "run"
    own = event.reserve.confidence
    confidence = own if trial.confidence is None else trial.confidence
    temperature = car.blend.temperature
    return [
        _slider(
            "confidence", "Confidence for the day", _stops((*CONFIDENCES, own), confidence), share, confidence, own
        ),
        _slider("boost", "Boost", _stops(BOOSTS, trial.boost), _signed_percent, trial.boost, 0.0),
        _slider("laps", f"{unit.capitalize()}s more per session", _stops(LAPS, trial.laps), _signed, trial.laps, 0.0),
        _slider(
            "hotter",
            "Fluid temperature",
            _stops(HOTTER, trial.hotter),
            lambda more: display.temperature(temperature + more),
            trial.hotter,
            0.0,
        ),
        _slider(
            "tank",
            "Tank, same shape",
            _stops(TANKS, trial.tank),
            lambda by: display.volume(litres * by),
            trial.tank,
            1.0,
        ),
    ]


def _slider(key: str, label: str, stops: list[float], text: Any, value: float, home: float) -> dict[str, Any]:
    shown = [{"value": stop, "text": text(stop)} for stop in stops]
    return {"key": key, "label": label, "stops": shown, "value": value, "home": home}


def _signed(value: float) -> str:
    return "0" if value == 0 else f"{value:+g}".replace("-", "−")


def _signed_percent(value: float) -> str:
    return "0 %" if value == 0 else f"{100 * value:+.0f} %".replace("-", "−")

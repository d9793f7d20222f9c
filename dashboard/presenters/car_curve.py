"""Flow against boost as plain data in the units shown, with what limits it; what figures.flow_figure draws."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dashboard.presenters.display import Display, share
from planner.car import Car
from planner.physics.nozzle import stages_flow
from planner.physics.operating_point import operating_point
from planner.physics.pump import shutoff_pressure
from planner.use.flow_curve import circuit_of, flow_curve

ML_MIN = 6e7
LOWEST, ABOVE_FULL, KNOTS = -60e3, 60e3, 161
PETROL_DENSITY = 745.0  # [kg/m3] from memory
PETROL_USE = 0.60 * 0.45359237 / 3600  # [kg/s per hp] turbocharged, full boost; 0.55 to 0.65 lb/hp/h, from memory


@dataclass(frozen=True, slots=True)
class CarCurve:
    """Flow against boost, all (n,) in the units shown; `texts` say each operating point in words."""

    boost: list[float]
    flow: list[float]
    full_speed: list[float]
    nozzle_limit: list[float]
    pump_limit: float
    siphon: list[float]
    speed: list[float]
    texts: list[str]
    boost_unit: str
    flow_unit: str


@dataclass(frozen=True, slots=True)
class Point:
    """One operating point: boost [kPa], flow [mL/min], pump speed [1], line_pressure [kPa]."""

    boost: float
    flow: float
    speed: float
    line_pressure: float


def full_boost(car: Car) -> float:
    """Boost [Pa] at which the pump first runs at the highest speed that its controller commands."""
    control = car.controller
    if control.kind == "ramp":
        return control.full
    if control.kind == "switch":
        return max(control.start, 100e3)
    return max(control.points, key=lambda point: (point[1], -point[0]))[0]


def boosts_of(car: Car) -> np.ndarray:
    """Boosts [Pa gauge] worth drawing, jumps doubled so that they stand upright."""
    control = car.controller
    marks = [control.start, control.full, *(boost for boost, _ in control.points)]
    marks += [nozzle.opens_at for nozzle in car.nozzles if nozzle.opens_at is not None]
    top = max(full_boost(car), 100e3, *marks) + ABOVE_FULL
    jumps = [value for mark in marks if LOWEST < mark < top for value in (mark - 1.0, mark)]
    return np.unique([*np.linspace(LOWEST, top, KNOTS), *jumps])


def point_at(car: Car, boost: float) -> Point:
    """The operating point at a boost [Pa gauge]."""
    curve = flow_curve(car)
    at = np.array([boost])
    return Point(
        boost / 1e3,
        float(curve.flow(at)[0]) * ML_MIN,
        float(np.interp(boost, curve.boost, curve.pump_speed)),
        float(np.interp(boost, curve.boost, curve.line_pressure)) / 1e3,
    )


def car_curve(car: Car, display: Display) -> CarCurve:
    """The car's curve from vacuum to well above full boost."""
    boost, curve, circuit = boosts_of(car), flow_curve(car), circuit_of(car)
    full, _ = operating_point(circuit, boost, np.ones_like(boost))
    highest = shutoff_pressure(circuit.pump_pressure, circuit.pump_flow)
    nozzles = stages_flow(
        np.full_like(boost, highest),
        boost,
        circuit.stages,
        density=circuit.density,
        opening_pressure=circuit.opening_pressure,
    )
    points = [point_at(car, float(one)) for one in boost]

    def shown(flow: np.ndarray) -> list[float]:
        return [round(display.number(float(one) * ML_MIN, "flow"), 3) for one in flow]

    return CarCurve(
        [round(display.number(float(one) / 1e3, "pressure"), 4) for one in boost],
        shown(curve.flow(boost)),
        shown(full),
        shown(nozzles),
        display.number(circuit.pump_flow[0] * ML_MIN, "flow"),
        shown(curve.siphon(boost)),
        [point.speed for point in points],
        [point_text(point, display) for point in points],
        display.unit("pressure"),
        display.unit("flow"),
    )


def point_text(point: Point, display: Display) -> str:
    """An operating point in words, for hovering."""
    if point.flow <= 0:
        return f"<b>{display.pressure(point.boost)}</b><br>off"
    return (
        f"<b>{display.pressure(point.boost)}</b><br>{display.flow(point.flow)}<br>"
        f"pump at {share(point.speed)}, {display.pressure(point.line_pressure)} before the nozzles"
    )


def petrol_flow(power_hp: float) -> float:
    """Petrol [mL/min] that an engine of a power [hp] burns at full boost."""
    return power_hp * PETROL_USE / PETROL_DENSITY * ML_MIN


def gains(car: Car) -> tuple[float, float]:
    """By what share the flow at full boost grows with nozzles a tenth larger, and with a pump a tenth larger."""
    boost = np.array([full_boost(car)])
    speed = np.array([point_at(car, float(boost[0])).speed])
    circuit = circuit_of(car)
    base, _ = operating_point(circuit, boost, speed)
    wider = replace(circuit, stages=tuple(replace(one, rated_flow=1.1 * one.rated_flow) for one in circuit.stages))
    stronger = replace(circuit, pump_flow=tuple(1.1 * flow for flow in circuit.pump_flow))
    if base[0] <= 0:
        return 0.0, 0.0
    more = [float(operating_point(one, boost, speed)[0][0] / base[0] - 1) for one in (wider, stronger)]
    return more[0], more[1]

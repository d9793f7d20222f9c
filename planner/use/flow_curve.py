"""Flow against boost for one car, computed once; a recording is then a look-up."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from planner.car import Car, Controller, Spread, Tank
from planner.physics.blend import density, viscosity
from planner.physics.controller import ramp_speed, switch_speed, table_speed
from planner.physics.nozzle import Stage
from planner.physics.operating_point import Circuit, operating_point, siphon_flow
from planner.physics.tank import Box
from planner.use.piecewise import Knots, PiecewiseLinear

Array = np.ndarray

LOWEST_BOOST = -101_325.0
HIGHEST_BOOST = 600_000.0
STEP = 400.0

# What no flow depends on, made equal so that cars with other tanks share one curve.
_ANY_TANK, _ANY_SPREAD = Tank(Box(1.0, 1.0, 1.0)), Spread()


def circuit_of(car: Car) -> Circuit:
    """The car's hydraulics as physics takes them, with the blend at its temperature."""
    stages = tuple(
        Stage(n.rated_flow * n.count, n.rated_pressure, n.place == "after throttle", n.opens_at) for n in car.nozzles
    )
    blend = car.blend
    return Circuit(
        car.pump.pressure,
        car.pump.flow,
        stages,
        car.line.length,
        car.line.inner_diameter,
        car.line.opening_pressure,
        float(density(blend.alcohol_share, blend.temperature)),
        float(viscosity(blend.alcohol_share, blend.temperature)),
    )


def controller_speed(controller: Controller, boost: Array) -> Array:
    """The pump's speed share [1], (n,), that the controller commands at a boost [Pa gauge]."""
    if controller.kind == "ramp":
        return ramp_speed(boost, controller.start, controller.full, controller.minimum_speed)
    if controller.kind == "switch":
        return switch_speed(boost, controller.start)
    return table_speed(boost, controller.points)


def _breaks(car: Car) -> Array:
    """Boosts [Pa gauge] at which flow may jump or bend."""
    control = car.controller
    marks = [0.0, control.start, control.full, *(boost for boost, _ in control.points)]
    marks += [n.opens_at for n in car.nozzles if n.opens_at is not None]
    inside = [mark for mark in marks if LOWEST_BOOST < mark < HIGHEST_BOOST]
    return np.unique([LOWEST_BOOST, *inside, HIGHEST_BOOST])


def _grid(breaks: Array) -> Array:
    """Knots at the breaks and, between them, equal steps of at most STEP."""
    spans = [np.linspace(a, b, int(np.ceil((b - a) / STEP)) + 1)[:-1] for a, b in itertools.pairwise(breaks)]
    return np.concatenate([*spans, breaks[-1:]])


@dataclass(frozen=True, slots=True, eq=False)
class FlowCurve:
    """What a car injects at each boost.

    boost: (m + 1,) [Pa gauge], rising. injected, siphoned: [m3/s]; flowing: 1 where fluid is injected.
    pump_speed: (m + 1,) [1]; line_pressure: (m + 1,) [Pa gauge] before the nozzles.
    """

    boost: Array
    knots: Knots
    injected: PiecewiseLinear
    siphoned: PiecewiseLinear
    flowing: PiecewiseLinear
    pump_speed: Array
    line_pressure: Array

    def flow(self, boost: Array) -> Array:
        """Injected flow [m3/s], (n,), at boosts [Pa gauge]. Raises OutsideModel beyond -101 to 600 kPa."""
        return self.injected.values(self.knots.locate(np.asarray(boost, dtype=float)))

    def siphon(self, boost: Array) -> Array:
        """Siphoned flow [m3/s], (n,), at boosts [Pa gauge]. Raises OutsideModel beyond -101 to 600 kPa."""
        return self.siphoned.values(self.knots.locate(np.asarray(boost, dtype=float)))

    @property
    def largest(self) -> float:
        """The car's largest injected flow [m3/s] at any boost."""
        return self.injected.largest


def flow_curve(car: Car) -> FlowCurve:
    """The flow curve of a car; kept while its hydraulics stay, since a day asks for it many times."""
    return _curve(
        replace(car, name="", tank=_ANY_TANK, spread=_ANY_SPREAD, flow_test=None, kept=(), assumed=frozenset())
    )


@lru_cache(maxsize=64)
def _curve(car: Car) -> FlowCurve:
    """The flow curve of a car without its tank, name, spread and flow test."""
    circuit = circuit_of(car)
    grid = _grid(_breaks(car))
    from_right, from_left = grid, np.nextafter(grid, -np.inf)
    boost = np.concatenate((from_right[:-1], from_left[1:]))
    speed = controller_speed(car.controller, boost)
    flow, pressure = operating_point(circuit, boost, speed)
    flow = np.where(speed > 0, flow, 0.0)
    closed = car.line.shutoff_valve or not any(stage.after_throttle for stage in circuit.stages)
    siphon = np.zeros_like(flow) if closed else np.where(speed > 0, 0.0, siphon_flow(circuit, boost))
    knots, segments = Knots(grid), grid.size - 1

    def joined(values: Array) -> PiecewiseLinear:
        return PiecewiseLinear(knots, values[:segments], values[segments:])

    return FlowCurve(
        grid,
        knots,
        joined(flow),
        joined(siphon),
        joined((flow > 0).astype(float)),
        np.append(speed[:segments], speed[-1]),
        np.append(pressure[:segments], pressure[-1]),
    )


@lru_cache(maxsize=64)
def full_speed_flow_at_rest(car: Car) -> float:
    """Flow [m3/s] at full pump speed and no boost, through the nozzles that are open then: what a flow test sees."""
    flow, _ = operating_point(circuit_of(car), np.zeros(1), np.ones(1))
    return float(flow[0])

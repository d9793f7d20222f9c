"""Where pump, line and nozzles agree, for a whole grid of boosts at once.

More pressure before the nozzles means more flow through them and less from the pump, so the balance has one
crossing, which bisection cannot miss. A valve that opens at a pressure makes a jump in the nozzles' flow; where
the balance falls into the jump, the valve holds the pump's flow at its opening pressure.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.physics.line import line_loss
from planner.physics.nozzle import Stage, stages_flow
from planner.physics.pump import pump_flow, shutoff_pressure

Array = np.ndarray

LOWEST_PRESSURE = -101_325.0
HALVINGS = 52


@dataclass(frozen=True, slots=True)
class Circuit:
    """Pump curve (pressures [Pa gauge] rising, flows [m3/s] falling), hose, stages and the fluid's properties.

    line_length [m], line_diameter [m], opening_pressure [Pa], density [kg/m3], viscosity [Pa s].
    """

    pump_pressure: tuple[float, ...]
    pump_flow: tuple[float, ...]
    stages: tuple[Stage, ...]
    line_length: float
    line_diameter: float
    opening_pressure: float
    density: float
    viscosity: float

    def nozzles(self, pressure: Array, boost: Array) -> Array:
        """Flow [m3/s] through the stages at a pressure [Pa gauge] before them."""
        return stages_flow(pressure, boost, self.stages, density=self.density, opening_pressure=self.opening_pressure)

    def loss(self, flow: Array) -> Array:
        """Pressure lost in the hose [Pa] at a flow [m3/s]."""
        return line_loss(flow, self.line_length, self.line_diameter, density=self.density, viscosity=self.viscosity)


def _last_surplus(surplus: Callable[[Array], Array], low: Array, high: Array) -> tuple[Array, Array]:
    """Bracket of the pressure or flow where a falling surplus changes sign, (n,) each, by bisection."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        rich = surplus(middle) > 0
        low, high = np.where(rich, middle, low), np.where(rich, high, middle)
    return low, high


def operating_point(circuit: Circuit, boost: Array, speed: Array) -> tuple[Array, Array]:
    """Injected flow [m3/s] and pressure before the nozzles [Pa gauge], (n,) each.

    boost: (n,) [Pa gauge]; speed: (n,) [1], the pump's speed as a share of full.
    """

    def delivered(pressure: Array) -> Array:
        loss = circuit.loss(circuit.nozzles(pressure, boost))
        return pump_flow(pressure + loss, speed, circuit.pump_pressure, circuit.pump_flow)

    low = np.full_like(boost, LOWEST_PRESSURE)
    high = np.full_like(boost, shutoff_pressure(circuit.pump_pressure, circuit.pump_flow))
    low, high = _last_surplus(lambda p: delivered(p) - circuit.nozzles(p, boost), low, high)
    least, most = circuit.nozzles(low, boost), circuit.nozzles(high, boost)
    return np.clip(delivered(low), least, np.maximum(least, most)), high


def siphon_flow(circuit: Circuit, boost: Array) -> Array:
    """Flow [m3/s], (n,), that manifold vacuum alone draws through nozzles after the throttle and a still pump."""
    drawn = Circuit(
        circuit.pump_pressure,
        circuit.pump_flow,
        tuple(stage for stage in circuit.stages if stage.after_throttle),
        circuit.line_length,
        circuit.line_diameter,
        circuit.opening_pressure,
        circuit.density,
        circuit.viscosity,
    )
    if not drawn.stages:
        return np.zeros_like(boost)
    # Sought by flow: where the balance falls into a valve's jump, the valve holds what the hose lets through.
    none, most = np.zeros_like(boost), drawn.nozzles(np.zeros_like(boost), boost)
    return _last_surplus(lambda flow: drawn.nozzles(-drawn.loss(flow), boost) - flow, none, most)[0]

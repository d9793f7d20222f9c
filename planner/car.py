"""The car and its injection hardware: frozen records in SI, temperatures in degC. They read no files."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from planner.physics.tank import TankShape

Place = Literal["before throttle", "after throttle"]
ControllerKind = Literal["ramp", "switch", "table"]


@dataclass(frozen=True, slots=True)
class Blend:
    """Methanol and water; `alcohol_share` is methanol's share by volume before mixing, temperature [degC]."""

    alcohol_share: float
    temperature: float = 20.0


@dataclass(frozen=True, slots=True)
class Pickup:
    """Place of the pickup's mouth: ahead [m] and left [m] of the tank's centre, height [m] above its floor."""

    ahead: float = 0.0
    left: float = 0.0
    height: float = 0.0


@dataclass(frozen=True, slots=True)
class Tank:
    """The tank: inside shape, the share of it that may be filled, pickup, and what the slosh model needs.

    low_level_switch [m3] or None, empty_mass [kg] or None, damping [1] of the sloshing fluid,
    pickup_margin [m] of fluid wanted over the pickup while the surface moves.
    """

    shape: TankShape
    fill_limit: float = 0.95
    pickup: Pickup = field(default_factory=Pickup)
    low_level_switch: float | None = None
    empty_mass: float | None = None
    damping: float = 0.15
    pickup_margin: float = 0.010

    @property
    def capacity(self) -> float:
        """Inside volume [m3]."""
        return self.shape.capacity

    @property
    def limit(self) -> float:
        """Volume [m3] that the tank may be filled to."""
        return self.fill_limit * self.shape.capacity


@dataclass(frozen=True, slots=True)
class Pump:
    """Pump at full speed: pressures [Pa gauge], rising, and the flows [m3/s] at them, falling."""

    pressure: tuple[float, ...]
    flow: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """The hose from pump to nozzles: length [m], inner_diameter [m], opening_pressure [Pa] of its valve."""

    length: float = 0.0
    inner_diameter: float = 0.0043
    opening_pressure: float = 0.0
    shutoff_valve: bool = False

    @property
    def volume(self) -> float:
        """Fluid that the hose holds [m3]."""
        return 0.7853981633974483 * self.inner_diameter**2 * self.length


@dataclass(frozen=True, slots=True)
class Nozzle:
    """`count` equal nozzles: rated_flow [m3/s] of water each at rated_pressure [Pa]; opens_at boost [Pa gauge]."""

    rated_flow: float
    rated_pressure: float
    count: int = 1
    place: Place = "before throttle"
    opens_at: float | None = None


@dataclass(frozen=True, slots=True)
class Controller:
    """What drives the pump: boosts [Pa gauge] and speed shares [1].

    A ramp has start, full and minimum_speed; a switch has start; a table has points (boost, speed), rising.
    """

    kind: ControllerKind
    start: float = 0.0
    full: float = 0.0
    minimum_speed: float = 1.0
    points: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Spread:
    """Relative standard deviations: of the car's one unknown factor a day, and from session to session."""

    car: float = 0.10
    run: float = 0.08


@dataclass(frozen=True, slots=True)
class FlowTest:
    """Fluid [m3] collected in a time [s] at full pump speed and no boost; error is relative; date: its day, or None."""

    volume: float
    time: float
    error: float = 0.03
    date: date | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """What a day said of the car's factor, kept for later days: mean [1] and coefficient of variation [1]."""

    date: date
    factor: float
    variation: float
    event: str = ""


@dataclass(frozen=True, slots=True)
class Car:
    """One vehicle with its injection hardware, tank and blend. `assumed` names the keys that the file left out.

    kept: results of days, oldest first; the last one stands in place of `spread.car` and of a flow test before it.
    """

    name: str
    blend: Blend
    tank: Tank
    pump: Pump
    nozzles: tuple[Nozzle, ...]
    controller: Controller
    line: Line = field(default_factory=Line)
    spread: Spread = field(default_factory=Spread)
    flow_test: FlowTest | None = None
    assumed: frozenset[str] = frozenset()
    kept: tuple[Kept, ...] = ()

    @property
    def telling_flow_test(self) -> FlowTest | None:
        """The flow test, but for one that a kept result holds already: one without a date, or not after its day."""
        test = self.flow_test
        if test is None or not self.kept:
            return test
        return test if test.date is not None and test.date > self.kept[-1].date else None

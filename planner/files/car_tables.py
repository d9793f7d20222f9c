"""The tables of car.toml but for the tank: their keys, bounds and defaults, and the records that they become."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import BeforeValidator

from planner.car import Blend, Controller, FlowTest, Kept, Line, Nozzle, Place, Pump, Spread
from planner.files.event_tables import day
from planner.files.fields import BOOST, PRESSURE, Boost, Choice, Count, Listed, Measure, Name, Number, Pair, YesNo
from planner.files.tables import Table

_BLEND, _LINE, _SPREAD = Blend(0.5), Line(), Spread()
FLOW = Measure("flow", "0 L/min", "60 L/min")
Share = Annotated[float, BeforeValidator(Number(0, 1, "0.50", percent=True))]
RelativeSpread = Annotated[float, BeforeValidator(Number(0, 1, "0.10", percent=True))]
_CURVE = Listed(2, '[["1.9 L/min", "0 bar"], ["1.4 L/min", "6 bar"], ["0 L/min", "14 bar"]]')
_POINTS = Listed(2, '[["5 psi", 0.3], ["14 psi", 1.0]]')
_CURVE_POINT = Pair(FLOW, PRESSURE, ("flow", "pressure"), '["1.4 L/min", "6 bar"]')
_SPEED_POINT = Pair(BOOST, Number(0, 1, "0.6", percent=True), ("boost", "pump speed"), '["10 psi", 0.6]')
PairT = tuple[float, float]


class BlendTable(Table):
    """[blend]"""

    alcohol_share: Share
    temperature: Annotated[float, BeforeValidator(Measure("temperature", "-20 degC", "50 degC"))] = _BLEND.temperature

    def record(self) -> Blend:
        """The blend."""
        return Blend(self.alcohol_share, self.temperature)


class PumpTable(Table):
    """[pump]"""

    curve: Annotated[tuple[Annotated[PairT, BeforeValidator(_CURVE_POINT)], ...], BeforeValidator(_CURVE)]

    def record(self) -> Pump:
        """The pump."""
        return Pump(tuple(pressure for _, pressure in self.curve), tuple(flow for flow, _ in self.curve))


class LineTable(Table):
    """[line]"""

    length: Annotated[float, BeforeValidator(Measure("length", "0 m", "30 m"))] = _LINE.length
    inner_diameter: Annotated[float, BeforeValidator(Measure("length", "0.5 mm", "50 mm"))] = _LINE.inner_diameter
    opening_pressure: Annotated[float, BeforeValidator(Measure("pressure", "0 bar", "50 bar"))] = _LINE.opening_pressure
    shutoff_valve: YesNo = _LINE.shutoff_valve

    def record(self) -> Line:
        """The line."""
        return Line(self.length, self.inner_diameter, self.opening_pressure, self.shutoff_valve)


class NozzleTable(Table):
    """[[nozzle]]"""

    count: Count = 1
    rated_flow: Annotated[float, BeforeValidator(Measure("flow", "0 mL/min", "20 L/min", above_lowest=True))]
    rated_pressure: Annotated[float, BeforeValidator(Measure("pressure", "0 bar", "200 bar", above_lowest=True))]
    place: Annotated[Place, BeforeValidator(Choice("place", ("before throttle", "after throttle")))] = "before throttle"
    opens_at: Boost | None = None

    def record(self) -> Nozzle:
        """The nozzles."""
        return Nozzle(self.rated_flow, self.rated_pressure, self.count, self.place, self.opens_at)


def _not_here(kind: str, has: str, **owners: str) -> dict[str, str]:
    return {key: f"belongs to a {owner}; a {kind} has {has}" for key, owner in owners.items()}


class RampTable(Table):
    """[controller] of kind ramp"""

    elsewhere: ClassVar[Mapping[str, str]] = _not_here("ramp", "start, full and minimum_speed", points="table")
    kind: Literal["ramp"]
    start: Boost
    full: Boost
    minimum_speed: Share

    def record(self) -> Controller:
        """The controller."""
        return Controller("ramp", self.start, self.full, self.minimum_speed)


class SwitchTable(Table):
    """[controller] of kind switch"""

    elsewhere: ClassVar[Mapping[str, str]] = _not_here(
        "switch", "start alone", full="ramp", minimum_speed="ramp", points="table"
    )
    kind: Literal["switch"]
    start: Boost

    def record(self) -> Controller:
        """The controller."""
        return Controller("switch", self.start)


class PointsTable(Table):
    """[controller] of kind table"""

    elsewhere: ClassVar[Mapping[str, str]] = _not_here(
        "table", "points alone", start="ramp", full="ramp", minimum_speed="ramp"
    )
    kind: Literal["table"]
    points: Annotated[tuple[Annotated[PairT, BeforeValidator(_SPEED_POINT)], ...], BeforeValidator(_POINTS)]

    def record(self) -> Controller:
        """The controller."""
        return Controller("table", points=self.points)


CONTROLLERS: dict[str, type[RampTable] | type[SwitchTable] | type[PointsTable]] = {
    "ramp": RampTable,
    "switch": SwitchTable,
    "table": PointsTable,
}


class SpreadTable(Table):
    """[spread]"""

    car: RelativeSpread = _SPREAD.car
    run: RelativeSpread = _SPREAD.run

    def record(self) -> Spread:
        """The spread."""
        return Spread(self.car, self.run)


class FlowTestTable(Table):
    """[flow_test]"""

    volume: Annotated[float, BeforeValidator(Measure("volume", "0 mL", "100 L", above_lowest=True))]
    time: Annotated[float, BeforeValidator(Measure("time", "0 s", "60 min", above_lowest=True))]
    error: Annotated[float, BeforeValidator(Number(0, 0.5, "0.03", above_lowest=True, percent=True))] = 0.03
    date: Annotated[dt.date, BeforeValidator(day)] | None = None

    def record(self) -> FlowTest:
        """The flow test."""
        return FlowTest(self.volume, self.time, self.error, self.date)


class KeptTable(Table):
    """[[kept]]"""

    date: Annotated[dt.date, BeforeValidator(day)]
    factor: Annotated[float, BeforeValidator(Number(0.1, 10, "1.04"))]
    variation: Annotated[float, BeforeValidator(Number(0, 1, "0.05", above_lowest=True, percent=True))]
    event: Name | None = None

    def record(self) -> Kept:
        """The result."""
        return Kept(self.date, self.factor, self.variation, self.event or "")

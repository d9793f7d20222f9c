"""Other choices to buy: one change at a time against today's car, and what each does to the days' use and stops."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from planner.car import Blend, Car, Controller
from planner.compare_tanks import Days, Planner
from planner.compare_tanks.work import Pair
from planner.day import car_factor
from planner.errors import BadInput
from planner.planning.tank_choice import TankDay
from planner.use.tank_changes import BAFFLED_DAMPING, turned, with_sump

PSI = 6894.757293168
NOZZLE_STEP, BOOST_STEP, SHARE_STEP = 0.2, 2 * PSI, 0.1


@dataclass(frozen=True, slots=True)
class Change:
    """One thing bought or set otherwise: the kind of change, which way, and the car with it."""

    kind: str
    name: str
    car: Car
    in_series: int = 1


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change makes of the days: mean use of a day [m3], stops in all, impossible days; and the same today.

    use_more and stops_more are against today, over the days that both can drive for the stops.
    """

    kind: str
    name: str
    use: float
    stops: int
    impossible: int
    use_more: float
    stops_more: int
    impossible_more: int
    carried_more: float


def _nozzles(car: Car) -> Iterator[Change]:
    for factor, name in ((1 - NOZZLE_STEP, "smaller"), (1 + NOZZLE_STEP, "larger")):
        nozzles = tuple(replace(one, rated_flow=one.rated_flow * factor) for one in car.nozzles)
        yield Change("nozzle size", f"nozzles {NOZZLE_STEP:.0%} {name}", replace(car, nozzles=nozzles))


def _shifted(control: Controller, by: float) -> Controller:
    """The controller with its start moved by a pressure [Pa]; a table moves as a whole."""
    if control.kind == "table":
        return replace(control, points=tuple((boost + by, speed) for boost, speed in control.points))
    return replace(control, start=control.start + by)


def _boosts(car: Car) -> Iterator[Change]:
    control = car.controller
    for by, name in ((-BOOST_STEP, "earlier"), (BOOST_STEP, "later")):
        moved = _shifted(control, by)
        first = moved.points[0][0] if moved.points else moved.start
        if first >= 0 and (control.kind != "ramp" or moved.start < moved.full):
            yield Change("start boost", f"injection starts 2 psi {name}", replace(car, controller=moved))
    if control.kind == "ramp":
        for by, name in ((-BOOST_STEP, "lower"), (BOOST_STEP, "higher")):
            if control.start < control.full + by:
                moved = replace(control, full=control.full + by)
                yield Change("full boost", f"full pump speed 2 psi {name}", replace(car, controller=moved))


def _blends(car: Car) -> Iterator[Change]:
    today = car.blend.alcohol_share
    for by in (-SHARE_STEP, SHARE_STEP):
        share = round(today + by, 6)
        if 0 <= share <= 1:
            blend = Blend(share, car.blend.temperature)
            yield Change("blend", f"{share:.0%} methanol instead of {today:.0%}", replace(car, blend=blend))


def _tanks(car: Car) -> Iterator[Change]:
    pump = replace(car.pump, flow=tuple(2 * flow for flow in car.pump.flow))
    yield Change("second pump", "a second pump in parallel", replace(car, pump=pump))
    yield Change("second tank", "a second tank draining into the first", car, in_series=2)
    if car.tank.damping < BAFFLED_DAMPING:
        yield Change("baffles", "baffles", replace(car, tank=replace(car.tank, damping=BAFFLED_DAMPING)))
    for tank, side in zip(turned(car.tank), ("left", "right"), strict=False):
        yield Change("tank turned", f"tank turned 90° to the {side}", replace(car, tank=tank))
    sumped = with_sump(car.tank)
    if sumped is not None:
        yield Change("low sump", "a low sump under the pickup", replace(car, tank=sumped))


def changes_to(car: Car) -> tuple[Change, ...]:
    """Every change that can be made to a car, one at a time."""
    return (*_nozzles(car), *_boosts(car), *_blends(car), *_tanks(car))


def _pairs(days: Days, change: Change | None) -> list[Pair]:
    """Each day with the change made to its car; what a flow test said of today's car goes with it."""
    car, series = (change.car, change.in_series) if change else (days.car, 1)
    factor = car_factor(days.car)
    return [Pair(event, car, factor, series, days.long_gap) for event, _ in days.events]


def compare_changes(days: Days, planner: Planner) -> tuple[Changed, ...]:
    """What each change makes of the days in the first event's car, the one that moves use most first.

    A change that the model cannot answer is left out. Raises BadInput where today's own car cannot be planned.
    """
    changes = changes_to(days.car)
    today = planner.days(_pairs(days, None))
    found = []
    for change in changes:
        try:
            found.append(_changed(change, planner.days(_pairs(days, change)), today))
        except BadInput:
            continue
    return tuple(sorted(found, key=lambda one: (-abs(one.use_more), -abs(one.stops_more), one.name)))


def _changed(change: Change, days: Sequence[TankDay], today: Sequence[TankDay]) -> Changed:
    both = [(a, b) for a, b in zip(days, today, strict=True) if a.feasible and b.feasible]
    impossible = sum(not day.feasible for day in days)
    use, use_today = (sum(day.use for day in each) / len(each) for each in (days, today))
    return Changed(
        kind=change.kind,
        name=change.name,
        use=use,
        stops=sum(day.stops for day in days if day.feasible),
        impossible=impossible,
        use_more=use - use_today,
        stops_more=sum(a.stops - b.stops for a, b in both),
        impossible_more=impossible - sum(not day.feasible for day in today),
        carried_more=sum(a.carried - b.carried for a, b in both) / max(len(both), 1),
    )

"""What must hold between the keys of [tank]: the pickup inside, the switch below the limit, rising dips."""

from __future__ import annotations

from itertools import pairwise

from planner.files.tables import Findings, has
from planner.files.tank_tables import DipTableTable, TankTable, pickup_reach
from planner.physics.tank import DipTable, TankShape

_SMALLEST, _LARGEST = 0.05e-3, 0.5
_SLACK = 1e-9


def _mm(value: float) -> str:
    return f"{value * 1e3:.4g} mm"


def _litres(value: float) -> str:
    return f"{value * 1e3:.4g} L"


def check_tank(tank: TankTable, findings: Findings) -> None:
    """Note every fault between the keys of a tank, as far as the keys that it needs are sound."""
    if not has(tank, *tank.own):
        return
    if isinstance(tank, DipTableTable) and not _dips_sound(tank, findings):
        return
    shape = tank.inside()
    if not _SMALLEST <= shape.capacity <= _LARGEST:
        remedy = (
            f"it would hold {_litres(shape.capacity)}, where 0.05 L to 500 L is taken; check the units of its sizes"
        )
        findings.add("tank", None, remedy)
    elif has(tank, "fill_limit"):
        _check_limit(tank, shape, findings)
    if has(tank, "pickup"):
        _check_pickup(tank, shape, findings)


def _check_limit(tank: TankTable, shape: TankShape, findings: Findings) -> None:
    limit = tank.fill_limit * shape.capacity
    if has(tank, "low_level_switch") and tank.low_level_switch is not None and tank.low_level_switch >= limit:
        remedy = f"at or above the fill limit of {_litres(limit)}; write the volume left when the warning comes"
        findings.blame("tank.low_level_switch", remedy)
    if has(tank, "pickup"):
        highest = float(shape.level_from_volume(limit))
        if highest <= tank.pickup.height < shape.height:
            remedy = (
                f"at or above the fill limit, which stands at {_mm(highest)}; write its height above the tank's floor"
            )
            findings.blame("tank.pickup.height", remedy)


def _check_pickup(tank: TankTable, shape: TankShape, findings: Findings) -> None:
    pickup = tank.pickup.record()
    if pickup.height >= shape.height:
        remedy = f"outside the tank, which is {_mm(shape.height)} high inside; write its height above the tank's floor"
        findings.blame("tank.pickup.height", remedy)
        return
    reach = pickup_reach(shape, pickup)
    for name, offset, most in zip(("ahead", "left"), (pickup.ahead, pickup.left), reach, strict=True):
        if abs(offset) > most + _SLACK:
            remedy = (
                f"outside the tank, which reaches {_mm(most)} from its centre there; measure from the tank's centre"
            )
            findings.blame(f"tank.pickup.{name}", remedy)


def _dips_sound(tank: DipTableTable, findings: Findings) -> bool:
    before = len(findings.faults)
    if tank.dips[0] != (0.0, 0.0):
        findings.blame("tank.dips[1]", 'the first dip must be ["0 mm", "0 L"]')
    for number, (lower, upper) in enumerate(pairwise(tank.dips), 2):
        what = " and ".join(name for name, k in (("level", 0), ("volume", 1)) if upper[k] <= lower[k])
        if what:
            remedy = f"its {what} must be above the dip before, {_dip(lower)}; list the dips from the floor up"
            findings.blame(f"tank.dips[{number}]", remedy)
    if len(findings.faults) == before:
        _check_footprint(tank.inside(), findings)
    return len(findings.faults) == before


def _dip(dip: tuple[float, float]) -> str:
    return f"{_mm(dip[0])}, {_litres(dip[1])}"


def _check_footprint(shape: TankShape, findings: Findings) -> None:
    assert isinstance(shape, DipTable)
    room = shape.length * shape.width * shape.height
    if shape.capacity > 1.05 * room:
        remedy = (
            f"the last dip holds more than the footprint allows, {_litres(room)}; check length, width and the units"
        )
        findings.blame("tank.dips", remedy)

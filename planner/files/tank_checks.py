"""What must hold between the keys of [tank]: pickup and sump inside, the switch below the limit, rising dips."""

from __future__ import annotations

import math
from itertools import pairwise

from planner.files.pickup_reach import in_sump, pickup_reach
from planner.files.tables import Findings, has
from planner.files.tank_tables import DipTableTable, LyingCylinderTable, SumpTable, TankTable
from planner.physics.tank import DipTable, TankShape, UprightCylinder, WithSump

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
    if not has(tank, "sump") or (tank.sump is not None and not _sump_sound(tank, tank.sump, findings)):
        return
    shape = tank.whole()
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
            remedy = f"at or above the fill limit, which stands at {_mm(highest)}; {_height_remedy(shape)}"
            findings.blame("tank.pickup.height", remedy)


def _height_remedy(shape: TankShape) -> str:
    return f"write its height above the {'sump' if isinstance(shape, WithSump) else 'tank'}'s floor"


def _check_pickup(tank: TankTable, shape: TankShape, findings: Findings) -> None:
    pickup = tank.pickup.record()
    if pickup.height >= shape.height:
        remedy = f"outside the tank, which is {_mm(shape.height)} high inside; {_height_remedy(shape)}"
        findings.blame("tank.pickup.height", remedy)
        return
    where = pickup_reach(shape, pickup)
    for name, offset, (least, most) in zip(("ahead", "left"), (pickup.ahead, pickup.left), where, strict=True):
        if least - _SLACK <= offset <= most + _SLACK:
            continue
        if in_sump(shape, pickup):
            remedy = (
                f"outside the sump, which lies from {_mm(least)} to {_mm(most)} of the tank's centre there; move the "
                "pickup over the sump, or write a height above the sump's rim"
            )
        else:
            remedy = (
                f"outside the tank, which reaches {_mm(most)} from its centre there; measure from the tank's centre"
            )
        findings.blame(f"tank.pickup.{name}", remedy)


def _sump_sound(tank: TankTable, sump: SumpTable, findings: Findings) -> bool:
    """Whether the tank can have the sump: sound keys, a flat floor, and its box below that floor."""
    before = len(findings.faults)
    if isinstance(tank, LyingCylinderTable):
        remedy = "a lying cylinder has no flat floor for a sump; leave [tank.sump] out, or measure a dip table with it"
        findings.add("tank.sump", None, remedy)
    elif not has(sump, "length", "width", "height", "ahead", "left"):
        return False
    else:
        _check_sump(sump, tank.inside(), findings)
    return len(findings.faults) == before


def _check_sump(sump: SumpTable, main: TankShape, findings: Findings) -> None:
    if isinstance(main, UprightCylinder):
        corner = math.hypot(abs(sump.ahead) + sump.length / 2, abs(sump.left) + sump.width / 2)
        if corner > main.diameter / 2 + _SLACK:
            remedy = (
                f"its farthest corner lies {_mm(corner)} from the tank's centre, outside the round floor, which "
                f"reaches {_mm(main.diameter / 2)}; make the sump smaller or move it inward"
            )
            findings.add("tank.sump", None, remedy)
        return
    for size, offset, room, way in (("length", "ahead", main.length, "long"), ("width", "left", main.width, "wide")):
        reach = abs(getattr(sump, offset)) + getattr(sump, size) / 2
        if getattr(sump, size) > room + 2 * _SLACK:
            findings.blame(f"tank.sump.{size}", f"more than the tank's floor, which is {_mm(room)} {way}; write less")
        elif reach > room / 2 + _SLACK:
            remedy = (
                f"outside the tank's floor: the sump would reach {_mm(reach)} from the tank's centre, where the floor "
                f"ends at {_mm(room / 2)}; move it inward or make it smaller"
            )
            findings.blame(f"tank.sump.{offset}", remedy)


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

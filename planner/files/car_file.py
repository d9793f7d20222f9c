"""car.toml into a Car: every fault of the file is reported at once."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

from planner.car import Car, Tank
from planner.files import car_tables as tables
from planner.files.fields import Choice, name_text
from planner.files.tables import Findings, Table, has, homes
from planner.files.tank_checks import check_tank
from planner.files.tank_tables import SHAPES, TankTable
from planner.files.toml_text import parsed, read_text
from planner.physics.blend import freezing_point

Points = tuple[tuple[float, float], ...]
_KEYS = ("name", "blend", "tank", "pump", "line", "nozzle", "controller", "spread", "flow_test", "kept")
_TABLES: dict[str, type[Table]] = {
    "[blend]": tables.BlendTable,
    "[tank]": TankTable,
    "[pump]": tables.PumpTable,
    "[line]": tables.LineTable,
    "[[nozzle]]": tables.NozzleTable,
    "[controller]": tables.RampTable,
    "[spread]": tables.SpreadTable,
    "[flow_test]": tables.FlowTestTable,
    "[[kept]]": tables.KeptTable,
}
_HOMES = homes(_TABLES)


def read_car(path: Path | str) -> Car:
    """The car of a file such as car.toml. Raises BadInput with every fault of the file."""
    return parse_car(read_text(Path(path), str(path)), str(path))


def parse_car(text: str, shown: str) -> Car:
    """The car that a TOML text describes; `shown` is the file's name in faults. Raises BadInput."""
    document = parsed(text, shown, "car")
    findings = Findings(shown, document, _HOMES)
    found = findings.top_level(document, _KEYS)
    parts = _parts(found, findings)
    _check(parts, findings)
    findings.raise_any()
    nozzles = tuple(nozzle.record() for nozzle in parts.pop("nozzle"))
    kept = tuple(sorted((row.record() for row in parts.pop("kept")), key=lambda row: row.date))
    records: dict[str, Any] = {key: getattr(part, "record", lambda part=part: part)() for key, part in parts.items()}
    return Car(nozzles=nozzles, kept=kept, assumed=frozenset(findings.assumed), **records)


def parse_tank(document: dict[str, Any], shown: str) -> Tank:
    """The tank of a document that holds [tank], with a name or none; `shown` names the file. Raises BadInput."""
    findings = Findings(shown, document, _HOMES)
    found = findings.top_level(document, ("name", "tank"))
    table = _by_kind(SHAPES, found.get("tank"), "tank", "shape", findings)
    if table:
        check_tank(table, findings)
    findings.raise_any()
    tank: Tank = table.record()
    return tank


def _parts(found: dict[str, Any], findings: Findings) -> dict[str, Any]:
    """Each table of the file read by itself; what is not sound in one does not hide the faults of another."""
    test = found.get("flow_test")
    return {
        "name": findings.value(name_text, found, "name"),
        "blend": findings.read(tables.BlendTable, found.get("blend"), "blend"),
        "tank": _by_kind(SHAPES, found.get("tank"), "tank", "shape", findings),
        "pump": findings.read(tables.PumpTable, found.get("pump"), "pump"),
        "line": findings.read_or_default(tables.LineTable, found.get("line"), "line"),
        "nozzle": findings.read_each(tables.NozzleTable, found.get("nozzle"), "nozzle"),
        "controller": _by_kind(tables.CONTROLLERS, found.get("controller"), "controller", "kind", findings),
        "spread": findings.read_or_default(tables.SpreadTable, found.get("spread"), "spread"),
        "flow_test": None if test is None else findings.read(tables.FlowTestTable, test, "flow_test"),
        "kept": findings.read_each(tables.KeptTable, found["kept"], "kept") if "kept" in found else [],
    }


def _by_kind(kinds: Any, data: object, key: str, chooser: str, findings: Findings) -> Any:
    """A table whose keys depend on one of them: tank.shape, controller.kind."""
    if not isinstance(data, dict):
        return findings.read(Table, data, key)
    kind = findings.value(Choice(chooser, tuple(kinds)), data, f"{key}.{chooser}")
    return None if kind is None else findings.read(kinds[kind], data, key)


def _check(parts: dict[str, Any], findings: Findings) -> None:
    if has(parts["blend"], "alcohol_share", "temperature"):
        _check_frozen(parts["blend"], findings)
    if parts["tank"]:
        check_tank(parts["tank"], findings)
    if has(parts["pump"], "curve"):
        _check_curve(parts["pump"].curve, findings)
        if has(parts["line"], "opening_pressure"):
            _check_opening(parts["line"].opening_pressure, parts["pump"].curve, findings)
    if has(parts["controller"], "start", "full") and parts["controller"].full <= parts["controller"].start:
        remedy = (
            f"must be above start, {_bar(parts['controller'].start)}; write the boost where the pump runs at full speed"
        )
        findings.blame("controller.full", remedy)
    if has(parts["controller"], "points"):
        _check_points(parts["controller"].points, findings)


def _check_frozen(blend: tables.BlendTable, findings: Findings) -> None:
    freezes = float(freezing_point(blend.alcohol_share))
    if blend.temperature < freezes - 1:
        remedy = f"frozen there: this blend freezes at {freezes:.0f} degC; write the temperature that it is used at"
        findings.blame("blend.temperature", remedy)


def _bar(pressure: float) -> str:
    return f"{pressure / 1e5:.4g} bar"


def _check_curve(curve: Points, findings: Findings) -> None:
    """The pump curve starts at no pressure; along it the pressure rises and the flow never does."""
    unsorted = [number for number, (one, two) in enumerate(pairwise(curve), 2) if two[1] <= one[1]]
    for number in unsorted:
        remedy = "its pressure must be above the point before; list the points from 0 bar up"
        findings.blame(f"pump.curve[{number}]", remedy)
    if not unsorted and curve[0][1] > 0:
        findings.blame("pump.curve[1]", 'begin with the flow at no pressure, such as ["1.9 L/min", "0 bar"]')
    if curve[0][0] <= 0:
        findings.blame("pump.curve[1]", "the pump gives nothing at its first point; write its flow at 0 bar")
    for number, (one, two) in enumerate(pairwise(curve), 2):
        if not unsorted and two[0] > one[0]:
            remedy = (
                "the flow rises with pressure, which no pump's does; write a flow no larger than at the point before"
            )
            findings.blame(f"pump.curve[{number}]", remedy)


def _check_opening(opening: float, curve: Points, findings: Findings) -> None:
    if opening >= max(pressure for _, pressure in curve):
        remedy = "the pump's curve never reaches that pressure, so nothing would flow; check the unit"
        findings.blame("line.opening_pressure", remedy)


def _check_points(points: Points, findings: Findings) -> None:
    for number, (one, two) in enumerate(pairwise(points), 2):
        if two[0] <= one[0]:
            remedy = f"its boost must be above the point before, {_bar(one[0])}; list the points by rising boost"
            findings.blame(f"controller.points[{number}]", remedy)

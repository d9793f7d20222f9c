"""A car file as a form: its fields, its lists, and the defaults that it may leave out."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from dashboard.presenters.form import NO, YES, FieldSpec, GridSpec, form_of
from planner.car import Blend, FlowTest, Line, Pickup, Spread
from planner.files.quantity_text import quantity_text
from planner.files.saving import open_file
from planner.files.tank_tables import SHAPES, TankTable

_FLAG = ((YES, YES), (NO, NO))
HEAD_FIELDS = (FieldSpec("name", "Name"),)
BLEND_FIELDS = (
    FieldSpec("blend.alcohol_share", "Methanol, share by volume", "number", "of the parts before mixing; 0.5 is half"),
    FieldSpec("blend.temperature", "Temperature"),
)
SHAPE_FIELD = FieldSpec("tank.shape", "Shape", options=tuple((name, name) for name in SHAPES))
SIZE_FIELDS = (
    FieldSpec("tank.length", "Length inside", hint="along the car"),
    FieldSpec("tank.width", "Width inside", hint="across the car"),
    FieldSpec("tank.height", "Height inside"),
    FieldSpec("tank.diameter", "Diameter inside"),
    FieldSpec("tank.axis", "Axis", options=(("x", "along the car"), ("y", "across the car"))),
)
TANK_FIELDS = (
    FieldSpec("tank.fill_limit", "May be filled to", "number", "share of the inside, such as 0.95"),
    FieldSpec("tank.pickup.ahead", "Pickup ahead of centre", hint="minus is behind"),
    FieldSpec("tank.pickup.left", "Pickup left of centre", hint="minus is right"),
    FieldSpec("tank.pickup.height", "Pickup above the floor"),
    FieldSpec("tank.low_level_switch", "Low-level switch at", hint="empty for none"),
    FieldSpec("tank.empty_mass", "Mass when empty"),
    FieldSpec("tank.damping", "Damping of sloshing", "number", "bare 0.15"),
    FieldSpec("tank.pickup_margin", "Fluid wanted over the pickup"),
)
SUMP_FIELDS = (
    FieldSpec("tank.sump.length", "Sump's length", hint="empty for no sump"),
    FieldSpec("tank.sump.width", "Sump's width"),
    FieldSpec("tank.sump.height", "Sump's depth", hint="heights then count from its floor"),
    FieldSpec("tank.sump.ahead", "Sump ahead of centre"),
    FieldSpec("tank.sump.left", "Sump left of centre"),
)
LINE_FIELDS = (
    FieldSpec("line.length", "Length"),
    FieldSpec("line.inner_diameter", "Inner diameter"),
    FieldSpec("line.opening_pressure", "Valve opens at"),
    FieldSpec("line.shutoff_valve", "Shut-off valve", "flag", options=_FLAG),
)
KIND_FIELD = FieldSpec(
    "controller.kind", "Kind", options=(("ramp", "ramp"), ("switch", "switch, on or off"), ("table", "table"))
)
CONTROLLER_FIELDS = (
    FieldSpec("controller.start", "Starts at boost"),
    FieldSpec("controller.full", "Full speed at boost"),
    FieldSpec("controller.minimum_speed", "Speed at start", "number", "share of full, such as 0.3"),
)
SPREAD_FIELDS = (
    FieldSpec("spread.car", "Car, all day", "number", "relative, such as 0.10"),
    FieldSpec("spread.run", "From session to session", "number"),
)
TEST_FIELDS = (
    FieldSpec("flow_test.volume", "Collected", hint="full pump speed, no boost"),
    FieldSpec("flow_test.time", "In"),
    FieldSpec("flow_test.error", "Error of the measurement", "number", "relative"),
    FieldSpec("flow_test.date", "Date", "date", "YYYY-MM-DD, if known"),
)
CAR_FIELDS = (
    *HEAD_FIELDS,
    *BLEND_FIELDS,
    SHAPE_FIELD,
    *SIZE_FIELDS,
    *TANK_FIELDS,
    *SUMP_FIELDS,
    *LINE_FIELDS,
    KIND_FIELD,
    *CONTROLLER_FIELDS,
    *SPREAD_FIELDS,
    *TEST_FIELDS,
)
PLACES = (
    ("", "before throttle (assumed)"),
    ("before throttle", "before throttle"),
    ("after throttle", "after throttle"),
)
NOZZLES = GridSpec(
    "nozzle",
    (
        FieldSpec("count", "Count", "number"),
        FieldSpec("rated_flow", "Rated flow"),
        FieldSpec("rated_pressure", "at"),
        FieldSpec("place", "Place", options=PLACES),
        FieldSpec("opens_at", "Opens at boost"),
    ),
)
CURVE = GridSpec("pump.curve", (FieldSpec("flow", "Flow"), FieldSpec("pressure", "against")), pairs=True)
POINTS = GridSpec("controller.points", (FieldSpec("boost", "Boost"), FieldSpec("speed", "Speed", "number")), pairs=True)
DIPS = GridSpec("tank.dips", (FieldSpec("level", "Level"), FieldSpec("volume", "Volume")), pairs=True)
KEPT = GridSpec(
    "kept",
    (
        FieldSpec("date", "Date", "date"),
        FieldSpec("factor", "Factor", "number"),
        FieldSpec("variation", "Uncertain by", "number"),
        FieldSpec("event", "Event"),
    ),
)
CAR_GRIDS = (NOZZLES, CURVE, POINTS, DIPS, KEPT)
# Which keys belong to which shape of tank and kind of controller; the others are left out of the file.
SHAPE_KEYS = {name: table.own for name, table in SHAPES.items()}
KIND_KEYS = {"ramp": ("start", "full", "minimum_speed"), "switch": ("start",), "table": ("points",)}


def car_defaults() -> dict[str, str]:
    """The text of each value that a car may leave out."""
    line, spread, pickup, blend = Line(), Spread(), Pickup(), Blend(0.5)
    tank = TankTable.model_fields
    return {
        "blend.temperature": quantity_text(blend.temperature, "temperature"),
        "tank.axis": "x",
        "tank.fill_limit": f"{tank['fill_limit'].default:g}",
        "tank.pickup.ahead": quantity_text(pickup.ahead, "length"),
        "tank.pickup.left": quantity_text(pickup.left, "length"),
        "tank.pickup.height": quantity_text(pickup.height, "length"),
        "tank.damping": f"{tank['damping'].default:g}",
        "tank.pickup_margin": quantity_text(tank["pickup_margin"].default, "length"),
        "line.length": quantity_text(line.length, "length"),
        "line.inner_diameter": quantity_text(line.inner_diameter, "length"),
        "line.opening_pressure": quantity_text(line.opening_pressure, "pressure"),
        "line.shutoff_valve": NO,
        "spread.car": f"{spread.car:g}",
        "spread.run": f"{spread.run:g}",
        "flow_test.error": f"{FlowTest(1, 1).error:g}",
    }


def car_form(path: Path) -> dict[str, Any]:
    """The car's file as a form. Raises BadInput for a file that is not TOML."""
    return {**form_of(open_file(path), CAR_FIELDS, CAR_GRIDS, car_defaults()), "homes": {}}


def fitted(draft: Mapping[str, Any], form: Mapping[str, Any]) -> dict[str, Any]:
    """A draft whose keys fit the tank's shape and controller's kind that it chooses: those of others are emptied."""
    values, grids = dict(draft.get("values") or {}), dict(draft.get("grids") or {})
    shape = values.get("tank.shape", form["values"]["tank.shape"])
    if shape == "lying cylinder":
        values |= {spec.key: "" for spec in SUMP_FIELDS}
    kind = values.get("controller.kind", form["values"]["controller.kind"])
    for table, own, keys, listed in (
        ("tank", SHAPE_KEYS.get(shape), SHAPE_KEYS, "dips"),
        ("controller", KIND_KEYS.get(kind), KIND_KEYS, "points"),
    ):
        for name in {key for one in keys.values() for key in one} - set(own or ()) if own else ():
            if name == listed:
                grids[f"{table}.{name}"] = []
            else:
                values[f"{table}.{name}"] = ""
    return {**draft, "values": values, "grids": grids}

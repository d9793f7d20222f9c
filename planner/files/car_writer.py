"""A Car as the text of a fresh car.toml, which reads back to the same record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from planner.car import Car, Controller, Nozzle, Tank
from planner.files.quantity_text import number, pairs, quantity, quoted, yes_or_no
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

Lines = dict[str, str]


def car_toml(car: Car) -> str:
    """The text of a car file. Keys that the car's own file left to their defaults are left out again."""
    parts = [f"name = {quoted(car.name)}\n"]
    for header, key, lines in _tables(car):
        kept = told(lines, key, car.assumed)
        if kept or header.startswith("[["):
            parts.append("\n".join([header, *kept]) + "\n")
    return "\n".join(parts)


def told(lines: Mapping[str, str], key: str, assumed: Iterable[str]) -> list[str]:
    """The lines of a table, but for the keys that are assumed and those without a value."""
    return [f"{name} = {text}" for name, text in lines.items() if text and f"{key}.{name}" not in assumed]


def _tables(car: Car) -> Iterator[tuple[str, str, Lines]]:
    blend, line, spread = car.blend, car.line, car.spread
    temperature = quantity(blend.temperature, "temperature")
    yield "[blend]", "blend", {"alcohol_share": number(blend.alcohol_share), "temperature": temperature}
    yield "[tank]", "tank", _shape(car.tank.shape) | _tank(car.tank, car.assumed)
    if isinstance(car.tank.shape, WithSump):
        yield "[tank.sump]", "tank.sump", _sump(car.tank.shape)
    rows = zip(car.pump.flow, car.pump.pressure, strict=True)
    curve = pairs([[quantity(flow, "flow"), quantity(pressure, "pressure")] for flow, pressure in rows])
    yield "[pump]", "pump", {"curve": curve}
    yield (
        "[line]",
        "line",
        {
            "length": quantity(line.length, "length"),
            "inner_diameter": quantity(line.inner_diameter, "length"),
            "opening_pressure": quantity(line.opening_pressure, "pressure"),
            "shutoff_valve": yes_or_no(line.shutoff_valve),
        },
    )
    for count, nozzle in enumerate(car.nozzles, 1):
        yield "[[nozzle]]", f"nozzle[{count}]", _nozzle(nozzle)
    yield "[controller]", "controller", _controller(car.controller)
    yield "[spread]", "spread", {"car": number(spread.car), "run": number(spread.run)}
    if car.flow_test:
        test = car.flow_test
        volume, time = quantity(test.volume, "volume"), quantity(test.time, "time")
        day = test.date.isoformat() if test.date else ""
        yield "[flow_test]", "flow_test", {"volume": volume, "time": time, "error": number(test.error), "date": day}
    for count, row in enumerate(car.kept, 1):
        factor, variation = number(row.factor), number(row.variation)
        event = quoted(row.event) if row.event else ""
        lines = {"date": row.date.isoformat(), "factor": factor, "variation": variation, "event": event}
        yield "[[kept]]", f"kept[{count}]", lines


def _sump(shape: WithSump) -> Lines:
    sizes = {"length": shape.sump.length, "width": shape.sump.width, "height": shape.sump.height}
    return {key: quantity(size, "length") for key, size in {**sizes, "ahead": shape.ahead, "left": shape.left}.items()}


def _shape(shape: TankShape) -> Lines:
    extra: Lines = {}
    match shape:
        case WithSump():
            return _shape(shape.main)
        case Box():
            sizes = {key: getattr(shape, key) for key in ("length", "width", "height")}
            name = "box"
        case UprightCylinder():
            sizes = {"diameter": shape.diameter, "height": shape.height}
            name = "upright cylinder"
        case LyingCylinder():
            sizes = {"diameter": shape.diameter, "length": shape.axial_length}
            name, extra = "lying cylinder", {"axis": quoted(shape.axis)}
        case DipTable():
            rows = zip(shape.levels, shape.volumes, strict=True)
            dips = pairs([[quantity(level, "length"), quantity(volume, "volume")] for level, volume in rows])
            sizes = {"length": shape.length, "width": shape.width}
            name, extra = "dip table", {"dips": dips}
    return {"shape": quoted(name), **{key: quantity(size, "length") for key, size in sizes.items()}, **extra}


def _tank(tank: Tank, assumed: Iterable[str]) -> Lines:
    pickup = {key: quantity(getattr(tank.pickup, key), "length") for key in ("ahead", "left", "height")}
    kept = told(pickup, "tank.pickup", assumed)
    switch, mass = tank.low_level_switch, tank.empty_mass
    return {
        "fill_limit": number(tank.fill_limit),
        "pickup": f"{{ {', '.join(kept)} }}" if kept else "",
        "low_level_switch": "" if switch is None else quantity(switch, "volume"),
        "empty_mass": "" if mass is None else quantity(mass, "mass"),
        "damping": number(tank.damping),
        "pickup_margin": quantity(tank.pickup_margin, "length"),
    }


def _nozzle(nozzle: Nozzle) -> Lines:
    return {
        "count": str(nozzle.count),
        "rated_flow": quantity(nozzle.rated_flow, "flow"),
        "rated_pressure": quantity(nozzle.rated_pressure, "pressure"),
        "place": quoted(nozzle.place),
        "opens_at": "" if nozzle.opens_at is None else quantity(nozzle.opens_at, "pressure"),
    }


def _controller(controller: Controller) -> Lines:
    lines = {"kind": quoted(controller.kind)}
    if controller.kind == "table":
        return lines | {"points": pairs([[quantity(boost, "pressure"), number(s)] for boost, s in controller.points])}
    lines["start"] = quantity(controller.start, "pressure")
    if controller.kind == "ramp":
        lines["full"] = quantity(controller.full, "pressure")
        lines["minimum_speed"] = number(controller.minimum_speed)
    return lines

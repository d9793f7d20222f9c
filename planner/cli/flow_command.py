"""`fillmark flow CAR`: what the car injects at each boost."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

import numpy as np
from rich.table import Table

from planner.car import Car
from planner.cli.output import console, print_json
from planner.files.car_file import read_car
from planner.units import from_si
from planner.use.flow_curve import FlowCurve, flow_curve

HELP = "flow against boost"
LOWEST, STEP, ABOVE_FULL = -60e3, 5e3, 60e3


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("car", type=Path, metavar="CAR", help="the car's TOML file")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the flow curve."""
    car = read_car(args.car)
    table = flow_json(car)
    if args.json:
        print_json(table)
    else:
        _show(table)
    return 0


def shown_boosts(car: Car) -> np.ndarray:
    """Boosts [Pa gauge] worth showing: from vacuum to well above the controller's last setting."""
    control = car.controller
    last = max([control.start, control.full, *(boost for boost, _ in control.points)])
    top = np.ceil((max(last, 100e3) + ABOVE_FULL) / STEP) * STEP
    marks = [control.start, control.full, *(boost for boost, _ in control.points)]
    marks += [nozzle.opens_at for nozzle in car.nozzles if nozzle.opens_at is not None]
    return np.unique([*np.arange(LOWEST, top + 1, STEP), *(mark for mark in marks if LOWEST < mark < top)])


def flow_json(car: Car) -> dict[str, Any]:
    """The flow curve as plain data in kPa gauge and mL/min."""
    curve, boost = flow_curve(car), shown_boosts(car)
    return {
        "car": car.name,
        "boost_kPa": [round(float(b), 3) for b in from_si(boost, "kPa", "pressure")],
        "flow_mL_min": [round(float(q), 2) for q in from_si(curve.flow(boost), "mL/min", "flow")],
        "siphon_mL_min": [round(float(q), 2) for q in from_si(curve.siphon(boost), "mL/min", "flow")],
        "pump_speed": [round(float(s), 4) for s in _at(curve, curve.pump_speed, boost)],
        "line_pressure_kPa": [round(float(p) / 1e3, 2) for p in _at(curve, curve.line_pressure, boost)],
        "largest_flow_mL_min": round(float(from_si(curve.largest, "mL/min", "flow")), 1),
    }


def _at(curve: FlowCurve, values: np.ndarray, boost: np.ndarray) -> np.ndarray:
    """Values at knots (m + 1,) read at boosts (n,): the knot at or below, then straight to the next where both run."""
    place = curve.knots.locate(boost)
    left, right = values[place.segment], values[place.segment + 1]
    share = place.offset / np.diff(curve.boost)[place.segment]
    return np.where((left > 0) & (right > 0), left + share * (right - left), left)


def _show(table: dict[str, Any]) -> None:
    out, grid = console(), Table(box=None, pad_edge=False, title=table["car"], title_justify="left")
    for heading in ("boost kPa", "psi", "pump speed", "pressure kPa", "flow mL/min", "siphon mL/min"):
        grid.add_column(heading, justify="right")
    for row in zip(
        table["boost_kPa"],
        table["pump_speed"],
        table["line_pressure_kPa"],
        table["flow_mL_min"],
        table["siphon_mL_min"],
        strict=True,
    ):
        boost, speed, pressure, flow, siphon = row
        if speed > 0 or siphon > 0:
            psi = from_si(boost * 1e3, "psi", "pressure")
            cells = (f"{boost:.0f}", f"{psi:.1f}", f"{speed:.2f}", f"{pressure:.0f}", f"{flow:.0f}", f"{siphon:.0f}")
            grid.add_row(*cells)
    out.print(grid)
    out.print(f"Largest flow {table['largest_flow_mL_min']:.0f} mL/min.")

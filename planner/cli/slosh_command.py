"""`fillmark slosh CAR [--log LOG]`: which fill levels are risky, and why."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any, get_args

from rich.table import Table

from planner.car import Car
from planner.cli.output import console, print_result
from planner.cli.recordings import read_log, reading_arguments, reading_of
from planner.day.slosh import slosh_json
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Per, Reading
from planner.files.car_file import read_car
from planner.use.flow_curve import flow_curve
from planner.use.motion import CAUTIOUS_PER, always_flowing

HELP = "risk at each fill level"
NO_PRESSURE = "{name} holds no pressure, so fluid is taken to flow all the time."


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("car", type=Path, metavar="CAR", help="the car's TOML file")
    parser.add_argument("--log", type=Path, action="append", default=[], metavar="LOG", help="a recording; may repeat")
    parser.add_argument(
        "--per",
        choices=get_args(Per),
        default=CAUTIOUS_PER,
        help="kind of event whose cornering is assumed where no recording tells (default: %(default)s)",
    )
    reading_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the risk at each fill level."""
    car, reading = read_car(args.car), reading_of(args)
    traces, notices = _traces(car, args.log, reading, args.forget)
    try:
        result = slosh_json(car, traces, args.per)
    except OutsideModel as reason:
        raise BadInput([Fault(str(args.car), "", "", str(reason))]) from reason
    result["notices"] = [*notices, *result["notices"]]
    print_result(result, as_json=args.json, show=_show)
    return 0


def _traces(car: Car, logs: list[Path], reading: Reading, forgetting: bool) -> tuple[list[Trace], list[str]]:
    """Runs of all recordings, and what their reading must tell."""
    traces: list[Trace] = []
    notices: list[str] = []
    for path in logs:
        log = read_log(path, reading, forgetting=forgetting)
        notices += [f"{path.name}: {notice}" for notice in (*log.notices, *log.recording.notices)]
        runs = log.runs
        if not log.recording.boost_known:
            notices.append(NO_PRESSURE.format(name=path.name))
            runs = tuple(always_flowing(trace, flow_curve(car)) for trace in runs)
        traces += runs
    return traces, list(dict.fromkeys(notices))


def _mark(row: dict[str, Any]) -> str:
    words = [word for word in ("borderline", "washing", "resonant") if row[word]]
    return ", ".join(words)


def _show(result: dict[str, Any]) -> None:
    out = console()
    out.print(result["answer"], style="bold")
    out.print()
    grid = Table(box=None, pad_edge=False)
    for heading in ("full", "level L", "bare of flow", "longest s", "mode Hz", "moves kg", "mounts N"):
        grid.add_column(heading, justify="right")
    grid.add_column("remarks")
    for row in result["levels"][1::2]:
        grid.add_row(*_cells(row))
    out.print(grid)
    out.print()
    out.print(
        "Bare of flow: share of the time with flow in which the pickup is bare or under less than its margin, by the "
        "surface that says more. Longest: the longest such spell of the moving surface. Mounts: peak sideways force."
    )
    for limit in result["limits"]:
        out.print(limit)


def _cells(row: dict[str, Any]) -> tuple[str, ...]:
    force = f"{row['mount_force_N']:.0f} to {row['mount_force_high_N']:.0f}"
    return (
        f"{row['fill_share']:.0%}",
        f"{row['level_L']:.2f}",
        row["starving"],
        f"{row['longest_starving_s']:.1f}",
        f"{row['first_mode_Hz']:.2f}",
        f"{row['moving_mass_kg']:.2f}",
        force,
        _mark(row),
    )

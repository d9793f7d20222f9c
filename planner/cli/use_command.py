"""`fillmark use CAR LOG...`: fluid that a car would use over recordings."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rich.table import Table

from planner.car import Car
from planner.cli.options import numbers
from planner.cli.output import console, print_result
from planner.driving.recording import Recording, read_recording
from planner.driving.report import columns_json, gaps_json
from planner.driving.runs import runs_of
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Reading
from planner.files.car_file import read_car
from planner.use.consumption import TraceUse, trace_use
from planner.use.flow_curve import FlowCurve, flow_curve

HELP = "fluid a car would use over recordings"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("car", type=Path, metavar="CAR", help="the car's TOML file")
    parser.add_argument("log", type=Path, nargs="+", metavar="LOG", help="recordings: any table of numbers")
    reading_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def reading_arguments(parser: argparse.ArgumentParser) -> None:
    """The options that say how to read a recording where guessing is not enough."""
    parser.add_argument("--column", action="append", default=[], metavar="MEANING=NAME", help="which column is what")
    parser.add_argument("--unit", action="append", default=[], metavar="MEANING=UNIT", help="the unit of a column")
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--absolute", action="store_true", help="the pressure counts from vacuum")
    kind.add_argument("--gauge", action="store_true", help="the pressure counts from outside air")
    parser.add_argument("--ambient", metavar="PRESSURE", help='outside air, such as "98 kPa"')
    parser.add_argument("--rate", type=float, metavar="HZ", help="rows a second, where there is no time column")
    parser.add_argument("--split-column", metavar="NAME", help="a run or lap ends where this column changes")
    parser.add_argument("--split-stops", metavar="TIME", help='a run ends at a stop longer than this, such as "20 s"')


def _pairs(texts: Sequence[str], option: str) -> tuple[tuple[str, str], ...]:
    for text in texts:
        if not all(part.strip() for part in text.partition("=")[::2]):
            raise BadInput([Fault("", option, text, f"write {option} MEANING=NAME, such as {option} boost=MAP")])
    return tuple((text.partition("=")[0].strip(), text.partition("=")[2].strip()) for text in texts)


def reading_of(args: argparse.Namespace) -> Reading:
    """The reading that the options ask for. Raises BadInput."""
    if args.rate is not None and not 0 < args.rate <= 1e5:
        raise BadInput([Fault("", "--rate", str(args.rate), "write the rows a second, between 0 and 100000")])
    given = numbers(args, {"ambient": "pressure", "split_stops": "time"})
    return Reading(
        columns=_pairs(args.column, "--column"),
        units=_pairs(args.unit, "--unit"),
        absolute=True if args.absolute else False if args.gauge else None,
        ambient=given["ambient"],
        rate=args.rate,
        split_column=args.split_column,
        split_stops=given["split_stops"],
    )


def run(args: argparse.Namespace) -> int:
    """Print the use over each recording and run."""
    car, reading = read_car(args.car), reading_of(args)
    recordings = [_readable(path, reading) for path in args.log]
    result = use_json(car, recordings, reading)
    print_result(result, as_json=args.json, show=_show)
    return 0


def _readable(path: Path, reading: Reading) -> Recording:
    recording = read_recording(path, reading)
    if not recording.boost_known:
        remedy = "no pressure column was found; say which one it is with --column boost=NAME"
        raise BadInput([Fault(str(path), "boost", "", remedy)])
    return recording


def use_json(car: Car, recordings: Sequence[Recording], reading: Reading) -> dict[str, Any]:
    """Use over recordings as plain data; totals are over all of them."""
    curve = flow_curve(car)
    runs = [(trace.name, _use(curve, trace)) for r in recordings for trace in runs_of(r, reading)]
    whole = [_use(curve, r.trace) for r in recordings]
    files = [r.trace.name for r in recordings]
    return {
        "car": car.name,
        "use_L": sum(use.injected for use in whole) * 1e3,
        "siphon_L": sum(use.siphoned for use in whole) * 1e3,
        "duration_s": sum(use.duration for use in whole),
        "recorded_s": sum(use.recorded for use in whole),
        "flowing_s": sum(use.flowing for use in whole),
        "largest_flow_mL_min": max(use.largest_flow for use in whole) * 6e7,
        "largest_boost_kPa": max(use.largest_boost for use in whole) / 1e3,
        "gaps": [{"file": f, **gap} for f, r in zip(files, recordings, strict=True) for gap in gaps_json(r)],
        "columns": [
            {"file": f, **column} for f, r in zip(files, recordings, strict=True) for column in columns_json(r)
        ],
        "ambient": [
            {"file": f, "absolute": r.absolute, "ambient_kPa": r.ambient / 1e3, "how": r.ambient_how}
            for f, r in zip(files, recordings, strict=True)
        ],
        "spikes_removed": sum(r.spikes_removed for r in recordings),
        "runs": [_run_json(name, use) for name, use in runs],
        "notices": list(dict.fromkeys(f"{f}: {n}" for f, r in zip(files, recordings, strict=True) for n in r.notices)),
    }


def _use(curve: FlowCurve, trace: Any) -> TraceUse:
    try:
        return trace_use(curve, trace)
    except OutsideModel as reason:
        raise BadInput([Fault(trace.name, "boost", "", str(reason))]) from reason


def _run_json(name: str, use: TraceUse) -> dict[str, Any]:
    return {
        "name": name,
        "use_L": use.injected * 1e3,
        "siphon_L": use.siphoned * 1e3,
        "duration_s": use.duration,
        "recorded_s": use.recorded,
        "flowing_s": use.flowing,
        "largest_flow_mL_min": use.largest_flow * 6e7,
        "largest_boost_kPa": use.largest_boost / 1e3,
    }


def _show(result: dict[str, Any]) -> None:
    out = console()
    out.print(f"[bold]{result['use_L']:.3f} L[/] over {result['recorded_s']:.0f} s recorded", end="")
    missing = result["duration_s"] - result["recorded_s"]
    out.print(f" ({missing:.0f} s more not recorded)" if missing > 0.5 else "", end="")
    out.print(f", flowing for {result['flowing_s']:.0f} s, at most {result['largest_flow_mL_min']:.0f} mL/min.")
    if result["siphon_L"] > 0:
        out.print(f"Siphoned beside that: {result['siphon_L']:.3f} L.")
    runs = Table(box=None, pad_edge=False)
    for heading in ("run", "use L", "flowing s", "recorded s", "peak boost kPa"):
        runs.add_column(heading, justify="left" if heading == "run" else "right")
    for run in result["runs"]:
        numbers = (run["use_L"], run["flowing_s"], run["recorded_s"], run["largest_boost_kPa"])
        runs.add_row(run["name"], *(f"{n:.{d}f}" for n, d in zip(numbers, (3, 1, 1, 0), strict=True)))
    out.print(runs)
    read = Table(box=None, pad_edge=False)
    for heading in ("column", "read as", "unit", "new every s", "because"):
        read.add_column(heading)
    for column in result["columns"]:
        every = column["refresh_interval_s"]
        shown = "" if every is None else f"{every:.3g}"
        read.add_row(column["name"], column["meaning"], column["unit"], shown, column["how"])
    out.print(read)
    for said in result["ambient"]:
        out.print(f"{said['file']}: outside air {said['ambient_kPa']:.1f} kPa, {said['how']}.")

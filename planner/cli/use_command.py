"""`fillmark use CAR LOG...`: fluid that a car would use over recordings."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from rich.table import Table

from planner.car import Car
from planner.cli.output import console, print_result
from planner.cli.recordings import ReadLog, read_log, reading_arguments, reading_of
from planner.driving.gaps import GAP_INTERVALS, SHORTEST_GAP
from planner.driving.report import columns_json, gaps_json
from planner.driving.trace import Trace
from planner.errors import BadInput, Fault, OutsideModel
from planner.event import Reading
from planner.files.car_file import read_car
from planner.use.consumption import TraceUse, trace_use
from planner.use.flow_curve import FlowCurve, flow_curve
from planner.use.spread import share_covered, shrunk_variation

MOST_GAPS = 8
HELP = "fluid a car would use over recordings"
NO_BOOST = (
    "holds no manifold pressure, so no use can be worked out; what it tells of cornering is for "
    "fillmark slosh CAR --log FILE. If one of its columns is boost, say which with --column boost=NAME"
)


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("car", type=Path, metavar="CAR", help="the car's TOML file")
    parser.add_argument("log", type=Path, nargs="+", metavar="LOG", help="recordings: any table of numbers")
    reading_arguments(parser)
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the use over each recording and run."""
    car, reading = read_car(args.car), reading_of(args)
    result = use_json(car, _readable(args.log, reading, args.forget))
    print_result(result, as_json=args.json, show=_show)
    return 0


def _readable(paths: Sequence[Path], reading: Reading, forgetting: bool) -> list[ReadLog]:
    """The recordings. Raises BadInput with the faults of all of them."""
    logs, faults = [], []
    for path in paths:
        try:
            logs.append(read_log(path, reading, forgetting=forgetting))
            if not logs[-1].recording.boost_known:
                faults.append(Fault(str(path), "boost", "", NO_BOOST))
        except BadInput as reason:
            faults += reason.faults
    if faults:
        raise BadInput(faults)
    return logs


def use_json(car: Car, logs: Sequence[ReadLog]) -> dict[str, Any]:
    """Use over recordings as plain data; totals are over all of them."""
    curve = flow_curve(car)
    whole = [_use(curve, log.recording.trace) for log in logs]
    runs = [run for log, use in zip(logs, whole, strict=True) for run in _runs(curve, log, use)]
    return {
        "car": car.name,
        **_totals(whole),
        "run_spread": _spread(car, [use for _, use in runs]),
        "largest_run_covers": share_covered(len(runs)) if len(runs) > 1 else None,
        "runs": [{"name": name, **_totals([use])} for name, use in runs],
        **_how_read(logs),
    }


def _how_read(logs: Sequence[ReadLog]) -> dict[str, Any]:
    """How the recordings were read, each entry with its file."""
    read = [(log.recording.trace.name, log.recording, log.notices) for log in logs]
    return {
        "gaps": [{"file": f, **gap} for f, r, _ in read for gap in gaps_json(r)],
        "columns": [{"file": f, **column} for f, r, _ in read for column in columns_json(r)],
        "ambient": [
            {"file": f, "absolute": r.absolute, "ambient_kPa": r.ambient / 1e3, "how": r.ambient_how}
            for f, r, _ in read
        ],
        "spikes_removed": sum(r.spikes_removed for _, r, _ in read),
        "notices": _once([(f, n) for f, r, said in read for n in (*said, *r.notices)]),
    }


def _once(said: Sequence[tuple[str, str]]) -> list[str]:
    """Each notice once, after the first file that it is of and how many more there are."""
    files: dict[str, list[str]] = {}
    for file, notice in said:
        files.setdefault(notice, []).append(file)
    more = {notice: len(set(of)) - 1 for notice, of in files.items()}
    return [f"{of[0]}{f' and {more[n]} more' if more[n] else ''}: {n}" for n, of in files.items()]


def _runs(curve: FlowCurve, log: ReadLog, whole: TraceUse) -> list[tuple[str, TraceUse]]:
    """Names and uses of a recording's runs; one that is not split is not integrated again."""
    return [(run.name, whole if run is log.recording.trace else _use(curve, run)) for run in log.runs]


def _totals(uses: Sequence[TraceUse]) -> dict[str, float]:
    return {
        "use_L": sum(use.injected for use in uses) * 1e3,
        "siphon_L": sum(use.siphoned for use in uses) * 1e3,
        "duration_s": sum(use.duration for use in uses),
        "recorded_s": sum(use.recorded for use in uses),
        "flowing_s": sum(use.flowing for use in uses),
        "largest_flow_mL_min": max(use.largest_flow for use in uses) * 6e7,
        "largest_boost_kPa": max(use.largest_boost for use in uses) / 1e3,
    }


def _spread(car: Car, uses: Sequence[TraceUse]) -> float | None:
    """Coefficient of variation [1] from run to run, as a course of these runs has it; None where runs do not tell."""
    drawn = np.array([use.injected + use.siphoned for use in uses])
    return shrunk_variation(drawn, car.spread.run) if drawn.size > 1 and drawn.mean() > 0 else None


def _use(curve: FlowCurve, trace: Trace) -> TraceUse:
    try:
        return trace_use(curve, trace)
    except OutsideModel as reason:
        raise BadInput([Fault(trace.name, "boost", "", str(reason))]) from reason


def _show(result: dict[str, Any]) -> None:
    out = console()
    out.print(f"{result['use_L']:.3f} L", style="bold", end="")
    out.print(f" over {result['recorded_s']:.0f} s recorded", end="")
    missing = result["duration_s"] - result["recorded_s"]
    out.print(f" ({missing:.0f} s more not recorded)" if missing > 0.5 else "", end="")
    out.print(f", flowing for {result['flowing_s']:.0f} s, at most {result['largest_flow_mL_min']:.0f} mL/min.")
    if result["siphon_L"] > 0:
        out.print(f"Siphoned beside that: {result['siphon_L']:.3f} L.")
    if result["run_spread"] is not None:
        out.print(f"From run to run it varies by {result['run_spread']:.0%}; few runs count beside the usual spread.")
        covered = (
            f"The largest of these {len(result['runs'])} is more than {result['largest_run_covers']:.0%} of runs use"
        )
        out.print(f"{covered}, with 95% confidence; it takes 29 runs to say so of 90%.")
    out.print(_run_table(result))
    out.print(_column_table(result))
    for said in result["ambient"]:
        if said["absolute"]:
            out.print(f"{_short(said['file'])}: outside air {said['ambient_kPa']:.1f} kPa, {said['how']}.")
    for line in _gap_lines(result["gaps"]):
        out.print(line)


def _short(name: str) -> str:
    """A file's name without its folders, for narrow tables."""
    return Path(name).name


def _run_table(result: dict[str, Any]) -> Table:
    runs = Table(box=None, pad_edge=False)
    for heading in ("run", "use L", "flowing s", "recorded s", "peak boost kPa"):
        runs.add_column(heading, justify="left" if heading == "run" else "right")
    for run in result["runs"]:
        numbers = (run["use_L"], run["flowing_s"], run["recorded_s"], run["largest_boost_kPa"])
        shown = (f"{n:.{d}f}" for n, d in zip(numbers, (3, 1, 1, 0), strict=True))
        runs.add_row(_short(run["name"]), *shown)
    return runs


def _column_table(result: dict[str, Any]) -> Table:
    read = Table(box=None, pad_edge=False)
    for heading in ("column", "read as", "unit", "new every s", "because"):
        read.add_column(heading)
    for column in result["columns"]:
        every = column["refresh_interval_s"]
        shown = "" if every is None else f"{every:.3g}"
        texts = (column["name"], column["meaning"], column["unit"], shown, column["how"])
        read.add_row(*texts)
    return read


def _gap_lines(gaps: list[dict[str, Any]]) -> list[str]:
    lines = []
    for gap in gaps[:MOST_GAPS]:
        where = f"{gap['duration_s']:.1f} s from {gap['start_s']:.1f} s on"
        lines.append(f"{_short(gap['file'])}: gap of {where}, {gap['reason']}; it carries no use.")
    if len(gaps) > MOST_GAPS:
        lines.append(f"and {len(gaps) - MOST_GAPS} gaps more, with --json.")
    if gaps:
        lines.append(
            f"A gap is longer than {GAP_INTERVALS:g} usual refresh intervals, and at least {SHORTEST_GAP:g} s."
        )
    return lines

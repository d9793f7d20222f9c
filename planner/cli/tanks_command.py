"""`fillmark tanks EVENT...`: tank sizes side by side over one or many events, and which to buy."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from planner.cli.options import option_fault
from planner.cli.output import complain, console, print_json
from planner.compare_tanks import LONG_GAP, Days, NamedTank, Progress
from planner.compare_tanks.asked import capacity_from_text, long_gap_from_text, space_from_text
from planner.compare_tanks.cache import usual_folder
from planner.compare_tanks.pool import Workers
from planner.compare_tanks.run import Question, answered, nothing_said
from planner.errors import BadInput, Fault, UnitError
from planner.files.atomic import write_whole
from planner.files.event_file import read_day
from planner.files.tank_file import read_tank

HELP = "tank sizes side by side over one or many events, and which to buy"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add = parser.add_argument
    add("events", type=Path, nargs="+", metavar="EVENT", help="event files; the first one's car is the one to buy for")
    add(
        "--capacity",
        nargs="+",
        action="extend",
        default=[],
        metavar="SIZE",
        help='sizes of its own shape: "1 gal" "8 L"',
    )
    add(
        "--tank",
        nargs="+",
        action="extend",
        default=[],
        metavar="FILE",
        help="other tanks: a car's file or [tank] alone",
    )
    add("--space", metavar="SIZES", help='length x width x height to fit in: "400 mm x 200 mm x 200 mm"')
    add("--turn", action="store_true", help="the tank may be turned by 90 degrees to fit")
    add("--gap", default=f"{LONG_GAP:g} min", metavar="TIME", help="gaps longer than this count as long (%(default)s)")
    add("--changes", action="store_true", help="other choices too: nozzles, boost settings, blend, second pump or tank")
    add("--csv", type=Path, metavar="FILE", help="write every tank and event as a table")
    add("--svg", type=Path, metavar="FILE", help="write the picture, stops against carried mass")
    add("--png", type=Path, metavar="FILE", help="write the same picture as an image")
    add("--fresh", action="store_true", help="work everything out anew, without what was kept of earlier runs")
    add("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the comparison; 3 if no tank gets through all events."""
    question = _question(args)
    with _progress() as progress:
        kept_in = None if args.fresh else usual_folder()
        result = answered(question, kept_in=kept_in, workers=Workers(here_too=True), progress=progress)
    _export(args, result)
    if args.json:
        print_json(result)
    else:
        for notice in result["notices"]:
            complain(f"NOTICE: {notice}")
        show(result, console())
    return 0 if any(not tank["impossible_days"] for tank in result["tanks"]) else 3


def _question(args: argparse.Namespace) -> Question:
    """What is asked. Raises BadInput with the faults of every option and file."""
    faults: list[Fault] = []
    capacity, space_of = _option("capacity", capacity_from_text), _option("space", space_from_text)
    capacities = [value for text in args.capacity for value in _read(faults, capacity, text)]
    space = [value for text in (args.space,) if text is not None for value in _read(faults, space_of, text)]
    long_gap = list(_read(faults, _option("gap", long_gap_from_text), args.gap))
    tanks = [NamedTank(_name(name, args.tank), tank) for name in args.tank for tank in _read(faults, read_tank, name)]
    days = [day for path in args.events for day in _read(faults, read_day, path)]
    if faults:
        raise BadInput(faults)
    asked = Days(tuple(days), long_gap[0], space[0] if space else None, args.turn)
    return Question(asked, tuple(capacities), tuple(tanks), args.changes)


def _read(faults: list[Fault], reader: Any, what: Any) -> Iterator[Any]:
    """What a reader makes of a text or a file, or nothing, its faults noted."""
    try:
        yield reader(what)
    except BadInput as reason:
        faults += reason.faults


def _option(name: str, reader: Callable[[str], Any]) -> Callable[[str], Any]:
    """A reader of one option's text, whose faults name the option."""

    def read(text: str) -> Any:
        try:
            return reader(text)
        except UnitError as reason:
            raise BadInput([option_fault(name, text, str(reason))]) from reason

    return read


def _name(path: str, all_paths: Sequence[str]) -> str:
    """The file's name, or its whole path where two files share a name."""
    stem = Path(path).stem
    return stem if sum(Path(other).stem == stem for other in all_paths) == 1 else path


@contextmanager
def _progress() -> Iterator[Progress]:
    """Progress on standard error where that is a terminal; else none."""
    if not sys.stderr.isatty():
        yield nothing_said
        return
    # Drawn on a terminal alone, so that scripts do not wait for its import.
    from rich.progress import Progress as Bar

    with Bar(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("planning days", total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


def _export(args: argparse.Namespace, result: dict[str, Any]) -> None:
    # Wanted by an export alone.
    from planner.compare_tanks.picture import png, svg
    from planner.compare_tanks.table import csv_text

    for path, content in ((args.csv, csv_text), (args.svg, svg), (args.png, png)):
        if path is not None:
            made = content(result)
            write_whole(path, made if isinstance(made, bytes) else made.encode("utf-8"))


COLUMNS = ("tank", "stops", "no plan", "short", "full kg", "carried", "wash", "floor", "left", "")


def show(result: dict[str, Any], out: Console) -> None:
    """Print a comparison in 80 columns: the choice, what each tank buys, all tanks, how sure, other choices."""
    out.print(result["answer"], style="bold")
    out.print()
    for row in result["worth"]:
        out.print(f"{row['name']}: {row['sentence']}")
    out.print()
    out.print(_table(result))
    out.print()
    out.print(
        "No plan: days that cannot be driven. Short: the worst day's chance of running short at the best plan. "
        "Carried: mean kg over the driving. Wash: share of that time in the washing band. Floor: the highest, L. "
        "Left: in the tank at the day's end, L."
    )
    out.print()
    out.print(result["sureness"]["sentence"])
    if result["changes"] is not None:
        _show_changes(result, out)


def _remark(tank: dict[str, Any]) -> str:
    words = ["worth" if tank["worth"] else "" if tank["undominated"] else "worse"]
    words += ["no room" if tank["fits"] is False else "", "turned" if tank["turned"] else ""]
    return ", ".join(word for word in words if word)


def _table(result: dict[str, Any]) -> Table:
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    for k, heading in enumerate(COLUMNS):
        table.add_column(heading, justify="left" if k in (0, len(COLUMNS) - 1) else "right", no_wrap=True)
    for tank in result["tanks"]:
        days = tank["events"]
        carried = tank["mean_carried_kg"]
        table.add_row(
            tank["name"],
            str(tank["stops"]),
            str(tank["impossible_days"] or "–"),
            f"{tank['short_chance']:.1%}",
            f"{tank['full_mass_kg']:.1f}",
            "–" if carried is None else f"{carried:.1f}",
            f"{tank['slosh_risk_share']:.0%}",
            f"{max(day['floor_L'] for day in days):.1f}",
            f"{max(day['left_L'] for day in days):.1f}",
            _remark(tank),
        )
    return table


def _show_changes(result: dict[str, Any], out: Console) -> None:
    out.print()
    out.print(result["changes_sentence"], style="bold")
    table = Table(box=None, pad_edge=False)
    for heading in ("one change against today", "use L", "more", "stops", "more", "no plan"):
        table.add_column(heading, justify="left" if heading.startswith("one") else "right")
    for row in result["changes"]:
        table.add_row(
            row["name"],
            f"{row['mean_use_L']:.2f}",
            f"{row['use_more_L']:+.2f}",
            str(row["stops"]),
            f"{row['stops_more']:+d}" if row["stops_more"] else "–",
            str(row["impossible_days"] or "–"),
        )
    out.print(table)

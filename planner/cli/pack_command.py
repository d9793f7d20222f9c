"""`fillmark pack`: what to load, how to mix, and the papers: sheet, list, labels, dipstick, calendar."""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table
from rich.text import Text

from planner.cli.options import numbers, option_fault
from planner.cli.output import complain, console, print_json
from planner.day import plan_day
from planner.day.json import plan_json
from planner.errors import BadInput, Fault, OutsideModel
from planner.files.cautions import DEFER, cautions_json
from planner.files.event_file import read_day
from planner.files.label import label_sheet, labels_page
from planner.files.pack_list import all_papers, dipsticks_page, jug_labels, pack_csv
from planner.files.pack_ticks import clear_ticks, read_ticks, set_tick, ticks_path
from planner.files.paper import paper_of
from planner.planning.carriage import ADVICE, PROFILES, profile
from planner.planning.packing import Outing, PackList, list_key, pack_json, pack_list
from planner.planning.warning import Warning
from planner.planning.weather import Weather, absurd_outdoors, weather_warnings

HELP = "list for the trailer, mixing recipe, jug label, calendar"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    add = parser.add_argument
    add("events", nargs="+", type=Path, metavar="EVENT", help="TOML files of one or more events, loaded together")
    add("--html", type=Path, metavar="FILE", help="the day's sheet, list, recipe, labels and dipstick, to print")
    add("--labels", type=Path, metavar="FILE", help="jug labels on a label sheet, to print")
    add("--label-sheet", default="a4-8", metavar="NAME", help="a4-2, a4-4, a4-8, letter-2, letter-6 or letter-10")
    add("--dipstick", type=Path, metavar="FILE", help="the dipstick strip of each tank, to print")
    add("--dipstick-unit", default="L", choices=("L", "gal"), help="what the strips count in: L (the default) or gal")
    add("--ics", type=Path, metavar="FILE", help="calendar of sessions and fills; write over the same file to update")
    add("--csv", type=Path, metavar="FILE", help="the list for a spreadsheet")
    add("--paper", default="a4", metavar="SIZE", help="a4 (the default) or letter")
    add("--profile", default="none", metavar="NAME", help=f"carriage limits: {', '.join(PROFILES)} or a .toml file")
    add("--vehicles", type=int, default=1, metavar="N", help="vehicles that share the load (default 1)")
    add("--mix-there", action="store_true", help="carry methanol and water apart, with a can to mix in")
    add("--mixed-on", metavar="DATE", help="date for the labels, such as 2026-05-15")
    add("--night-low", metavar="TEMPERATURE", help='such as "2 degC"')
    add("--day-high", metavar="TEMPERATURE", help='such as "31 degC"')
    add("--boot", metavar="TEMPERATURE", help='the hot boot or trailer, such as "45 degC"')
    add("--tick", action="append", default=[], metavar="ID", help="tick a line off by its id, as --json shows it")
    add("--untick", action="append", default=[], metavar="ID", help="take a tick away")
    add("--fresh", action="store_true", help="take all ticks of this list away")
    add("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the list and write the papers that are asked for."""
    weather, mixed = _settings(args)
    outings = [_outing(path) for path in args.events]
    packed = pack_list(outings, mixed_there=args.mix_there, limits=profile(args.profile), vehicles=args.vehicles)
    ticked = _ticks(args, outings, packed)
    warnings = _weather_warnings(packed, weather)
    _write_papers(args, outings, packed, ticked=ticked, mixed=mixed, warnings=warnings)
    data = {
        "events": [outing.event.name for outing in outings],
        **pack_json(packed, ticked),
        "weather": [warning.as_dict() for warning in warnings],
        "cautions": cautions_json(),
    }
    if args.json:
        print_json(data)
    else:
        show(data, console())
    return 0


def _settings(args: argparse.Namespace) -> tuple[Weather, date | None]:
    """Weather and mixing date; every option that is wrong is a fault."""
    faults: list[Fault] = []
    given: dict[str, float | None] = {}
    mixed = None
    try:
        given = numbers(args, {"night_low": "temperature", "day_high": "temperature", "boot": "temperature"})
    except BadInput as reason:
        faults += reason.faults
    absurd = {name: absurd_outdoors(value) for name, value in given.items() if value is not None}
    faults += [option_fault(name, getattr(args, name), remedy) for name, remedy in absurd.items() if remedy]
    try:
        mixed = date.fromisoformat(args.mixed_on) if args.mixed_on else None
    except ValueError:
        faults.append(option_fault("mixed_on", args.mixed_on, "not a date; write one such as 2026-05-15"))
    if args.vehicles < 1:
        faults.append(option_fault("vehicles", args.vehicles, "give one vehicle or more"))
    if faults:
        raise BadInput(faults)
    label_sheet(args.label_sheet), paper_of(args.paper)
    return Weather(given["night_low"], given["day_high"], given["boot"]), mixed


def _outing(path: Path) -> Outing:
    event, car = read_day(path)
    return Outing(plan_json(plan_day(event, car)), event, car)


def _ticks(args: argparse.Namespace, outings: Sequence[Outing], packed: PackList) -> frozenset[str]:
    """The ticks beside the events, after those of the command line."""
    path, key = ticks_path(*args.events), list_key(outings)
    known = {item.id for item in packed.items}
    remedy = "no such line; --json shows the ids"
    asked = [("tick", one) for one in args.tick] + [("untick", one) for one in args.untick]
    faults = [option_fault(name, one, remedy) for name, one in asked if one not in known]
    if faults:
        raise BadInput(faults)
    if args.fresh:
        clear_ticks(path, key)
    for item_id in args.tick:
        set_tick(path, key, item_id)
    for item_id in args.untick:
        set_tick(path, key, item_id, on=False)
    return read_ticks(path, key)


def _weather_warnings(packed: PackList, weather: Weather) -> list[Warning]:
    try:
        return [one for load in packed.loads for one in weather_warnings(load.alcohol_share, weather)]
    except OutsideModel as reason:
        raise BadInput([option_fault("night_low", None, str(reason))]) from reason


def _write_papers(
    args: argparse.Namespace,
    outings: Sequence[Outing],
    packed: PackList,
    *,
    ticked: frozenset[str],
    mixed: date | None,
    warnings: Sequence[Warning],
) -> None:
    paper = paper_of(args.paper)
    texts: Mapping[str, Callable[[], str]] = {
        "html": lambda: all_papers(
            outings, packed, ticked, paper=paper, weather=warnings, mixed=mixed, unit=args.dipstick_unit
        ),
        "labels": lambda: labels_page(jug_labels(packed, mixed), label_sheet(args.label_sheet)),
        "dipstick": lambda: dipsticks_page(outings, paper, unit=args.dipstick_unit),
        "csv": lambda: pack_csv(packed, ticked),
    }
    for name, text in texts.items():
        path = getattr(args, name)
        if path:
            _written(name, path, partial(_write, path, text))
    if args.ics:
        # icalendar takes a third of a second to start, and few runs ask for it
        from planner.files.calendar_file import write_calendar

        _written("ics", args.ics, lambda: write_calendar(args.ics, [outing.plan for outing in outings]))


def _written(name: str, path: Path, write: Callable[[], None]) -> None:
    """Write a file and say so; where that fails, the fault names the option."""
    try:
        write()
    except OSError as reason:
        remedy = f"cannot be written ({reason.strerror}); name a file in a folder that exists and is yours"
        raise BadInput([option_fault(name, path, remedy)]) from reason
    complain(f"wrote {path}")


def _write(path: Path, text: Callable[[], str]) -> None:
    """Write a text in one step: the old file stays until the new one is whole."""
    whole = path.with_name(path.name + ".part")
    whole.write_text(text(), encoding="utf-8", newline="")
    os.replace(whole, path)


def show(data: dict[str, Any], out: Console) -> None:
    """Print the list in 80 columns: the answer, the lines, recipes, carriage and weather."""
    out.print(Text(_answer(data)), style="bold")
    out.print(data["not_counted"] + "\n")
    out.print(_list_table(data))
    for blend in data["blends"]:
        out.print(_blend_sentence(blend))
    out.print(Text(f"Carriage profile: {data['carriage']['profile']}. {ADVICE}"))
    for warning in (*data["carriage"]["warnings"], *data["weather"]):
        out.print(Text(f"{warning['level'].upper()}: {warning['text']}"))
    for caution in data["cautions"]["before_mixing"]:
        complain(f"{caution['level'].upper()}: {caution['text']}")
    complain(DEFER)


def _answer(data: dict[str, Any]) -> str:
    fluids = [item for item in data["items"] if item["volume_L"] is not None]
    litres = sum(item["volume_L"] for item in fluids)
    done = "all ticked off" if not data["open"] else f"{data['open']} of {len(data['items'])} lines to tick off"
    return (
        f"Load {litres:.1f} L of fluid in {len(fluids)} container{'s' * (len(fluids) != 1)}, "
        f"{data['fluid_mass_kg']:.1f} kg, for {' and '.join(data['events'])}; {done}."
    )


def _list_table(data: dict[str, Any]) -> Table:
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 1, 0, 0))
    for _ in range(3):
        table.add_column()
    group = ""
    for item in data["items"]:
        heading = item["group"] if item["group"] != group else ""
        group = item["group"]
        detail = f": {item['detail']}" if item["detail"] else ""
        table.add_row(heading, Text("[x]" if item["ticked"] else "[ ]"), Text(item["text"] + detail))
    return table


def _blend_sentence(blend: dict[str, Any]) -> str:
    return (
        f"{100 * blend['alcohol_share']:.3g} % blend, {blend['blend_L']:.2f} L at {blend['temperature_degC']:g} degC: "
        f"{blend['alcohol_L']:.2f} L methanol ({blend['alcohol_kg']:.2f} kg) and {blend['water_L']:.2f} L water "
        f"({blend['water_kg']:.2f} kg)."
    )

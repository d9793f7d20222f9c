"""`fillmark plan EVENT`: the day's plan as a table or as JSON."""

from __future__ import annotations

import argparse
from datetime import datetime
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from planner.cli.output import complain, console, print_json
from planner.day import plan_day
from planner.day.json import no_plan_json, plan_json
from planner.errors import NoPlan
from planner.files.event_file import read_day

HELP = "the day: use, floor and mark of each session, refills, what to bring, warnings"
MARKS = {"danger": "DANGER", "warning": "WARNING", "caution": "CAUTION", "notice": "NOTICE"}


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments."""
    parser.add_argument("event", type=Path, metavar="EVENT", help="the event's TOML file")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Print the plan; 3 if none exists."""
    event, car = read_day(args.event)
    try:
        plan = plan_json(plan_day(event, car))
    except NoPlan as reason:
        if args.json:
            print_json(no_plan_json(event, car, reason))
            return 3
        raise
    if args.json:
        print_json(plan)
    else:
        show(plan, console())
    return 0


def show(plan: dict[str, Any], out: Console) -> None:
    """Print a plan in 80 columns: the answer, the sessions, what to bring, the warnings."""
    out.print(answer(plan), style="bold")
    out.print(f"Chance of running short {plan['short_chance']:.1%}, {1 - plan['confidence']:.1%} allowed.\n")
    out.print(_session_table(plan))
    out.print()
    _show_gaps(plan, out)
    _show_bring(plan["bring"], out)
    for warning in plan["warnings"]:
        complain(f"{MARKS[warning['level']]}: {warning['text']}")


def litres(volume: float) -> str:
    """Litres to two digits, without a trailing zero."""
    text = f"{volume:.2f}"
    return text.removesuffix("0")


def clock(iso: str) -> str:
    """Hours and minutes of an ISO 8601 time."""
    return datetime.fromisoformat(iso).strftime("%H:%M")


def answer(plan: dict[str, Any]) -> str:
    """The plan in one sentence."""
    parts = []
    for fill in plan["refills"]:
        mark = f"{litres(fill['mark_L'])} L ({fill['mark_mm']:.0f} mm)"
        if fill["before_session"] == plan["sessions"][0]["number"]:
            parts.append(f"fill to {mark} before {fill['session_name']}")
        else:
            parts.append(f"refill to {mark} before {fill['session_name']}, starting by {clock(fill['by'])}")
    parts.append("no refill" if not plan["stops"] else f"{plan['stops']} refill{'s' * (plan['stops'] > 1)} in all")
    parts.append(f"bring {plan['bring']['blend_L']:.1f} L of blend")
    sentence = "; ".join(parts) + "."
    return sentence[0].upper() + sentence[1:]


COLUMNS = ("", "session", "start", "use", "use 99 %", "floor", "fill to", "start", "end", "end 1 %")


def _session_table(plan: dict[str, Any]) -> Table:
    table = Table(title=f"{plan['event']}: {plan['car']} (litres)", box=None, pad_edge=False, title_justify="left")
    for heading in COLUMNS:
        name = heading == "session"
        table.add_column(heading, justify="left" if name else "right", no_wrap=True, max_width=24 if name else None)
    marks = {fill["before_session"]: fill for fill in plan["refills"]}
    for row in plan["sessions"]:
        fill = marks.get(row["number"])
        table.add_row(
            str(row["number"]),
            row["name"],
            clock(row["start"]),
            f"{row['use_mean_L']:.2f}",
            f"{row['use_p99_L']:.2f}",
            f"{row['floor_L']:.2f}",
            litres(fill["mark_L"]) if fill else "",
            f"{row['level_start_p50_L']:.1f}",
            f"{row['level_end_p50_L']:.1f}",
            f"{row['level_end_p01_L']:.1f}",
        )
    return table


def _spans(numbers: list[int]) -> str:
    """Numbers as text, runs of them joined: 2 to 6, 8, 14 to 16."""
    spans: list[list[int]] = []
    for number in numbers:
        if spans and number == spans[-1][1] + 1:
            spans[-1][1] = number
        else:
            spans.append([number, number])
    return ", ".join(str(a) if a == b else f"{a} to {b}" for a, b in spans)


def _show_gaps(plan: dict[str, Any], out: Console) -> None:
    closed: dict[str, list[int]] = {}
    for gap in plan["gaps"]:
        if not gap["refill_possible"]:
            closed.setdefault(gap["reason"], []).append(gap["before_session"])
    for reason, numbers in closed.items():
        out.print(f"No refill before {_spans(numbers)}: {reason}.")
    if closed:
        out.print()


def _show_bring(bring: dict[str, Any], out: Console) -> None:
    out.print(
        f"Bring {bring['blend_L']:.2f} L of blend: {bring['alcohol_L']:.2f} L methanol ({bring['alcohol_kg']:.2f} kg) "
        f"and {bring['water_L']:.2f} L water ({bring['water_kg']:.2f} kg), {bring['mass_kg']:.2f} kg in all."
    )
    if bring["containers"]:
        out.print(f"Containers: {', '.join(_container(c) for c in bring['containers'])}.")
    if bring["cost"] is not None:
        out.print(f"Cost: {bring['cost']:.2f}.")


def _container(container: dict[str, Any]) -> str:
    return f"{container['size_L']:g} L with {container['fill_L']:.2f} L"

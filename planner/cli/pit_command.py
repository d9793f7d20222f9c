"""`fillmark pit EVENT ...`: the day's log from a terminal, and the board after each entry."""

from __future__ import annotations

import argparse
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from planner.car import Car
from planner.cli.output import complain, console, print_json
from planner.entry import Entry
from planner.errors import BadInput, Fault
from planner.event import Event
from planner.files.atomic import write_whole
from planner.files.event_file import read_day
from planner.files.logged_days import logged_days, settle_car, state_after, touches_kept
from planner.files.pit_log import PitLog
from planner.files.pit_table import entries_from_table, table_from_entries
from planner.follow import clock_for, follow_day
from planner.follow.after import after_json, keep_json, result_of
from planner.follow.entry import Said, entry_from, moment_from_text
from planner.follow.json import pit_json

HELP = "the day's log: level, fill, done, late, cancel, note, undo; the forecast after each entry; after, keep"
MARKS = {"danger": "DANGER", "warning": "WARNING", "caution": "CAUTION", "notice": "NOTICE"}
LAST_ENTRIES = 6


def arguments(parser: argparse.ArgumentParser) -> None:
    """The command's arguments: an event, then what to log, or `show`."""
    parser.add_argument("event", type=Path, metavar="EVENT", help="the event's TOML file; the log lies beside it")
    _common(parser, first=True)
    entries = parser.add_subparsers(dest="entry", metavar="ENTRY")
    common = argparse.ArgumentParser(add_help=False)
    _common(common, first=False)

    def entry(name: str, text: str) -> argparse.ArgumentParser:
        return entries.add_parser(name, help=text, description=text, parents=[common])

    level = entry("level", "a level as read")
    level.add_argument("level", metavar="READING", help='such as "104 mm", "5.2 L" or "62 %%" of the tank')
    level.add_argument("--after", metavar="SESSION", help="the session it was read after, by name or number")
    level.add_argument(
        "--error", metavar="LENGTH", help="how well it was read, one standard deviation (2 mm if left out)"
    )
    fill = entry("fill", "a fill, to the plan's mark or by an amount")
    fill.add_argument("--to-mark", action="store_true", help="to the mark that the plan gives for the next session")
    fill.add_argument("--add", metavar="VOLUME", help='what was poured, such as "1.2 L"; with --to-mark it tells more')
    done = entry("done", "a session is over")
    done.add_argument("session", metavar="SESSION", help="its name or number")
    done.add_argument("--runs", metavar="N", help="how many runs, laps or minutes it had, where not as planned")
    late = entry("late", "what is still ahead today starts later")
    late.add_argument("late", metavar="TIME", help='such as "10 min"')
    cancel = entry("cancel", "a session is cancelled")
    cancel.add_argument("session", metavar="SESSION", help="its name or number")
    stock = entry("stock", "what is left in the jugs")
    stock.add_argument("left", metavar="VOLUME", help='such as "8 L"')
    note = entry("note", "a note")
    note.add_argument("text", metavar="TEXT")
    undo = entry("undo", "take back the last entry, or the one of an id")
    undo.add_argument("undoes", metavar="ID", nargs="?", help="the entry's id")
    entry("show", "the board; nothing is logged")
    entry("after", "forecast against what happened, and what could be kept")
    keep = entry("keep", "keep the day's result as the car's prior for later days; asks before")
    keep.add_argument("--yes", action="store_true", help="do not ask: you have read what would be kept")
    export = entry("export", "write the log as a CSV table")
    export.add_argument("table", metavar="CSV", nargs="?", type=Path, help="a file; standard output if left out")
    take = entry("import", "read entries from such a table; those already there count once")
    take.add_argument("table", metavar="CSV", type=Path)


def _common(parser: argparse.ArgumentParser, *, first: bool) -> None:
    """Options that may stand before or after the entry's name."""
    unset = None if first else argparse.SUPPRESS
    parser.add_argument("--at", default=unset, metavar="TIME", help="when it happened, ISO 8601, if not now")
    parser.add_argument("--id", default=unset, metavar="TEXT", help="an id of your own: the same id counts once")
    parser.add_argument("--json", action="store_true", default=False if first else unset, help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    """Log what was said and print the board."""
    event, car = read_day(args.event)
    log, now = PitLog(args.event), clock()
    if args.entry == "export":
        return _export(args, log)
    if args.entry == "after":
        return _after(args, event, car, log, now)
    if args.entry == "keep" and not _agreed(args, event, car, log, now):
        return 0
    _log(args, event, car, log, now)
    entries = log.entries()
    shown = _moment(args, event, now) if args.entry in (None, "show") else now
    state = follow_day(event, car, entries, clock_for(event, entries, shown))
    board = pit_json(state)
    if args.json:
        print_json(board)
    else:
        show(board, console())
    return 0


def _log(args: argparse.Namespace, event: Event, car: Car, log: PitLog, now: datetime) -> None:
    """Store what was said, if anything, and have the car's file agree with what is kept."""
    stored: list[Entry] = []
    if args.entry == "import":
        stored = log.append_all(entries_from_table(_text(args.table), str(args.table)))
    elif args.entry == "undo":
        stored = [log.undo(args.undoes, at=_moment(args, event, now), id=args.id)]
    elif args.entry not in (None, "show"):
        stored = [log.append(_entry(args, event, car, log.entries(), now))]
    if args.entry != "import" and touches_kept(stored, log.entries()):
        settle_car(event, log.entries())


def _after(args: argparse.Namespace, event: Event, car: Car, log: PitLog, now: datetime) -> int:
    """Print the day looked back at, with the bands judged over every logged day of its folder."""
    days = logged_days(sorted(args.event.parent.glob("*.toml")), now)
    told = after_json(state_after(event, car, log.entries(), now), days)
    if args.json:
        print_json(told)
    else:
        show_after(told, console())
    return 0


def _agreed(args: argparse.Namespace, event: Event, car: Car, log: PitLog, now: datetime) -> bool:
    """Whether the person agrees to what would be kept. Raises BadInput where nobody can be asked."""
    state = follow_day(event, car, log.entries(), _moment(args, event, now))
    result = result_of(state)
    if isinstance(result, str):
        raise BadInput([Fault("pit log", "keep", "", result)])
    complain(keep_json(state, result)["text"])
    if args.yes:
        return True
    if not sys.stdin.isatty():
        raise BadInput([Fault("", "keep", "", "nothing is kept without a yes; add --yes where nobody can be asked")])
    complain("Type yes to keep it:")
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def clock() -> datetime:
    """The time now."""
    return datetime.now(UTC)


def _moment(args: argparse.Namespace, event: Event, now: datetime) -> datetime:
    return moment_from_text(args.at, event, now) if args.at else now


def _entry(args: argparse.Namespace, event: Event, car: Car, entries: tuple[Entry, ...], now: datetime) -> Entry:
    """The entry said; for an id that is known already, the entry of that id."""
    known = next((entry for entry in entries if entry.id == args.id), None)
    if known is not None:
        return known
    words = {
        key: value
        for key, value in vars(args).items()
        if key not in ("event", "entry", "at", "id", "json", "run", "yes")
    }
    kind = {"cancel": "cancelled", "keep": "kept"}.get(args.entry, args.entry)
    return entry_from(Said(kind, words, args.at, args.id), event, car, entries, now)


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8")
    except OSError as reason:
        raise BadInput(
            [Fault(str(path), "", "", f"cannot be read ({reason.strerror}); name a table to import")]
        ) from reason
    except UnicodeDecodeError as reason:
        raise BadInput([Fault(str(path), "", "", "not text in UTF-8; export the log again")]) from reason


def _export(args: argparse.Namespace, log: PitLog) -> int:
    table = table_from_entries(log.entries())
    if args.table is None:
        sys.stdout.write(table)
        return 0
    try:
        write_whole(args.table, table.encode())
    except OSError as reason:
        raise BadInput([Fault(str(args.table), "", "", f"cannot be written ({reason.strerror})")]) from reason
    complain(f"wrote {args.table}")
    return 0


def show(board: dict[str, Any], out: Console) -> None:
    """Print the board in 80 columns: the next action, the level, what changed, the sessions, the last entries."""
    out.print(board["next"]["text"], style="bold")
    if board["running"]:
        out.print(f"{board['running']['name']} is on until {_clock(board['running']['end'])}.")
    out.print(_level_line(board))
    if board["change"]:
        out.print(board["change"])
    if not board["nozzle_check"]["possible"]:
        out.print(board["nozzle_check"]["text"])
    out.print()
    out.print(_session_table(board))
    for entry in board["entries"][-LAST_ENTRIES:]:
        undone = "  (taken back)" if entry["undone"] else ""
        out.print(f"{_clock(entry['at'])}  {entry['text']}{undone}  {entry['id']}", markup=False)
    for notice in board["notices"]:
        complain(f"NOTICE: {notice}")
    for alarm in board["alarms"]:
        complain(f"{MARKS[alarm['level']]}: {alarm['text']}")


def _level_line(board: dict[str, Any]) -> str:
    read = f", read {board['level_read_L']:.2f} L at {_clock(board['level_read_at'])}" if board["level_read_at"] else ""
    factor = board["car_factor"]
    return (
        f"Level now {board['level_expected_L']:.2f} L ({board['level_expected_mm']:.0f} mm){read}; jugs about "
        f"{board['stock_left_L']:.1f} L. The car uses {factor['mean']:.2f} times its plan, within {factor['sd']:.2f}."
    )


def _session_table(board: dict[str, Any]) -> Table:
    title = f"{board['event']}: {board['car']}, {_clock(board['now'])} (litres)"
    table = Table(title=title, box=None, pad_edge=False, title_justify="left")
    for heading in ("", "session", "start", "", "fill to", "at start", "at end", "end 1 %", "floor"):
        table.add_column(heading, justify="left" if heading == "session" else "right", no_wrap=True)
    marks = {fill["before_session"]: fill["mark_L"] for fill in board["refills"]}
    for row in board["sessions"]:
        mark = marks.get(row["number"])
        levels = [row[key] for key in ("level_start_p50_L", "level_end_p50_L", "level_end_p01_L", "floor_L")]
        table.add_row(
            str(row["number"]),
            row["name"],
            _clock(row["start"]),
            row["status"],
            "" if mark is None else f"{mark:.2f}",
            *(f"{level:.2f}" for level in levels),
        )
    return table


def _clock(iso: str) -> str:
    return datetime.fromisoformat(iso).strftime("%H:%M")


def show_after(told: dict[str, Any], out: Console) -> None:
    """Print a day looked back at in 80 columns."""
    out.print(told["text"], style="bold")
    table = Table(title=f"{told['event']} (litres)", box=None, pad_edge=False, title_justify="left")
    for heading in ("", "session", "planned", "used", "level expected", "read", "90 % band"):
        table.add_column(heading, justify="left" if heading == "session" else "right", no_wrap=True)
    for row in told["sessions"]:
        band = row["level_low_L"] is not None and f"{row['level_low_L']:.2f} to {row['level_high_L']:.2f}"
        mark = {True: " held", False: " missed", None: ""}[row["inside"]]
        cells = [row[key] for key in ("planned_use_L", "use_L", "level_expected_L", "level_read_L")]
        shown = ["" if cell is None else f"{cell:.2f}" for cell in cells]
        table.add_row(str(row["number"]), row["name"], *shown, f"{band or ''}{mark}")
    out.print(table)
    out.print(told["calibration"]["text"])
    if told["keep"]:
        out.print("`fillmark pit EVENT keep` keeps the day's result as the car's prior; it asks before.")
    else:
        out.print(f"Nothing can be kept: {told['keep_refusal']}.")

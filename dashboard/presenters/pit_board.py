"""The pit board as plain data: what is next, the one action, the level now, and what is wrong."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.day_whence import several_days
from dashboard.presenters.display import Display, clock, day_and_clock, minutes, moment, share
from dashboard.presenters.pit_words import countdown_text
from dashboard.presenters.planner_words import in_units
from dashboard.presenters.tank_side import level_mm, tank_side
from planner.car import Tank
from planner.follow.action import ENOUGH

Board = Mapping[str, Any]
URGENT = ("danger", "warning")


@dataclass(frozen=True, slots=True)
class Countdown:
    """What is counted down to: `label`, the moment `until` (ISO 8601), and the text as it stands now."""

    label: str
    until: str
    text: str


@dataclass(frozen=True, slots=True)
class Coming:
    """What is next: `title` and `detail` of the session, and its countdown (None once the day is over)."""

    title: str
    detail: str
    countdown: Countdown | None


@dataclass(frozen=True, slots=True)
class Todo:
    """The one action. verb: "Refill to"; figures: mark as volume and on the dipstick; rest: amount, time, by when.

    begin: countdown to when it must begin; text: the whole as one sentence.
    """

    verb: str
    figures: tuple[str, ...]
    rest: str
    begin: Countdown | None
    text: str


@dataclass(frozen=True, slots=True)
class Levels:
    """The level now: as expected and as last read, each a big figure and a line; other facts as pairs."""

    expected: str
    expected_on_stick: str
    spread: str
    read: str
    read_line: str
    facts: tuple[tuple[str, str], ...]


def seconds_until(board: Board, iso: str) -> float:
    """Elapsed time [s] from the board's moment until another, whatever the clocks do between."""
    return moment(iso).timestamp() - moment(board["now"]).timestamp()


def coming(board: Board, counted: Mapping[str, str]) -> Coming:
    """The session that is on, or the next one, with its countdown; counted: as in pit_keys.panels."""
    running, following = board["running"], board["next"]
    if running:
        detail = _runs(_session(board, running["session"]), counted)
        if following["start"]:
            detail += f"; then {following['name']} at {_when(board, following['start'])}"
        title = f"{running['name']} is on, until {clock(running['end'])}"
        return Coming(title, detail, _countdown(board, "to its end", running["end"]))
    if following["start"]:
        row = _session(board, following["session"])
        title = f"Next: {following['name']}, {_when(board, following['start'])}"
        detail = f"{_runs(row, counted)}{_late_words(row)}"
        return Coming(title, detail, _countdown(board, "to its start", following["start"]))
    return Coming("The day is over", _over_detail(board), None)


def _over_detail(board: Board) -> str:
    last = moment(board["sessions"][-1]["end"])
    ended = f"The last session ended on {last.day} {last:%B %Y} at {last:%H:%M}."
    if not board["entries"]:
        return f"{ended} Nothing was logged."
    return ended


def _session(board: Board, number: int) -> Mapping[str, Any]:
    found: Mapping[str, Any] = next(row for row in board["sessions"] if row["number"] == number)
    return found


def _runs(row: Mapping[str, Any], counted: Mapping[str, str]) -> str:
    what = counted.get(row["course"], "run")
    driver = f", driver {row['driver']}" if row.get("driver") else ""
    return f"{many(row['runs'], what)}{driver}"


def many(number: float, what: str) -> str:
    """A count with its word, such as "10 laps"."""
    return f"{number:g} {what}{'' if number == 1 else 's'}"


def _late_words(row: Mapping[str, Any]) -> str:
    late = moment(row["start"]).timestamp() - moment(row["planned_start"]).timestamp()
    if abs(late) < 60:
        return ""
    return f", {minutes(abs(late) / 60)} {'later' if late > 0 else 'earlier'} than planned"


def _when(board: Board, iso: str) -> str:
    return day_and_clock(iso, moment(iso).date() != moment(board["now"]).date())


def _countdown(board: Board, label: str, until: str) -> Countdown:
    return Countdown(label, until, countdown_text(seconds_until(board, until)))


def todo(board: Board, display: Display) -> Todo:
    """The one thing to do next."""
    following = board["next"]
    if following["action"] not in ("fill", "refill"):
        text = _nothing_to_fill(board, display) if following["action"] == "go" else in_units(following["text"], display)
        return Todo("", (), text, None, text)
    verb = "Fill to" if following["action"] == "fill" else "Refill to"
    figures = mark_texts(board, following["mark_L"], following["mark_mm"], display)
    begin = "start now" if seconds_until(board, following["by"]) <= 0 else f"start by {_when(board, following['by'])}"
    pour = f"about {display.volume(following['add_L'])}"
    if following["add_L"] < ENOUGH * 1e3:
        pour = f"only if it reads less, {display.volume(following['add_most_L'])} at most"
    parts = [pour, minutes(_whole_minutes(following)), begin]
    rest = f"before {following['name']}: {', '.join(parts)}"
    left = _countdown(board, "left to begin", following["by"])
    return Todo(verb, figures, rest, left, f"{verb} {figures[0]} ({figures[1]}) {rest}.")


def fills_ahead(board: Board) -> list[Mapping[str, Any]]:
    """The fills to come; one before the next session that would pour nothing is none."""
    at_once = board["next"]["session"] if board["next"]["action"] == "go" else None
    return [fill for fill in board["refills"] if fill["before_session"] != at_once]


def _nothing_to_fill(board: Board, display: Display) -> str:
    text = f"Nothing to fill before {board['next']['name']}."
    later = fills_ahead(board)
    if not later:
        return f"{text} No refill is planned for the rest of the day."
    volume, height = mark_texts(board, later[0]["mark_L"], later[0]["mark_mm"], display)
    return f"{text} Next refill: before {later[0]['session_name']}, to {volume} ({height})."


def mark_texts(board: Board, litres: float, millimetres: float, display: Display) -> tuple[str, str]:
    """A mark as a volume and as a height on the dipstick."""
    return display.mark_volume(litres, board["fill_limit_L"]), display.mark_length(millimetres)


def _whole_minutes(following: Mapping[str, Any]) -> float:
    return float(-(-following["minutes_needed"] // 1))


def levels(board: Board, display: Display) -> Levels:
    """The level now, what was read, and what is known beside it."""
    read = board["level_read_L"]
    factor = board["car_factor"]
    known = f"{factor['mean']:.2f} times its plan, give or take {factor['sd']:.2f}"
    count = factor["readings"]
    learnt = f"from {count} reading{'s' if count != 1 else ''} today" if count else "nothing read yet today"
    return Levels(
        display.volume(board["level_expected_L"], 1),
        display.length(board["level_expected_mm"]),
        f"give or take {display.volume(board['level_sd_L'], 1)}",
        display.volume(read, 1) if read is not None else "not yet",
        f"{display.length(board['level_read_mm'])} at {_when(board, board['level_read_at'])}"
        if read is not None
        else "",
        (
            ("In the jugs", f"about {display.volume(board['stock_left_L'])}"),
            ("The car uses", f"{known}, {learnt}"),
            ("Chance to fall below a floor today", share(board["short_chance"])),
            *(() if board["nozzle_check"]["possible"] else (("A clogged nozzle", board["nozzle_check"]["text"]),)),
        ),
    )


def side(board: Board, tank: Tank, display: Display) -> dict[str, Any]:
    """The level now, the next mark and the next floor, as keywords of figures.tank_drawing.TankSide."""
    following, running = board["next"], board["running"]
    number = running["session"] if running else following["session"]
    lines: list[tuple[float, tuple[str, ...], str]] = []
    if following["mark_mm"] is not None:
        text = mark_texts(board, following["mark_L"], following["mark_mm"], display)[0]
        lines.append((following["mark_mm"], (text,), "mark"))
    if number is not None:
        floor = _session(board, number)["floor_L"]
        lines.append((level_mm(tank, floor), ("floor", display.volume(floor)), "floor"))
    return {**tank_side(tank, display), "level": board["level_expected_mm"], "lines": tuple(lines)}


def side_label(board: Board, display: Display) -> str:
    """What the tank picture shows, in words."""
    return f"Tank from the side, about {display.volume(board['level_expected_L'], 1)} in it"


def alarms(board: Board, display: Display, *, urgent: bool) -> list[tuple[str, str]]:
    """Alarms as (level, text): the urgent ones, or the rest with the board's notices."""
    told = [(one["level"], in_units(one["text"], display)) for one in board["alarms"]]
    if urgent:
        return [one for one in told if one[0] in URGENT]
    notices = [("notice", in_units(text, display)) for text in board["notices"]]
    return [one for one in told if one[0] not in URGENT] + notices


@dataclass(frozen=True, slots=True)
class Logged:
    """An entry in the list: its time, what it says, and whether it was taken back or can be."""

    id: str
    time: str
    text: str
    undone: bool
    can_undo: bool


def logged(board: Board, display: Display) -> list[Logged]:
    """The entries, newest first; what takes another back shows as that one crossed out."""
    days = several_days(board)
    listed = [entry for entry in reversed(board["entries"]) if entry["kind"] != "undo"]
    return [
        Logged(
            entry["id"],
            day_and_clock(entry["at"], days),
            _sentence(in_units(entry["text"], display)),
            entry["undone"],
            not entry["undone"],
        )
        for entry in listed
    ]


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def zone_name(board: Board) -> str:
    """The event's time zone as a place, such as "Lisbon time (Europe/Lisbon)"."""
    zone = str(board["timezone"])
    place = zone.rsplit("/", 1)[-1].replace("_", " ")
    return f"{place} time ({zone})" if "/" in zone else zone

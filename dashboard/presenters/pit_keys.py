"""What the keys of the pit board open: presets and a number pad for each kind of entry, as plain data.

A panel is {"title", "says", "subjects", "presets", "pad", "long", "timed"}. Subjects are what it may be about, the
likely one first: {"text", "words"}. Presets are {"text", "label", "entry", "do", "earlier"}; an earlier one needs its
time. The pad is {"label", "kind", "word", "say", "units"} with units of {"unit", "text"}; long is a text of its own.
Timed says that the entry may be made later than it happened.
An entry is what the log's route takes, without its id and time; assets/pit_keys.js merges a subject's words into it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard.presenters.display import Display, clock
from dashboard.presenters.pit_board import Board, many, mark_texts

Panel = dict[str, Any]
EARLIER = {
    "text": "Filled to the mark earlier",
    "label": "Filled to mark",
    "entry": {"kind": "fill", "words": {"to_mark": True}},
    "earlier": True,
}
LATE = (5, 10, 15, 30)
MOST_SUBJECTS = 40
_VOLUME = {"metric": ("L", "L"), "us": ("gal", "gal"), "imperial": ("imperial_gallon", "imp gal")}
_LENGTH = {"metric": ("mm", "mm"), "us": ("inch", "in"), "imperial": ("inch", "in")}
KEYS = (("fill", "Fill"), ("dip", "Dip"), ("done", "Done"), ("late", "Late"))
RARE_KEYS = (("cancel", "Cancelled"), ("stock", "Jugs"), ("note", "Note"))


def panels(board: Board, counted: Mapping[str, str], display: Display) -> dict[str, Panel]:
    """Every panel by its key; counted: what each course counts ("lap") by the course's name."""
    return {
        "fill": _fill(board, display) | {"timed": True},
        "dip": _dip(display) | {"timed": True},
        "done": _done(board, counted) | {"timed": True},
        "late": _late(),
        "cancel": _cancel(board),
        "stock": _stock(display),
        "note": _note() | {"timed": True},
    }


def main_key(board: Board, display: Display) -> tuple[str, str]:
    """The one big key of the moment: its panel and its text."""
    following, running = board["next"], board["running"]
    if running:
        return "done", f"{running['name']} is done"
    if following["action"] in ("fill", "refill"):
        return "fill", f"Filled to {mark_texts(board, following['mark_L'], following['mark_mm'], display)[0]}"
    return "dip", "Log a dip reading"


def mark_entry(board: Board) -> dict[str, Any] | None:
    """A fill to the mark that the board shows, as the log holds it; None where it shows none."""
    following = board["next"]
    if following["mark_L"] is None:
        return None
    value = {
        "to_mark": True,
        "mark_L": following["mark_L"],
        "mark_mm": following["mark_mm"],
        "before": following["session"],
        "before_name": following["name"],
    }
    return {"kind": "fill", "value": value}


def _unit(pair: tuple[str, str]) -> dict[str, str]:
    return {"unit": pair[0], "text": pair[1]}


def _fill(board: Board, display: Display) -> Panel:
    pad = {
        "label": "or the amount poured in",
        "kind": "fill",
        "word": "add",
        "say": "Poured",
        "units": [_unit(_VOLUME[display.system])],
    }
    entry = mark_entry(board)
    if entry is None:
        return {
            "title": "Fill",
            "says": "The plan has no fill here, so say how much went in.",
            "presets": [EARLIER],
            "pad": pad | {"label": "Amount poured in"},
        }
    following = board["next"]
    volume, height = mark_texts(board, following["mark_L"], following["mark_mm"], display)
    preset = {
        "text": f"Filled to mark: {volume} ({height})",
        "label": f"Filled to {volume}",
        "entry": entry,
        "do": True,
    }
    return {"title": "Fill", "says": f"Before {following['name']}.", "presets": [preset, EARLIER], "pad": pad}


def _dip(display: Display) -> Panel:
    units = [_unit(_LENGTH[display.system]), _unit(_VOLUME[display.system]), _unit(("%", "%"))]
    pad = {"label": "Level read", "kind": "level", "word": "level", "say": "Dip", "units": units}
    return {"title": "Dip reading", "says": "On level ground, when the surface is still.", "presets": [], "pad": pad}


def _done(board: Board, counted: Mapping[str, str]) -> Panel:
    rows = _may_be_done(board)
    subjects = [
        {
            "text": f"{row['name']}, {clock(row['start'])}",
            "words": {"session": str(row["number"])},
            "planned": many(row["runs"], counted.get(row["course"], "run")),
            "counted": f"{counted.get(row['course'], 'run')}s",
        }
        for row in rows
    ]
    if not subjects:
        return {"title": "Session done", "says": "Every session is logged.", "presets": [], "subjects": []}
    preset = {
        "text": "Done as planned: {planned}",
        "label": "{text} done",
        "entry": {"kind": "done", "words": {}},
        "do": True,
    }
    pad = {
        "label": "or how many {counted} it was",
        "kind": "done",
        "word": "runs",
        "say": "{text}:",
        "units": [{"unit": "", "text": "{counted}"}],
    }
    return {"title": "Session done", "says": "", "subjects": subjects, "presets": [preset], "pad": pad}


def _may_be_done(board: Board) -> list[Mapping[str, Any]]:
    """Sessions that may be over now, the likely one first: the one that is on, those assumed over, the next one."""
    running = [row for row in board["sessions"] if row["status"] == "running"]
    assumed = [row for row in board["sessions"] if row["status"] == "done" and row["assumed"]]
    planned = [row for row in board["sessions"] if row["status"] == "planned"]
    logged = {
        entry["value"]["session"] for entry in board["entries"] if entry["kind"] == "done" and not entry["undone"]
    }
    found = [*running, *reversed(assumed), *planned[: 1 if running or assumed else 2]]
    said = [row for row in board["sessions"] if row["status"] == "done" and not row["assumed"]]
    found += [row for row in reversed(said) if row["number"] not in logged]
    return found[:MOST_SUBJECTS]


def _late() -> Panel:
    presets = [
        {
            "text": f"{time} min",
            "label": f"Late by {time} min",
            "entry": {"kind": "late", "words": {"late": f"{time} min"}},
        }
        for time in LATE
    ]
    back = {"text": "5 min earlier", "label": "5 min earlier", "entry": {"kind": "late", "words": {"late": "-5 min"}}}
    pad = {
        "label": "or another number of minutes",
        "kind": "late",
        "word": "late",
        "say": "Late by",
        "units": [{"unit": "min", "text": "min"}],
    }
    says = "Moves every session of the day that has not begun."
    return {"title": "The day runs late", "says": says, "presets": [*presets, back], "pad": pad}


def _cancel(board: Board) -> Panel:
    rows = [row for row in board["sessions"] if row["status"] in ("planned", "running")]
    subjects = [
        {"text": f"{row['name']}, {clock(row['start'])}", "words": {"session": str(row["number"])}}
        for row in rows[:MOST_SUBJECTS]
    ]
    preset = {
        "text": "It is cancelled",
        "label": "{text} cancelled",
        "entry": {"kind": "cancelled", "words": {}},
        "do": True,
    }
    says = "" if subjects else "No session is ahead."
    return {"title": "Session cancelled", "says": says, "subjects": subjects, "presets": [preset] if subjects else []}


def _stock(display: Display) -> Panel:
    pad = {
        "label": "Blend left in the jugs",
        "kind": "stock",
        "word": "left",
        "say": "Jugs:",
        "units": [_unit(_VOLUME[display.system])],
    }
    return {
        "title": "What is left in the jugs",
        "says": "All jugs together, the tank not counted.",
        "presets": [],
        "pad": pad,
    }


def _note() -> Panel:
    text = {"label": "What happened", "kind": "note", "word": "text", "say": "Note:"}
    return {"title": "Note", "says": "", "presets": [], "long": text}

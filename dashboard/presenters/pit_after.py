"""After the day as plain data: forecast against what happened, whether bands hold, the car's factor by day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from dashboard.presenters.display import Display
from dashboard.presenters.planner_words import in_units
from dashboard.presenters.table import Column, Row, TableData

After = Mapping[str, Any]
INSIDE = {True: "✓ within", False: "▲ outside", None: ""}
JOINER = "\u2060"  # no line breaks here
STATUS = {"cancelled": "cancelled", "planned": "to come", "running": "on"}

KEPT = "The day's result is kept for the car; undo its entry in the log to take it back."


@dataclass(frozen=True, slots=True)
class AfterView:
    """What the part shows: sentences, the sessions, what could be kept (or why nothing can), and the car's history."""

    text: str
    sessions: TableData
    calibration: str
    keep: dict[str, Any] | None
    refusal: str
    history: TableData | None
    days: list[dict[str, Any]]
    history_label: str


def after_view(after: After, history: Mapping[str, Any] | None, event: str, display: Display) -> AfterView:
    """The part from what /pit/after and /pit/history answer about an event's key; history None where there is none."""
    days = history["days"] if history else []
    kept = any(row["kept"] for row in days if row["event"] == event)
    keep = None if kept else after["keep"]
    return AfterView(
        in_units(after["text"], display),
        sessions_table(after, display),
        after["calibration"]["text"],
        {name: keep[name] for name in ("mean", "sd", "text")} if keep else None,
        KEPT if kept else _refusal(after),
        history_table(history["car"], days) if history and days else None,
        [_day(row) for row in days],
        _history_label(history["car"], days) if history and days else "",
    )


def _refusal(after: After) -> str:
    return f"Nothing can be kept for the car: {after['keep_refusal']}." if after["keep_refusal"] else ""


def sessions_table(after: After, display: Display) -> TableData:
    """Forecast against what happened, session by session."""

    def volume(litres: float | None) -> str:
        return "" if litres is None else display.volume(litres, 1)

    def band(row: Mapping[str, Any], middle: str, low: str, high: str) -> str:
        if row[middle] is None:
            return ""
        return f"{volume(row[middle])} ({display.number(row[low], 'volume'):.2f}–{JOINER}{volume(row[high])})"

    rows = tuple(
        Row(
            f"{row['number']}  {row['name']}",
            (
                _runs(row),
                band(row, "planned_use_L", "planned_use_low_L", "planned_use_high_L"),
                volume(row["use_L"]),
                band(row, "level_expected_L", "level_low_L", "level_high_L"),
                volume(row["level_read_L"]),
                INSIDE[row["inside"]],
            ),
            "broken" if row["inside"] is False else "",
        )
        for row in after["sessions"]
    )
    columns = (
        Column("Runs"),
        Column("Use planned (90 % band)", about="Before the day, with the car's factor as its file has it."),
        Column("Used", about="Level at the session's start less the level read after it, where both are known."),
        Column("Level expected after (90 % band)", about="As followed on the day, just before the level was read."),
        Column("Level read"),
        Column("Within its band"),
    )
    return TableData("Forecast against what happened", "Session", columns, rows)


def _runs(row: Mapping[str, Any]) -> str:
    if row["status"] in STATUS:
        return STATUS[row["status"]]
    planned = f"{row['runs_planned']:g}"
    return planned if row["runs"] in (None, row["runs_planned"]) else f"{row['runs']:g} of {planned}"


def history_table(car: str, days: list[Mapping[str, Any]]) -> TableData:
    """The car's factor on each logged day, oldest first."""
    rows = tuple(
        Row(
            f"{_date(row['date'])}  {row['name']}",
            (
                f"{row['mean']:.2f} ± {row['sd']:.2f}",
                f"{row['before_mean']:.2f} ± {row['before_sd']:.2f}",
                str(row["readings"]),
                "✓ kept" if row["kept"] else "",
            ),
            "chosen" if row["kept"] else "",
        )
        for row in days
    )
    columns = (Column("Factor"), Column("Before the day"), Column("Readings"), Column("Kept for the car"))
    return TableData(f"How many times its plan {car} used, by day", "Day", columns, rows)


def _date(iso: str) -> str:
    day = date.fromisoformat(iso)
    return f"{day.day} {day:%b %Y}"


def _day(row: Mapping[str, Any]) -> dict[str, Any]:
    """A day as keywords of figures.pit_factor_drawing.FactorDay."""
    day = date.fromisoformat(row["date"])
    return {"date": f"{day.day} {day:%b}", "mean": row["mean"], "sd": row["sd"], "kept": row["kept"]}


def _history_label(car: str, days: list[Mapping[str, Any]]) -> str:
    last = days[-1]
    count = f"{len(days)} logged day{'s' if len(days) != 1 else ''}"
    return f"{car} on {count}, last {last['mean']:.2f} times its plan, give or take {last['sd']:.2f}."

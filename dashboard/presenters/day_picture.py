"""Level over the day as plain data, in the units shown: what figures.day_figure draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import Any

from dashboard.presenters.day_whence import (
    floor_whence,
    level_whence,
    several_days,
    start_whence,
    starves_whence,
    worst_whence,
)
from dashboard.presenters.display import Display, clock, moment
from dashboard.presenters.table import Column, Row, TableData

Plan = Mapping[str, Any]
NIGHT_HOURS = 5.0
ON_A_PHONE = 4
PICTURE_COLUMNS = ("Start", "Level before", "Level after", "Worst of 100", "Floor", "Starves below")


@dataclass(frozen=True, slots=True)
class SessionBox:
    """A session in the picture: start and end as local time texts, levels in the units shown."""

    name: str
    number: int
    start: str
    end: str
    floor: float
    starving: float
    level_start: float
    level_end: float
    low_start: float
    low_end: float
    high_start: float
    high_end: float
    hover: str


@dataclass(frozen=True, slots=True)
class Rise:
    """A refill in the picture: when it begins and ends, from which level to which."""

    start: str
    end: str
    low: float
    high: float
    text: str


@dataclass(frozen=True, slots=True)
class DayPicture:
    """Everything in the picture. `nights` are spans (start, end) without sessions that the time axis leaves out."""

    sessions: tuple[SessionBox, ...]
    rises: tuple[Rise, ...]
    washing: tuple[float, float]
    limit: float
    unit: str
    nights: tuple[tuple[str, str], ...]
    several_days: bool


def _local(iso: str) -> str:
    """The wall-clock time without its offset, so that every browser draws the event's own time."""
    return moment(iso).replace(tzinfo=None).isoformat()


def _starving(session: Mapping[str, Any]) -> float:
    return max(session["unusable_level_L"], session["unusable_slosh_L"])


def _boxes(plan: Plan, display: Display) -> list[SessionBox]:
    fills = {fill["before_session"]: fill for fill in plan["refills"]}
    boxes: list[SessionBox] = []
    high = plan["sessions"][0]["level_start_p50_L"]

    def shown(litres: float) -> float:
        return round(display.number(litres, "volume"), 4)

    for session in plan["sessions"]:
        high = session["level_start_p50_L"] if session["number"] in fills else high
        end_high = session.get("level_end_p99_L", session["level_end_p50_L"])
        hover = (
            f"<b>{session['name']}</b> {clock(session['start'])}<br>"
            f"{display.volume(session['level_start_p50_L'])} to {display.volume(session['level_end_p50_L'])}"
            f"<br>floor {display.volume(session['floor_L'])}"
        )
        boxes.append(
            SessionBox(
                session["name"],
                session["number"],
                _local(session["start"]),
                _local(session["end"]),
                shown(session["floor_L"]),
                shown(_starving(session)),
                shown(session["level_start_p50_L"]),
                shown(session["level_end_p50_L"]),
                shown(session.get("level_start_p01_L", session["level_start_p50_L"])),
                shown(session["level_end_p01_L"]),
                shown(high),
                shown(end_high),
                hover,
            )
        )
        high = end_high
    return boxes


def _rises(plan: Plan, boxes: list[SessionBox], display: Display) -> list[Rise]:
    by_number = {box.number: place for place, box in enumerate(boxes)}
    found = []
    for fill in plan["refills"]:
        place = by_number[fill["before_session"]]
        low = (
            boxes[place - 1].level_end
            if place
            else display.number(plan.get("balance", {}).get("in_tank_L", 0.0), "volume")
        )
        text = f"{display.mark_volume(fill['mark_L'], plan['fill_limit_L'])}"
        found.append(Rise(_local(fill["by"]), boxes[place].start, low, boxes[place].level_start, text))
    return found


def _nights(boxes: list[SessionBox]) -> tuple[tuple[str, str], ...]:
    """Spans of many hours between sessions, an hour left on each side."""
    spans = []
    for before, after in pairwise(boxes):
        gap = moment(after.start) - moment(before.end)
        if gap.total_seconds() > NIGHT_HOURS * 3600:
            hour = timedelta(hours=1)
            spans.append(((moment(before.end) + hour).isoformat(), (moment(after.start) - hour).isoformat()))
    return tuple(spans)


def day_picture(plan: Plan, display: Display) -> DayPicture:
    """The whole day's picture."""
    boxes = _boxes(plan, display)
    low, high = plan.get("washing_band_L", (0.0, 0.0))
    return DayPicture(
        tuple(boxes),
        tuple(_rises(plan, boxes, display)),
        (display.number(low, "volume"), display.number(high, "volume")),
        display.number(plan["fill_limit_L"], "volume"),
        display.unit("volume"),
        _nights(boxes),
        several_days(plan),
    )


def part_of(picture: DayPicture, first: int, count: int = ON_A_PHONE) -> DayPicture:
    """The picture of `count` sessions from place `first` on, for a narrow screen."""
    sessions = picture.sessions[first : first + count]
    span = (sessions[0].start, sessions[-1].end)
    rises = tuple(rise for rise in picture.rises if (first == 0 or rise.end >= span[0]) and rise.end <= span[1])
    nights = tuple(night for night in picture.nights if span[0] < night[0] < span[1])
    return DayPicture(sessions, rises, picture.washing, picture.limit, picture.unit, nights, picture.several_days)


def picture_table(plan: Plan, display: Display) -> TableData:
    """The picture's numbers as a table."""
    rows = tuple(
        Row(
            f"{session['number']}  {session['name']}",
            (
                start_whence(plan, session),
                level_whence(plan, session, display, "start"),
                level_whence(plan, session, display, "end"),
                worst_whence(plan, session, display),
                floor_whence(session, display),
                starves_whence(session, display),
            ),
        )
        for session in plan["sessions"]
    )
    return TableData("Level over the day", "Session", tuple(map(Column, PICTURE_COLUMNS)), rows)

"""The forecast to the end of the day as plain data, in the units shown: a slot for each session ahead."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from dashboard.presenters.day_whence import several_days
from dashboard.presenters.display import Display, day_and_clock, moment
from dashboard.presenters.pit_board import Board, fills_ahead, mark_texts
from dashboard.presenters.table import Column, Row, TableData

ON_A_PHONE = 4
TWO_SIDED = 2.326  # normal quantile of 99 %, for the band of the level now


@dataclass(frozen=True, slots=True)
class Slot:
    """A session ahead, levels in the units shown: middle and band at its start and end, its floor.

    fill: the mark before it with its text, or None; passed: share of its time that is over.
    """

    number: int
    name: str
    time: str
    start: float
    end: float
    low_start: float
    low_end: float
    high_start: float
    high_end: float
    floor: float
    end_text: str
    fill: float | None = None
    fill_text: str = ""
    passed: float = 0.0

    @property
    def short(self) -> bool:
        """Whether the worst of a hundred days ends below the floor."""
        return self.low_end < self.floor


@dataclass(frozen=True, slots=True)
class Forecast:
    """Slots in order; the level now with its band; the most that may be filled; `label` says it all in words."""

    slots: tuple[Slot, ...]
    now: float
    low: float
    high: float
    limit: float
    unit: str
    label: str


def ahead(board: Board) -> list[Mapping[str, Any]]:
    """The sessions that are on or to come."""
    return [row for row in board["sessions"] if row["status"] in ("running", "planned")]


def forecast(board: Board, display: Display) -> Forecast | None:
    """Every session ahead; None where there is none."""
    rows = ahead(board)
    if not rows:
        return None

    def shown(litres: float) -> float:
        return round(display.number(max(litres, 0.0), "volume"), 4)

    spread = TWO_SIDED * board["level_sd_L"]
    level = board["level_expected_L"]
    slots = _slots(board, rows, display, level + spread)
    label = _label(board, rows, display)
    limit = shown(board["fill_limit_L"])
    return Forecast(
        tuple(slots), shown(level), shown(level - spread), shown(level + spread), limit, display.unit("volume"), label
    )


def _slots(board: Board, rows: list[Mapping[str, Any]], display: Display, high: float) -> list[Slot]:
    fills = {fill["before_session"]: fill for fill in fills_ahead(board)}
    days = several_days(board)
    slots = []

    def shown(litres: float) -> float:
        return round(display.number(max(litres, 0.0), "volume"), 4)

    for row in rows:
        fill = fills.get(row["number"])
        begin = row["level_start_p50_L"] if fill else max(high, row["level_start_p50_L"])
        high = row.get("level_end_p99_L", row["level_end_p50_L"])
        slot = Slot(
            row["number"],
            row["name"],
            day_and_clock(row["start"], days),
            shown(row["level_start_p50_L"]),
            shown(row["level_end_p50_L"]),
            shown(min(row.get("level_start_p01_L", row["level_start_p50_L"]), row["level_start_p50_L"])),
            shown(row["level_end_p01_L"]),
            shown(begin),
            shown(high),
            shown(row["floor_L"]),
            display.volume(row["level_end_p50_L"]),
        )
        if fill:
            text = mark_texts(board, fill["mark_L"], fill["mark_mm"], display)[0]
            slot = replace(slot, fill=shown(fill["mark_L"]), fill_text=text)
        if row["status"] == "running":
            slot = replace(slot, passed=_passed(board, row))
        slots.append(slot)
    return slots


def _passed(board: Board, row: Mapping[str, Any]) -> float:
    start, end = moment(row["start"]).timestamp(), moment(row["end"]).timestamp()
    return min(max((moment(board["now"]).timestamp() - start) / max(end - start, 1.0), 0.0), 1.0)


def first_of(picture: Forecast, count: int = ON_A_PHONE) -> Forecast:
    """The picture of the next `count` sessions, for a narrow screen."""
    return replace(picture, slots=picture.slots[:count])


def _label(board: Board, rows: list[Mapping[str, Any]], display: Display) -> str:
    last = rows[-1]
    least = min(rows, key=lambda row: row["level_end_p01_L"] - row["floor_L"])
    margin = least["level_end_p01_L"] - least["floor_L"]
    where = f"{display.volume(abs(margin))} {'above' if margin >= 0 else 'below'} its floor"
    return (
        f"About {display.volume(last['level_end_p50_L'])} left after {last['name']}. The tightest is {least['name']}: "
        f"on the worst of a hundred days {where}."
    )


def forecast_table(board: Board, display: Display) -> TableData:
    """The forecast's numbers as a table."""
    days = several_days(board)
    fills = {fill["before_session"]: fill for fill in fills_ahead(board)}

    def mark(row: Mapping[str, Any]) -> str:
        fill = fills.get(row["number"])
        return " · ".join(mark_texts(board, fill["mark_L"], fill["mark_mm"], display)) if fill else ""

    rows = tuple(
        Row(
            f"{row['number']}  {row['name']}",
            (
                day_and_clock(row["start"], days),
                mark(row),
                display.volume(row["level_start_p50_L"]),
                display.volume(row["level_end_p50_L"]),
                display.volume(row["level_end_p01_L"]),
                display.volume(row["floor_L"]),
            ),
            "refill-row" if row["number"] in fills else "",
        )
        for row in ahead(board)
    )
    labels = ("Start", "Fill to", "Before", "After", "Worst of 100", "Floor")
    return TableData("Sessions ahead", "Session", tuple(Column(label) for label in labels), rows)

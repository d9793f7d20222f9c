"""Other choices to buy, as plain data: a tornado of what moves the day's use, with the stops beside each bar."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard.presenters.display import Display
from dashboard.presenters.table import Column, Row, TableData
from planner.compare_tanks.words import change_sentence

LEAST = 5e-3
"""A day's use [L] that moves by less has no bar."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One change: how much more it uses a day, in the unit shown, and what it does to the stops, in words."""

    name: str
    more: float
    said: str


@dataclass(frozen=True, slots=True)
class Tornado:
    """The bars, the longest first; `unit` of a day's use; beside: changes that move stops alone, in words."""

    bars: tuple[Bar, ...]
    unit: str
    beside: tuple[str, ...]


def change_text(result: Mapping[str, Any], display: Display) -> str:
    """What moves use and stops most, in a sentence or two."""
    return change_sentence(result["changes"], display)


def signed(text: str, value: float) -> str:
    """A difference with its sign, whose minus `text` has already."""
    return f"+{text}" if value > 0 else text


def tornado(result: Mapping[str, Any], display: Display) -> Tornado:
    """Every change that moves use as a bar, and those that move stops or days that can be driven alone beside."""
    moving = [row for row in result["changes"] if abs(row["use_more_L"]) >= LEAST]
    still = [row for row in result["changes"] if abs(row["use_more_L"]) < LEAST and _moves_stops(row)]
    bars = tuple(Bar(row["name"], display.number(row["use_more_L"], "volume"), _said(row, display)) for row in moving)
    beside = tuple(f"{row['name']}: {_said({**row, 'use_more_L': 0.0}, display)}" for row in still)
    return Tornado(bars, display.unit("volume"), beside)


def _moves_stops(row: Mapping[str, Any]) -> bool:
    return bool(row["stops_more"] or row["impossible_more"])


def _said(row: Mapping[str, Any], display: Display) -> str:
    parts = [signed(display.volume(row["use_more_L"], more=1), row["use_more_L"])] if row["use_more_L"] else []
    if row["stops_more"]:
        parts.append(f"{_count(row['stops_more'])} stop{'s' * (abs(row['stops_more']) > 1)}")
    if row["impossible_more"]:
        parts.append(f"{_count(row['impossible_more'])} day{'s' * (abs(row['impossible_more']) > 1)} not driven")
    return ", ".join(parts)


def _count(value: int) -> str:
    return f"{value:+d}".replace("-", "−")


def changes_table(result: Mapping[str, Any], display: Display) -> TableData:
    """Every change against today's car."""
    columns = (
        Column("use a day", about="Mean over the days."),
        Column("more than today"),
        Column("stops", about="In all, over the days that can be driven."),
        Column("more stops", about="On the days that can be driven both ways."),
        Column("days not driven"),
        Column("carried, more"),
    )
    rows = [
        Row(
            row["name"],
            (
                display.volume(row["mean_use_L"], more=1),
                signed(display.volume(row["use_more_L"], more=1), row["use_more_L"]),
                str(row["stops"]),
                _count(row["stops_more"]) if row["stops_more"] else "–",
                str(row["impossible_days"] or "–"),
                signed(display.mass(row["carried_more_kg"]), row["carried_more_kg"]),
            ),
        )
        for row in result["changes"]
    ]
    return TableData("One change at a time against today’s car", "change", columns, tuple(rows))

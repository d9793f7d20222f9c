"""What changes to the tank would gain on a course, as a table with sentences."""

from __future__ import annotations

import math
from typing import Any

from dashboard.presenters.display import Display
from dashboard.presenters.table import Column, Row, TableData
from dashboard.presenters.tank_risk import TankRisk
from planner.day.slosh_picture import tank_changes_json

SMALL = 0.005  # [L] under which a gain is none
CAPTION = "Each change by itself; gains do not add up. A gain is fluid that may be used and need not remain."


def _place(millimetres: float, ways: tuple[str, str], display: Display) -> str:
    if abs(millimetres) < 0.5:
        return ""
    return f"{display.length(abs(millimetres))} {ways[0] if millimetres > 0 else ways[1]}"


def pickup_words(change: dict[str, Any], display: Display) -> str:
    """Where a change puts the pickup, from the middle of the tank and above its lowest floor."""
    sides = (
        _place(change["pickup_ahead_mm"], ("ahead", "behind"), display),
        _place(change["pickup_left_mm"], ("to the left", "to the right"), display),
    )
    where = ", ".join(side for side in sides if side) or "in the middle"
    return f"{where}, {display.length(change['pickup_height_mm'])} up"


def gain_words(change: dict[str, Any], display: Display) -> str:
    """What a change gains, as a sentence."""
    gain, what = change["gain_L"], change["what"]
    if abs(gain) < SMALL:
        return f"Gains nothing: {what}."
    return f"{'Gains' if gain > 0 else 'Costs'} {display.volume(abs(gain), more=1)}: {what}."


def changes_table(risk: TankRisk, display: Display) -> TableData:
    """Every change that this tank can have, the largest gain first."""
    found = tank_changes_json(risk.car, risk.traces, risk.course.per)
    rows = [
        Row(
            change["name"].capitalize(),
            (
                gain_words(change, display),
                display.text(change["unusable_slosh_L"], "volume", math.ceil, more=1),
                display.volume(change["capacity_L"]),
                pickup_words(change, display),
            ),
            "chosen" if change["gain_L"] > SMALL and number == 0 else "",
        )
        for number, change in enumerate(found["changes"])
    ]
    columns = (Column("What it gains", False), Column("Starving below"), Column("Holds"), Column("Pickup then", False))
    return TableData(CAPTION, "Change", columns, tuple(rows))


def today_words(risk: TankRisk, display: Display) -> str:
    """What the changes are held against."""
    floor = display.text(risk.slosh["unusable_slosh_L"], "volume", math.ceil, more=1)
    return f"Today starving begins below {floor}."

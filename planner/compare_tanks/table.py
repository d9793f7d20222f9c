"""A comparison as CSV: one row for each tank and event, with units in the heads."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from io import StringIO
from typing import Any

TANK_COLUMNS = (
    *("name", "capacity_L", "fill_limit_L", "length_mm", "width_mm", "height_mm", "full_mass_kg"),
    *("fits", "turned", "undominated", "worth"),
)
DAY_COLUMNS = (
    *("event", "feasible", "stops", "spare_time_min", "gaps_suffice", "in_long_gaps", "short_chance"),
    *("least_margin_L", "spare_L", "mean_carried_kg", "slosh_risk_share", "floor_L", "floor_set_by"),
    *("left_L", "bring_L", "mean_use_L"),
)


def csv_text(result: Mapping[str, Any]) -> str:
    """The table as RFC 4180 text; an unknown value is empty."""
    held = StringIO()
    writer = csv.writer(held)
    writer.writerow([*("tank" if name == "name" else name for name in TANK_COLUMNS), *DAY_COLUMNS])
    for tank in result["tanks"]:
        for day in tank["events"]:
            writer.writerow(
                [*(_cell(tank[name]) for name in TANK_COLUMNS), *(_cell(day[name]) for name in DAY_COLUMNS)]
            )
    return held.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value[:1] in ("=", "+", "-", "@"):
        return "'" + value
    return "" if value is None else value

"""The car's flow at round boosts as a table, each number with where it comes from."""

from __future__ import annotations

from dashboard.presenters import car_whence as whence
from dashboard.presenters.car_curve import ABOVE_FULL, full_boost, point_at
from dashboard.presenters.display import Display
from dashboard.presenters.table import Cell, Column, Row, TableData
from planner.car import Car

TABLE_COLUMNS = ("Pump speed", "Before the nozzles", "Flow", "Of the petrol")


def curve_table(car: Car, display: Display, power_hp: float | None) -> TableData:
    """The curve at round boosts as a table."""
    step = {"metric": 20.0}.get(display.system, 2 * 6.894757)
    top = (full_boost(car) + ABOVE_FULL) / 1e3
    rows = []
    for k in range(int(top / step) + 1):
        point = point_at(car, step * k * 1e3)
        burns = power_hp and step * k * 1e3 >= full_boost(car)
        petrol: Cell = whence.petrol_share_whence(point.flow, power_hp, display) if burns and power_hp else ""
        cells: tuple[Cell, ...] = (
            whence.speed_whence(car, point, display),
            whence.pressure_whence(car, point, display),
            whence.flow_whence(car, point, display),
            petrol,
        )
        rows.append(Row(display.pressure(point.boost), cells))
    return TableData("Flow against boost", "Boost", tuple(map(Column, TABLE_COLUMNS)), tuple(rows))

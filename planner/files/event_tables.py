"""The tables of event.toml but for the courses: their keys, bounds and defaults, and the records that they become."""

from __future__ import annotations

import datetime as dt
import re
from contextlib import suppress
from typing import Annotated

from pydantic import BeforeValidator

from planner.event import PRIORITIES, Priority, Refill, Reserve, Stock
from planner.files.fields import Choice, Listed, Measure, Name, Number, YesNo, refuse
from planner.files.tables import Table

_RESERVE, _REFILL, _STOCK = Reserve(), Refill(), Stock()
VOLUME = Measure("volume", "0 L", "500 L")
_CONTAINER = Measure("volume", "0 L", "1200 L", above_lowest=True)
_POUR = Measure("flow", "0 L/min", "200 L/min", above_lowest=True, shown='"2 L/min"')
_CLOCK = re.compile(r"\s*([01]?\d|2[0-3])[:.h]([0-5]\d)(?::([0-5]\d))?\s*")
_HALF_DAY = re.compile(r"(?i)\s*(\d{1,2})(?:[:.](\d\d))?\s*([ap])\.?m\.?\s*")


def clock_time(value: object) -> dt.time:
    """A time of day such as "09:30". Raises for anything else."""
    if isinstance(value, dt.datetime):
        raise refuse('a date with a time; write the time alone, start = "09:30", and the day as date = 2026-05-16')
    if isinstance(value, dt.time):
        return value.replace(microsecond=0)
    match = _CLOCK.fullmatch(value) if isinstance(value, str) else None
    if match:
        return dt.time(int(match[1]), int(match[2]), int(match[3] or 0))
    raise refuse(_clock_remedy(value))


def _clock_remedy(value: object) -> str:
    match = _HALF_DAY.fullmatch(value) if isinstance(value, str) else None
    if match and 1 <= int(match[1]) <= 12:
        hour = int(match[1]) % 12 + (12 if match[3] in "pP" else 0)
        return f'write the time from 00:00 to 23:59: "{hour:02d}:{match[2] or "00"}"'
    return 'not a time of day; write it from 00:00 to 23:59 in quotes, such as "09:30"'


def day(value: object) -> dt.date:
    """A date such as 2026-05-16. Raises for anything else."""
    if isinstance(value, dt.datetime):
        raise refuse("a date with a time; write the date alone, such as 2026-05-16")
    if isinstance(value, str):
        with suppress(ValueError):
            value = dt.date.fromisoformat(value.strip())
    if not isinstance(value, dt.date):
        raise refuse("not a date; write year, month and day without quotes, such as 2026-05-16")
    if not 1970 <= value.year <= 2200:
        raise refuse("the year must be from 1970 to 2200; write a date such as 2026-05-16")
    return value


class ReserveTable(Table):
    """[reserve]"""

    confidence: Annotated[float, BeforeValidator(Number(0.5, 0.9999, "0.99", percent=True))] = _RESERVE.confidence
    final: Annotated[float, BeforeValidator(Measure("time", "0 s", "30 min", shown='"45 s"'))] = _RESERVE.final
    extra: Annotated[float, BeforeValidator(Number(0, 100, "1"))] = _RESERVE.extra
    prime: Annotated[float, BeforeValidator(VOLUME)] = _RESERVE.prime

    def record(self) -> Reserve:
        """The reserve."""
        return Reserve(self.confidence, self.final, self.extra, self.prime)


class RefillTable(Table):
    """[refill]"""

    setup: Annotated[float, BeforeValidator(Measure("time", "0 s", "12 h", shown='"6 min"'))] = _REFILL.setup
    pour_rate: Annotated[float, BeforeValidator(_POUR)] = _REFILL.pour_rate
    spill: Annotated[float, BeforeValidator(VOLUME)] = _REFILL.spill
    priority: Annotated[Priority, BeforeValidator(Choice("priority", PRIORITIES))] = _REFILL.priority
    stop_at: Annotated[tuple[Name, ...], BeforeValidator(Listed(0, '["paddock"]'))] | None = None

    def record(self) -> Refill:
        """The refill."""
        return Refill(self.setup, self.pour_rate, self.spill, self.priority, self.stop_at)


Price = Annotated[float, BeforeValidator(Measure("price", "0 / L", "1000 / L"))]


class StockTable(Table):
    """[stock]"""

    in_tank: Annotated[float, BeforeValidator(VOLUME)] = _STOCK.in_tank
    containers: Annotated[
        tuple[Annotated[float, BeforeValidator(_CONTAINER)], ...], BeforeValidator(Listed(0, '["10 L", "5 L"]'))
    ] = _STOCK.containers
    alcohol_price: Price | None = None
    water_price: Price | None = None

    def record(self) -> Stock:
        """The stock."""
        return Stock(self.in_tank, self.containers, self.alcohol_price, self.water_price)


class SessionTable(Table):
    """[[session]]"""

    name: Name
    start: Annotated[dt.time, BeforeValidator(clock_time)]
    length: Annotated[float, BeforeValidator(Measure("time", "0 s", "24 h", above_lowest=True, shown='"20 min"'))]
    course: Name
    runs: Annotated[float, BeforeValidator(Number(0, 1500, "3", above_lowest=True))]
    driver: Name | None = None
    gap: Name | None = None
    refill: YesNo | None = None
    date: Annotated[dt.date, BeforeValidator(day)] | None = None

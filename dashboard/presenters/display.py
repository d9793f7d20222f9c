"""Numbers as text in the units that the user wants to see. The only place that knows them; data stay as they are.

Values come in the units of the JSON output: L, mm, mL/min, kPa, kg, degC, s.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import NamedTuple

from planner.units import Dimension, from_si, to_si

# dimension -> (unit of the data, {system: (unit of pint, its name as shown, digits after the point)})
_SHOWN: dict[str, tuple[str, dict[str, tuple[str, str, int]]]] = {
    "volume": ("L", {"metric": ("L", "L", 1), "us": ("gal", "gal", 2), "imperial": ("imperial_gallon", "imp gal", 2)}),
    "length": ("mm", {"metric": ("mm", "mm", 0), "us": ("inch", "in", 2), "imperial": ("inch", "in", 2)}),
    "flow": (
        "mL/min",
        {"metric": ("mL/min", "mL/min", 0), "us": ("gal/h", "gal/h", 2), "imperial": ("mL/min", "mL/min", 0)},
    ),
    "pressure": ("kPa", {"metric": ("bar", "bar", 2), "us": ("psi", "psi", 1), "imperial": ("psi", "psi", 1)}),
    "mass": ("kg", {"metric": ("kg", "kg", 1), "us": ("lb", "lb", 1), "imperial": ("lb", "lb", 1)}),
    "temperature": ("degC", {"metric": ("degC", "°C", 0), "us": ("degF", "°F", 0), "imperial": ("degC", "°C", 0)}),
    "speed": ("km/h", {"metric": ("km/h", "km/h", 0), "us": ("mph", "mph", 0), "imperial": ("mph", "mph", 0)}),
}
SYSTEMS = ("metric", "us", "imperial")
THIN = "\u202f"  # between a number and its unit, so that no line breaks there


class _Shown(NamedTuple):
    """How a dimension is shown: factor and offset from the data's unit, the unit's name, digits after the point."""

    factor: float
    offset: float
    name: str
    digits: int


@lru_cache(maxsize=64)
def _shown_in(system: str, dimension: Dimension) -> _Shown:
    source, systems = _SHOWN[dimension]
    target, name, digits = systems.get(system, systems["metric"])
    zero, one = (float(from_si(to_si(value, source, dimension), target, dimension)) for value in (0.0, 1.0))
    return _Shown(one - zero, zero, name, digits)


def _round(value: float, digits: int, rounding: Callable[[float], float] | None) -> float:
    if rounding is None:
        return round(value, digits)
    return rounding(round(value * 10**digits, 6)) / 10**digits


@dataclass(frozen=True, slots=True)
class Display:
    """Turns numbers into text in one system of units: "metric", "us" or "imperial"."""

    system: str = "metric"

    def unit(self, dimension: Dimension) -> str:
        """The unit's name as shown."""
        return _shown_in(self.system, dimension).name

    def number(self, value: float, dimension: Dimension) -> float:
        """A value of the data in the unit shown, for axes."""
        shown = _shown_in(self.system, dimension)
        return value * shown.factor + shown.offset

    def text(
        self, value: float | None, dimension: Dimension, rounding: Callable[[float], float] | None = None, more: int = 0
    ) -> str:
        """A value with its unit, at the digits that its use deserves; `more` asks for further ones."""
        if value is None:
            return "–"
        shown = _shown_in(self.system, dimension)
        digits = shown.digits + more
        number = _round(value * shown.factor + shown.offset, digits, rounding)
        return f"{number + 0.0:.{digits}f}{THIN}{shown.name}".replace("-", "−")

    def volume(self, litres: float | None, more: int = 0) -> str:
        """A volume [L]; below 1 L with one digit more."""
        finer = 1 if litres is not None and abs(litres) < 0.995 and self.system == "metric" else 0
        return self.text(litres, "volume", more=more or finer)

    def mark_volume(self, litres: float, limit: float) -> str:
        """A mark's volume [L], rounded up so that it holds what the plan needs, but never over the limit [L]."""
        digits = _shown_in(self.system, "volume").digits
        step = 10.0**-digits
        up = _round(self.number(litres, "volume"), digits, math.ceil)
        if up > self.number(limit, "volume") + 0.1 * step:
            return self.text(litres, "volume", math.floor, more=1)
        return self.text(litres, "volume", math.ceil)

    def mark_length(self, millimetres: float) -> str:
        """A mark's height on the dipstick [mm], to the millimetre as everywhere else."""
        return self.text(millimetres, "length")

    def length(self, millimetres: float | None) -> str:
        """A length [mm]."""
        return self.text(millimetres, "length")

    def flow(self, mL_per_min: float | None) -> str:
        """A flow [mL/min]."""
        return self.text(mL_per_min, "flow")

    def pressure(self, kPa: float | None) -> str:
        """A pressure [kPa]."""
        return self.text(kPa, "pressure")

    def mass(self, kg: float | None) -> str:
        """A mass [kg]."""
        return self.text(kg, "mass")

    def temperature(self, degC: float | None) -> str:
        """A temperature [degC]."""
        return self.text(degC, "temperature")


def share(value: float | None) -> str:
    """A share as percent, with as many digits as small or near-certain ones need."""
    if value is None:
        return "–"
    percent = 100 * value
    if 0 < percent < 0.1:
        return f"under 0.1{THIN}%"
    digits = 1 if percent < 10 or percent > 98.95 else 0
    return f"{percent:.{digits}f}".removesuffix(".0") + f"{THIN}%"


def minutes(value: float) -> str:
    """A duration [min] as "45 min" or "2 h 10 min"."""
    whole = round(value)
    if whole < 90:
        return f"{whole}{THIN}min"
    hours, rest = divmod(whole, 60)
    return f"{hours}{THIN}h" + (f" {rest}{THIN}min" if rest else "")


def moment(iso: str) -> datetime:
    """The moment of an ISO text, in the offset that it names: the event's zone."""
    return datetime.fromisoformat(iso)


def clock(iso: str) -> str:
    """The event's wall-clock time, such as "12:05", wherever the browser is."""
    return moment(iso).strftime("%H:%M")


def day_and_clock(iso: str, several_days: bool) -> str:
    """The time, with the weekday before it when the event lasts several days."""
    return f"{moment(iso):%a} {clock(iso)}" if several_days else clock(iso)

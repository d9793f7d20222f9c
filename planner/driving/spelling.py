"""Unit spellings met in recordings' headers and cells, each with its dimension and the text that units.py reads."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from planner.units import Dimension, to_si

Array = np.ndarray

PRESSURE = {
    "kpa": "kPa", "kilopascal": "kPa", "pa": "Pa", "pascal": "Pa", "hpa": "hPa", "mpa": "MPa",
    "bar": "bar", "bara": "bar", "barg": "bar", "bars": "bar", "mbar": "mbar", "millibar": "mbar",
    "psi": "psi", "psig": "psi", "psia": "psi", "lb/in2": "psi", "lbs/in2": "psi",
    "inhg": "inHg", "in hg": "inHg", '"hg': "inHg", "mmhg": "mmHg", "torr": "torr",
    "kg/cm2": "kgf/cm**2", "kgf/cm2": "kgf/cm**2", "kgcm2": "kgf/cm**2", "atm": "atm",
}  # fmt: skip
TIME = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "sek": "s", "sekunden": "s",
    "ms": "ms", "msec": "ms", "millis": "ms", "milliseconds": "ms", "millisecond": "ms",
    "us": "us", "usec": "us", "microseconds": "us", "ns": "ns", "nanoseconds": "ns",
    "min": "min", "minutes": "min", "h": "h", "hours": "h",
}  # fmt: skip
ACCELERATION = {
    "g": "g", "gs": "g", "g-force": "g", "mg": "0.00980665 m/s**2",
    "m/s2": "m/s**2", "m/s/s": "m/s**2", "mps2": "m/s**2", "m/sec2": "m/s**2", "ms-2": "m/s**2", "m s-2": "m/s**2",
    "m/s^2": "m/s**2", "ft/s2": "ft/s**2",
}  # fmt: skip
SPEED = {
    "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "kmph": "km/h", "mph": "mile/h", "mi/h": "mile/h",
    "m/s": "m/s", "mps": "m/s", "kn": "knot", "kt": "knot", "kts": "knot", "knots": "knot", "ft/s": "ft/s",
}  # fmt: skip
TURN_RATE = {
    "deg/s": np.pi / 180, "degps": np.pi / 180, "dps": np.pi / 180, "°/s": np.pi / 180, "deg/sec": np.pi / 180,
    "degrees/s": np.pi / 180, "rad/s": 1.0, "radps": 1.0, "rad/sec": 1.0,
}  # fmt: skip
ANGLE = {"deg": np.pi / 180, "°": np.pi / 180, "degrees": np.pi / 180, "degree": np.pi / 180, "rad": 1.0}
OTHER = {
    "%", "v", "mv", "a", "ma", "degc", "°c", "c", "f", "degf", "°f", "k", "rpm", "1/min", "u/min", "tr/min", "/min",
    "hz", "nm", "lb-ft", "l/h", "cc", "g/s", "kg/h", "lb/min", "afr", "lambda", "mm", "m", "km", "mi", "l", "bool",
    "ratio", "count", "raw", "x", "-", "--", "n/a", "none", "km/l", "mpg", "mg/stroke", "mm3", "ma", "w", "kw", "hp",
    "ps", "ft", "in", "gal", "btdc", "º", "number", "#", "enum", "text", "date", "hh:mm:ss", "hh:mm:ss.ms", "dim",
    "g/sec", "gps", "volts", "volt", "celsius", "fahrenheit", "percent", "lb", "kg",
}  # fmt: skip
TABLES: dict[str, dict[str, object]] = {
    "pressure": dict(PRESSURE),
    "time": dict(TIME),
    "acceleration": dict(ACCELERATION),
    "speed": dict(SPEED),
    "turn rate": dict(TURN_RATE),
    "angle": dict(ANGLE),
}
_SCALE = re.compile(r"([\d.]+) (.+)")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as written in a file: its text, its dimension, and whether it says gauge or absolute by itself."""

    text: str
    dimension: str
    absolute: bool | None = None

    def si(self, values: Array) -> Array:
        """Values in this unit, in SI (angles in rad)."""
        entry = TABLES[self.dimension][_plain(self.text)]
        if isinstance(entry, float):
            return values * entry
        return values * float(to_si(1.0, str(entry), self.dimension))  # type: ignore[arg-type]


def _plain(text: str) -> str:
    folded = text.strip().lower().replace("²", "2").replace("^", "").replace("**", "").replace("·", " ")
    return re.sub(r"\s+", " ", folded).strip(". ")


def unit_of(text: str, dimension: str | None = None) -> Unit | None:
    """The unit that a text spells, of any dimension or of the one asked for; None where it spells none."""
    folded = _plain(text)
    folded, absolute = _kind(folded)
    names = (dimension,) if dimension else tuple(TABLES)
    for name in names:
        if folded in TABLES[name]:
            return Unit(folded, name, absolute if name == "pressure" else None)
    if dimension is None and folded in OTHER:
        return Unit(folded, "other")
    return None


def _kind(folded: str) -> tuple[str, bool | None]:
    """The unit without its gauge or absolute mark, and what the mark says."""
    match = re.fullmatch(r"(.+?)[\s(,.]*(abs|absolute|absolut|a|g|gauge|gage|rel|relativ|relative)\)?", folded)
    if not match or match[1].strip() not in PRESSURE:
        return folded, None
    return match[1].strip(), match[2].startswith("a")

"""Unit spellings met in recordings' headers and cells, each with the text that units.py reads."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import cast

import numpy as np

from planner.errors import UnitError
from planner.units import Dimension, to_si

Array = np.ndarray

_PRESSURE = {
    "kpa": "kPa", "kilopascal": "kPa", "pa": "Pa", "pascal": "Pa", "hpa": "hPa", "mpa": "MPa",
    "bar": "bar", "bars": "bar", "mbar": "mbar", "millibar": "mbar", "psi": "psi", "lb/in2": "psi", "lbs/in2": "psi",
    "inhg": "inHg", "in hg": "inHg", '"hg': "inHg", "in/hg": "inHg", "mmhg": "mmHg", "mm hg": "mmHg", "torr": "torr",
    "kg/cm2": "kg/cm2", "kgf/cm2": "kg/cm2", "kgcm2": "kg/cm2", "kg cm2": "kg/cm2", "kg/sq cm": "kg/cm2",
    "atm": "atm",
}  # fmt: skip
_TIME = {
    "s": "s", "sec": "s", "secs": "s", "second": "s", "seconds": "s", "sek": "s", "sekunden": "s", "segundos": "s",
    "secondes": "s", "secondi": "s", "ms": "ms", "msec": "ms", "msecs": "ms", "millis": "ms", "milliseconds": "ms",
    "millisecond": "ms", "us": "us", "µs": "us", "usec": "us", "microseconds": "us", "ns": "ns", "nanoseconds": "ns",
    "min": "min", "minutes": "min", "minuten": "min", "h": "h", "hours": "h", "hrs": "h",
    "d": "d", "day": "d", "days": "d",
}  # fmt: skip
_ACCELERATION = {
    "g": "g", "gs": "g", "g-force": "g", "g force": "g", "g's": "g", "mg": "mg",
    "m/s2": "m/s2", "m/s/s": "m/s2", "mps2": "m/s2", "mpss": "m/s2", "m/sec2": "m/s2", "ms-2": "m/s2", "m s-2": "m/s2",
    "ms2": "m/s2", "m/s 2": "m/s2", "ft/s2": "ft/s2",
}  # fmt: skip
_SPEED = {
    "km/h": "km/h", "kmh": "km/h", "kph": "km/h", "kmph": "km/h", "km/hr": "km/h", "km/std": "km/h", "mph": "mile/h",
    "mi/h": "mile/h", "m/s": "m/s", "mps": "m/s", "kn": "knot", "kt": "knot", "kts": "knot", "knots": "knot",
    "ft/s": "ft/s",
}  # fmt: skip
_TURN_RATE = {
    "deg/s": "deg/s", "degps": "deg/s", "dps": "deg/s", "°/s": "deg/s", "deg/sec": "deg/s", "degrees/s": "deg/s",
    "deg s": "deg/s", "rad/s": "rad/s", "radps": "rad/s", "rad/sec": "rad/s", "rads": "rad/s",
}  # fmt: skip
_ANGLE = {"deg": "deg", "°": "deg", "degrees": "deg", "degree": "deg", "rad": "rad"}
_ROTATION = dict.fromkeys(("rpm", "1/min", "u/min", "tr/min", "/min", "min-1", "r/min", "rev/min"), "rpm")
_OTHER = {
    "%", "v", "mv", "a", "ma", "degc", "°c", "c", "f", "degf", "°f", "k", "hz", "nm", "lb-ft", "l/h", "cc", "g/s",
    "kg/h", "lb/min", "afr", "lambda", "mm", "m", "km", "mi", "l", "bool", "ratio", "count", "raw", "x", "-", "--",
    "n/a", "none", "km/l", "mpg", "mg/stroke", "mm3", "w", "kw", "hp", "ps", "ft", "in", "gal", "btdc", "º", "number",
    "#", "enum", "text", "date", "hh:mm:ss", "hh:mm:ss.ms", "hh:mm:ss.mmm", "hh:mm:ss.fff", "dim", "g/sec", "gps",
    "volts", "volt", "celsius", "fahrenheit", "percent", "lb", "kg", "ºc", "lap", "datetime", "utc", "1", "unit",
    "ºf", "gear", "l/min", "ml/min", "state", "no unit", "unitless", "time of day", "clock",
}  # fmt: skip
TABLES: dict[str, dict[str, str]] = {
    "pressure": _PRESSURE,
    "time": _TIME,
    "acceleration": _ACCELERATION,
    "speed": _SPEED,
    "turn rate": _TURN_RATE,
    "angle": _ANGLE,
    "rotation": _ROTATION,
    "other": {text: text for text in _OTHER},
}
_MARKED = re.compile(r"(.+?)[\s(,.\-]*(abs|absolute|absolut|a|g|gauge|gage|rel|relativ|relative)\)?")


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as units.py spells it, its dimension, and whether it says gauge (False) or absolute (True) by itself."""

    text: str
    dimension: str
    absolute: bool | None = None

    def si(self, values: Array) -> Array:
        """Values in this unit, in SI (angles in rad); counts and rotations stay as they are."""
        factor = _factor(self.text, self.dimension)
        return values if factor == 1.0 else values * factor


@lru_cache(maxsize=256)
def _factor(text: str, dimension: str) -> float:
    if dimension in ("rotation", "other"):
        return 1.0
    if text == "mg":
        return 1e-3 * float(to_si(1.0, "g", "acceleration"))
    return float(to_si(1.0, text, cast(Dimension, dimension)))


def _plain(text: str) -> str:
    folded = (
        text.strip().lower().replace("²", "2").replace("^", "").replace("**", "").replace("·", " ").replace("â", "")
    )
    return re.sub(r"\s+", " ", folded.replace("μ", "µ")).strip(". ")


@lru_cache(maxsize=4096)
def unit_of(text: str, dimension: str | None = None) -> Unit | None:
    """The unit that a text spells, of any dimension or of the one asked for; None where it spells none."""
    folded, absolute = _kind(_plain(text))
    for name in (dimension,) if dimension else tuple(TABLES):
        if folded in TABLES.get(name, {}):
            return Unit(TABLES[name][folded], name, absolute if name == "pressure" else None)
    return None


def stated_unit(text: str, dimension: str) -> Unit:
    """The unit that a user states for a dimension, in any spelling. Raises UnitError with the remedy."""
    known = unit_of(text, dimension)
    if known:
        return known
    if dimension in ("rotation", "other"):
        raise UnitError(f"'{text}' is not needed: write rpm")
    to_si(1.0, text, cast(Dimension, dimension))
    return Unit(text, dimension)


def _kind(folded: str) -> tuple[str, bool | None]:
    """The unit without its gauge or absolute mark, and what the mark says."""
    if folded in _PRESSURE:
        return folded, None
    match = _MARKED.fullmatch(folded)
    if not match or match[1].strip() not in _PRESSURE:
        return folded, None
    return match[1].strip(), match[2].startswith("a")

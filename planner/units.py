"""Text with a unit to SI and back. No other module knows a unit but SI (and degC for temperatures)."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import Any, Literal

import pint

from planner.errors import UnitError

Dimension = Literal[
    "volume",
    "flow",
    "pressure",
    "length",
    "time",
    "temperature",
    "acceleration",
    "mass",
    "price",
    "speed",
    "density",
    "angle",
    "turn rate",
]

SI_UNIT: dict[str, str] = {
    "volume": "m**3",
    "flow": "m**3/s",
    "pressure": "Pa",
    "length": "m",
    "time": "s",
    "temperature": "degC",
    "acceleration": "m/s**2",
    "mass": "kg",
    "price": "1/m**3",
    "speed": "m/s",
    "density": "kg/m**3",
    "angle": "rad",
    "turn rate": "rad/s",
}
EXAMPLE: dict[str, str] = {
    "volume": '"1.5 gal" or "5 L"',
    "flow": '"300 mL/min" or "7 gal/h"',
    "pressure": '"14 psi" or "1.1 bar"',
    "length": '"15 ft" or "4 mm"',
    "time": '"20 min" or "60 s"',
    "temperature": '"20 degC" or "68 degF"',
    "acceleration": '"0.9 g" or "8.8 m/s2"',
    "mass": '"1.4 kg" or "11 lb"',
    "price": '"2.40 / L"',
    "speed": '"60 km/h" or "40 mph"',
    "density": '"927 kg/m3" or "0.927 g/mL"',
    "angle": '"30 deg" or "0.5 rad"',
    "turn rate": '"20 deg/s" or "0.3 rad/s"',
}
# Spellings of the trade that pint reads otherwise or not at all, by dimension ("g" is a gram elsewhere).
_SPELLING: dict[str, dict[str, str]] = {
    "acceleration": {"g": "standard_gravity", "G": "standard_gravity"},
    "pressure": {
        "kg/cm2": "kgf/cm**2",
        "kg/cm^2": "kgf/cm**2",
        "kg/cm²": "kgf/cm**2",
        "inHg": "inHg",
        "inhg": "inHg",
        "PSI": "psi",
        "Psi": "psi",
        "kpa": "kPa",
        "KPA": "kPa",
        "Kpa": "kPa",
        "BAR": "bar",
        "Bar": "bar",
        "psig": "psi",
        "psia": "psi",
    },
    "flow": {"cc/min": "cm**3/min", "ccm": "cm**3/min", "gph": "gal/h", "lpm": "L/min", "LPM": "L/min"},
    "temperature": {"°C": "degC", "C": "degC", "°F": "degF", "F": "degF"},
    "volume": {"cc": "cm**3", "ml": "mL", "l": "L"},
}
_QUANTITY = re.compile(r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*?)\s*")
_EXPONENT = re.compile(r"(?<=[a-zA-Z])(?:\^)?([23²³])")
_SUPERSCRIPT = {"²": "2", "³": "3"}
# Words joined by * or /, each with a small power at most: what pint evaluates never grows beyond that.
_WORD = r"[^\W\d][\w°]*(?:(?:\*\*|\^)-?[1-4])?|°[CF]"
_SPELLED = re.compile(rf"/?\s*(?:{_WORD})(?:\s*[*/·]\s*(?:{_WORD}))*")


def such_as(dimension: Dimension) -> str:
    """A dimension with an example, as what to write: 'a time such as "20 min" or "60 s"'."""
    return f"{'an' if dimension[0] in 'aeiou' else 'a'} {dimension} such as {EXAMPLE[dimension]}"


@lru_cache(maxsize=1)
def _registry() -> Any:
    return pint.UnitRegistry(cache_folder=":auto:")


@lru_cache(maxsize=512)
def _unit(unit: str, dimension: Dimension) -> Any:
    """The pint unit that a spelling means for a dimension, or UnitError."""
    spelled = _SPELLING.get(dimension, {}).get(unit, unit)
    if unit and (len(unit) > 40 or not _SPELLED.fullmatch(spelled)):
        raise UnitError(f"unknown unit '{unit[:40]}'; write {such_as(dimension)}")
    if dimension == "price":
        spelled = f"1/({spelled.removeprefix('/').strip()})" if spelled.startswith("/") else ""
    spelled = _EXPONENT.sub(lambda m: "**" + _SUPERSCRIPT.get(m[1], m[1]), spelled)
    try:
        parsed = _registry().parse_units(spelled) if spelled else None
    except Exception as reason:  # pint raises many kinds, tokenizer errors among them
        raise UnitError(f"unknown unit '{unit}'; write {such_as(dimension)}") from reason
    if parsed is None:
        raise UnitError(f"no unit; write {such_as(dimension)}")
    if not parsed.is_compatible_with(SI_UNIT[dimension]) or "delta" in str(parsed):
        raise UnitError(f"'{unit}' is not a unit of {dimension}; write {such_as(dimension)}")
    return parsed


def quantity(text: object, dimension: Dimension) -> float:
    """The SI value of a text such as "14 psi" (temperatures in degC).

    Raises UnitError, whose text says what would be right, for a bare number, an unknown unit,
    a unit of another dimension, or a value that is not finite.
    """
    if not isinstance(text, str):
        raise UnitError(f"a bare number has no unit; write a {dimension} in quotes, such as {EXAMPLE[dimension]}")
    return _quantity(text, dimension)


@lru_cache(maxsize=4096)
def _quantity(text: str, dimension: Dimension) -> float:
    match = _QUANTITY.fullmatch(text)
    if not match:
        raise UnitError(f"not a number and a unit; write {such_as(dimension)}")
    value = float(to_si(float(match[1]), match[2], dimension))
    if not math.isfinite(value):
        raise UnitError(f"not a finite number; write {such_as(dimension)}")
    return value


def to_si(value: Any, unit: str, dimension: Dimension) -> Any:
    """Value or array in `unit` to SI (temperatures to degC). Raises UnitError for a wrong unit."""
    parsed = _unit(unit, dimension)
    return _registry().Quantity(value, parsed).to(SI_UNIT[dimension]).magnitude


def from_si(value: Any, unit: str, dimension: Dimension) -> Any:
    """SI value or array (temperatures in degC) in `unit`. Raises UnitError for a wrong unit."""
    parsed = _unit(unit, dimension)
    return _registry().Quantity(value, SI_UNIT[dimension]).to(parsed).magnitude


def text(value: float, unit: str, dimension: Dimension, digits: int = 6) -> str:
    """SI value as text with a unit, such as "14 psi"; the inverse of `quantity` to `digits` digits."""
    return f"{from_si(value, unit, dimension):.{digits}g} {unit}"

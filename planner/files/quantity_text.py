"""SI values as the texts of a file: the unit in which a value is shortest, and that reads back to the same value."""

from __future__ import annotations

import json

from planner import units
from planner.units import Dimension

_UNITS: dict[str, tuple[str, ...]] = {
    "volume": ("L", "mL", "gal", "m3"),
    "flow": ("mL/min", "L/min", "gal/h", "m3/s"),
    "pressure": ("bar", "psi", "kPa", "Pa"),
    "length": ("mm", "m", "ft", "in"),
    "time": ("s", "min", "h"),
    "temperature": ("degC", "degF"),
    "acceleration": ("g", "m/s2"),
    "mass": ("kg", "lb"),
    "price": ("/ L", "/ gal", "/ m3"),
}
_DIGITS = (3, 4, 5, 6, 9, 12, 15, 16, 17)


def quantity_text(value: float, dimension: Dimension) -> str:
    """Text such as "14 psi" for an SI value (temperatures in degC), in the unit that needs the fewest digits.

    It reads back to `value` exactly, as 17 digits of the SI unit always do.
    Length breaks ties, then the order of the units here.
    """
    amounts = {unit: float(units.from_si(value, unit, dimension)) for unit in _UNITS[dimension]}
    written = ([f"{amount:.{digits}g} {unit}" for unit, amount in amounts.items()] for digits in _DIGITS)
    exact = ([text for text in texts if units.quantity(text, dimension) == value] for texts in written)
    return min(next(texts for texts in exact if texts), key=lambda text: len(text.split(" ")[0]))


def quoted(text: str) -> str:
    """A text as TOML writes it, in quotes."""
    return json.dumps(text, ensure_ascii=False)


def quantity(value: float, dimension: Dimension) -> str:
    """A quantity as TOML writes it, in quotes."""
    return quoted(quantity_text(value, dimension))


def number(value: float) -> str:
    """A plain number as TOML writes it; whole ones without a decimal point."""
    return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(float(value))


def yes_or_no(value: bool) -> str:
    """true or false."""
    return "true" if value else "false"


def pairs(rows: list[list[str]]) -> str:
    """Rows of ready texts as an array of arrays."""
    return "[" + ", ".join(f"[{', '.join(row)}]" for row in rows) + "]"

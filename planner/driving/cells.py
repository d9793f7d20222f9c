"""What one cell of a table says: a number, a time, nothing, or text."""

from __future__ import annotations

import re

MISSING = frozenset(
    ("", "na", "n/a", "n.a.", "nan", "-nan", "nd", "null", "nil", "none", "no data", "nodata", "unknown", "invalid",
     "-", "--", "---", "----", "?", "*", "**", "***", "x", "#", "err", "error", "timeout", "inf", "+inf", "-inf", "∞",
     "infinity", "-infinity", "#n/a", "#num!", "#value!", "#ref!", "#div/0!")
)  # fmt: skip
_FIGURE = r"[-+−]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?"
_OF_DAY = r"(?:\d{1,3}:)?\d{1,3}:\d{1,2}(?:[.,:]\d{1,9})?(?:\s*[apAP]\.?[mM]\.?)?"
_DATE = (
    r"(?:\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d{1,2}[-. /][A-Za-z]{3,9}\.?[-. /,]+\d{2,4}|[A-Za-z]{3,9} \d{1,2},? \d{4})"
)
_ZONE = r"(?:\s*(?:Z|UTC|GMT|[-+]\d{2}:?\d{2}|[-+]\d{2}))?"
NUMBER = re.compile(_FIGURE)
THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
POINTED = re.compile(r"[-+]?\d{1,3}(?:\.\d{3})+,\d+")
MEASURED = re.compile(rf"({_FIGURE})\s*([^\d\s.,:;+\-/−][^\d\s:;]{{0,9}}(?: \(?[A-Za-z][^\d\s:;]{{0,8}})?\d?)")
_TIME = re.compile(rf"{_OF_DAY}{_ZONE}|{_DATE}(?:[T\s,]+{_OF_DAY}{_ZONE})?")
_VALUE = re.compile(rf"{_FIGURE}|{THOUSANDS.pattern}|{POINTED.pattern}|{MEASURED.pattern}|{_TIME.pattern}")


def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no value."""
    return cell.strip().lower() in MISSING


def is_number(cell: str) -> bool:
    """Whether a cell is a number, with a point or a comma."""
    text = cell.strip()
    return bool(NUMBER.fullmatch(text) or THOUSANDS.fullmatch(text) or POINTED.fullmatch(text))


def is_time(cell: str) -> bool:
    """Whether a cell is a time of day, a date, or both."""
    return bool(_TIME.fullmatch(cell.strip()))


def is_value(cell: str) -> bool:
    """Whether a cell could stand in a row of data: a number, a number with a unit, or a time."""
    return bool(_VALUE.fullmatch(cell.strip()))

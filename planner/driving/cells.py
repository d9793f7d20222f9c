"""What one cell of a table says: a number, a time, nothing, or text."""

from __future__ import annotations

import re

MISSING = frozenset(
    ("", "na", "n/a", "nan", "null", "none", "-", "--", "---", "----", "err", "error", "?", "#n/a", "inf", "-inf", "nil",
     "no data", "nodata", "invalid", "*", "**", "***", "x", "∞", "-nan", "#num!", "#value!", "#ref!", "#div/0!")
)  # fmt: skip
NUMBER = re.compile(r"[-+−]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?")
THOUSANDS = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?")
MEASURED = re.compile(r"([-+−]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][-+]?\d+)?)\s*([^\d\s.,:;+-][^\d:;]{0,9}\d?)")
TIME_OF_DAY = re.compile(r"(?:\d{1,3}:)?\d{1,2}:\d{1,2}(?:[.,:]\d{1,9})?(?:\s*[ap]\.?m\.?)?", re.IGNORECASE)
STAMP = re.compile(
    r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}(?:[T\s,]+\d{1,2}:\d{2}(?::\d{2}(?:[.,:]\d{1,9})?)?(?:\s*[ap]m)?\s*(?:Z|UTC|GMT|[-+]\d{2}:?\d{2})?)?",
    re.IGNORECASE,
)


def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no value."""
    return cell.strip().lower() in MISSING


def is_number(cell: str) -> bool:
    """Whether a cell is a number, with a point or a comma."""
    text = cell.strip()
    return bool(NUMBER.fullmatch(text) or THOUSANDS.fullmatch(text))


def is_time(cell: str) -> bool:
    """Whether a cell is a time of day, a date, or both."""
    text = cell.strip()
    return bool(TIME_OF_DAY.fullmatch(text) or STAMP.fullmatch(text))


def is_measured(cell: str) -> bool:
    """Whether a cell is a number followed by a unit."""
    return bool(MEASURED.fullmatch(cell.strip()))


def is_value(cell: str) -> bool:
    """Whether a cell could stand in a row of data: a number, a number with a unit, or a time."""
    return is_number(cell) or is_time(cell) or is_measured(cell)

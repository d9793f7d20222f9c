"""Text cells to numbers, many at a time: units behind them, decimal commas, grouped digits, cells without a value."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from planner.driving.cells import MISSING

Array = np.ndarray
_FIGURE = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?"
_LEADING = rf"^\s*({_FIGURE})(?:\s*[^\d\s.,:;+/-][^\d\s:;]{{0,9}}(?: \(?[A-Za-z][^\d\s:;]{{0,8}})?\d?)?\s*$"
_POINTED = r"^\s*[-+]?\d{1,3}(?:\.\d{3})+,\d+"
_MISSING = pa.array(sorted(MISSING))


def numbers_from_text(text: pa.ChunkedArray, decimal: str, *, thousands: bool) -> tuple[Array, int]:
    """Numbers (n,), NaN where a cell holds none, and how many cells hold something that is not a number.

    thousands: digits are grouped by the sign, of point and comma, that is not the decimal one.
    """
    cells = pc.replace_substring(text, "−", "-")
    if decimal == "," and thousands:
        grouped = pc.match_substring_regex(cells, _POINTED)
        cells = pc.if_else(grouped, pc.replace_substring(cells, ".", ""), cells)
    if decimal == "," or thousands:
        cells = pc.replace_substring(cells, ",", "." if decimal == "," else "")
    bare = pc.replace_substring_regex(cells, _LEADING, r"\1")
    good = pc.fill_null(pc.match_substring_regex(bare, rf"^{_FIGURE}$"), False)
    numbers = pc.cast(pc.if_else(good, bare, None), pa.float64())
    empty = pc.fill_null(pc.is_in(pc.utf8_lower(pc.utf8_trim_whitespace(text)), value_set=_MISSING), True)
    unreadable = pc.sum(pc.invert(pc.or_(good, empty))).as_py() or 0
    return finite(
        numbers.to_numpy(zero_copy_only=False) if isinstance(numbers, pa.Array) else numbers.to_numpy()
    ), unreadable


def finite(values: Array) -> Array:
    """Values as floats, NaN in place of infinities; the same array where it has none."""
    floats = np.asarray(values, dtype=float)
    with np.errstate(invalid="ignore", over="ignore"):
        total = floats.sum()
    if np.isfinite(total):
        return floats
    return np.where(np.isfinite(floats), floats, np.nan)

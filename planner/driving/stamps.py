"""Time cells to seconds: text such as 17:58:02.288 or 2026-05-16T09:30:00Z, and numbers in any unit of time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from planner.driving.spelling import Unit, unit_of

Array = np.ndarray

DAY = 86400.0
_TIME = (
    r"(?:(?:(?P<h>\d{1,3}):)?(?P<m>\d{1,3}):)(?P<s>\d{1,2})(?:[.,:](?P<f>\d{1,9}))?\s*(?P<half>[AaPp])?(?:\.?[Mm]\.?)?"
    r"\s*(?P<zone>Z|UTC|GMT|[-+]\d{2}:?\d{2}|[-+]\d{2})?"
)
_DATE = r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d{1,2}[-. /][A-Za-z]{3,9}\.?[-. /,]+\d{2,4}|[A-Za-z]{3,9} \d{1,2},? \d{4}"
_STAMP = rf"^\s*(?:(?P<date>{_DATE})[T\s,]+)?{_TIME}\s*$"
_MOST_FREE_STAMPS = 200_000
_COARSE = 1e-9  # [s]
# Days since 1899-12-31 in spreadsheets, from 1982 to 2064, and the longest step that rows have.
_SERIALS, _SERIAL_STEP = (30e3, 60e3), 1e-3
# Seconds since 1970 lie between these for any recording made from 1985 to 2128.
_EPOCHS = ((5e8, 5e9, "s"), (5e11, 5e12, "ms"), (5e14, 5e15, "us"), (5e17, 5e18, "ns"))


@dataclass(frozen=True, slots=True, eq=False)
class Stamps:
    """seconds (n,) from an arbitrary zero, NaN where a row has no time; of_day: they start anew at midnight."""

    seconds: Array
    of_day: bool
    unit: str
    doubt: str = ""


def stamps_from_text(text: pa.ChunkedArray) -> Stamps:
    """Seconds of time texts; a date before them, a zone or am and pm behind them count where present."""
    parts = pc.extract_regex(text, _STAMP)
    if parts.null_count > 0.5 * len(text):
        return _free_stamps(text)
    fields = {name: pc.struct_field(parts, name) for name in ("date", "h", "m", "s", "f", "half", "zone")}
    dates = _unique_map(fields["date"], _days)
    dated = bool(np.any(dates != 0))
    hours, minutes, seconds = (_whole(fields[name]) for name in ("h", "m", "s"))
    if dated and not np.any(hours):
        hours, minutes, seconds = minutes, seconds, np.zeros_like(seconds)
    hours = hours + _unique_map(fields["half"], _halves) * 12 - 12 * ((hours == 12) & _present(fields["half"]))
    fraction = pc.cast(_text_or(pc.binary_join_element_wise("0.", fields["f"], ""), "0"), pa.float64())
    shift = dates * DAY - _unique_map(fields["zone"], _zones)
    total = shift + 3600 * hours + 60 * minutes + seconds + np.asarray(fraction.to_numpy())
    return Stamps(
        np.where(np.isnan(_absent(parts)), np.nan, total), not dated, "date and time" if dated else "time of day"
    )


def _absent(parts: pa.ChunkedArray) -> Array:
    return np.where(np.asarray(pc.is_null(parts).to_numpy()), np.nan, 0.0)


def _present(column: pa.ChunkedArray) -> Array:
    return np.asarray(pc.fill_null(pc.greater(pc.binary_length(column), 0), False).to_numpy())


def _text_or(column: pa.ChunkedArray, default: str) -> pa.ChunkedArray:
    filled = pc.fill_null(column, default)
    return pc.if_else(pc.equal(filled, ""), default, filled)


def _whole(column: pa.ChunkedArray) -> Array:
    return np.asarray(pc.cast(_text_or(column, "0"), pa.float64()).to_numpy())


def _unique_map(column: pa.ChunkedArray, values_of: Any) -> Array:
    """A number for each cell (n,), computed once for each text that occurs."""
    coded = _text_or(column, "").combine_chunks().dictionary_encode()
    codes = coded.chunk(0) if isinstance(coded, pa.ChunkedArray) else coded
    texts = [str(value) for value in codes.dictionary.to_pylist()]
    return np.asarray(values_of(texts), dtype=float)[np.asarray(codes.indices.to_numpy())]


def _halves(texts: list[str]) -> list[float]:
    return [1.0 if text.lower() == "p" else 0.0 for text in texts]


def _zones(texts: list[str]) -> list[float]:
    """Seconds ahead of UTC."""
    digits = [
        (text[0] == "-", text.lstrip("+-").replace(":", "")) if text[:1] in "+-" and text else (False, "0")
        for text in texts
    ]
    return [(-1 if minus else 1) * (3600 * int(text[:2]) + 60 * int(text[2:4] or 0)) for minus, text in digits]


def _days(texts: list[str]) -> list[float]:
    """Days since the first date; of day first and month first, the order that spans less."""
    import pandas as pd  # a third of a second to import, and few recordings have dates

    orders = []
    for day_first in (True, False):
        stamps = pd.to_datetime(pd.Series(texts), dayfirst=day_first, errors="coerce", format="mixed")
        days = (stamps - stamps.min()).dt.total_seconds() / DAY
        orders.append([1 + day if day == day else 0.0 for day in days])
    return min(orders, key=lambda days: (sum(1 for day in days if day == 0), max(days)))


def _free_stamps(text: pa.ChunkedArray) -> Stamps:
    """Seconds of stamps written otherwise, such as with the weekday in front."""
    import pandas as pd  # a third of a second to import, and few recordings need it

    codes, unique = pd.factorize(np.asarray(text.to_numpy(), dtype=object))
    if len(unique) > _MOST_FREE_STAMPS:
        return Stamps(np.full(len(text), np.nan), False, "")
    read = pd.to_datetime(pd.Series(unique, dtype=object), errors="coerce", format="mixed", utc=True)
    seconds = (read - read.min()).dt.total_seconds().to_numpy(dtype=float)
    return Stamps(np.append(seconds, np.nan)[codes], False, "date and time")


def stamps_from_numbers(numbers: Array, unit: Unit | None) -> Stamps:
    """Seconds of numbers (n,) in a unit of time; without one, epochs and the usual step tell it."""
    known = unit if unit and unit.dimension == "time" else None
    spelled, doubt = (known.text, "") if known else _guessed(numbers)
    scale = unit_of(spelled, "time")
    assert scale is not None
    start = numbers[0] if numbers.size and not np.isnan(numbers[0]) else 0.0
    seconds = scale.si(numbers - start)
    if float(scale.si(np.spacing(np.abs(np.asarray(start))))) > _COARSE:
        seconds = np.round(seconds, 6)  # large stamps are not exact as floats: microseconds are as written
    of_day = bool(0 <= scale.si(np.asarray(start)) <= DAY) and known is not None
    return Stamps(seconds, of_day, spelled, doubt)


def _guessed(numbers: Array) -> tuple[str, str]:
    """The unit of time that a column without one is in, and the doubt to tell."""
    finite = numbers[~np.isnan(numbers)]
    middle = float(np.median(finite)) if finite.size else 0.0
    for low, high, unit in _EPOCHS:
        if low < middle < high:
            return unit, ""
    steps = np.diff(finite)
    steps = steps[steps > 0]
    step = float(np.median(steps)) if steps.size else 1.0
    if _SERIALS[0] < middle < _SERIALS[1] and step < _SERIAL_STEP:
        return "d", f"no unit of time is given; numbers about {middle:.0f} were taken for days, as spreadsheets count"
    if finite.size >= 20 and step >= 5000:
        return "us", f"no unit of time is given; steps of {step:g} were taken for microseconds"
    if finite.size >= 20 and (step >= 5 or (step >= 1 and float(np.ptp(finite)) > 2 * DAY)):
        return "ms", f"no unit of time is given; steps of {step:g} were taken for milliseconds"
    return "s", "" if step < 1 else f"no unit of time is given; steps of {step:g} were taken for seconds"

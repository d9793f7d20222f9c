"""Accelerations for cornering: to m/s2 in ISO 8855 signs, low-passed against vibration."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.cornering_sign import sign_of, turning_of
from planner.driving.low_pass import CUT_OFF, low_passed
from planner.driving.signals import ColumnReport, Signals
from planner.driving.spelling import unit_of

Array = np.ndarray

AXES = ("lateral", "longitudinal")
G = 9.80665  # [m/s2]
MOST = 4.0 * G  # [m/s2], beyond what any road car does
MOST_AT_REST = 0.4 * G  # [m/s2], median over LONG [s] or more
LONG = 30.0
_IN_G = 3.5


@dataclass(frozen=True, slots=True, eq=False)
class Cornering:
    """lateral, longitudinal (m,) [m/s2] on the clock's rows or None, the reports of their columns, and notices."""

    lateral: Array | None
    longitudinal: Array | None
    reports: tuple[ColumnReport, ...] = ()
    notices: tuple[str, ...] = ()


def cornering_of(signals: Signals, before_gaps: Array) -> Cornering:
    """The accelerations of a recording, low-passed; `before_gaps` are the rows after which nothing was recorded."""
    recorded = [axis for axis in AXES if signals.has(axis)]
    if not recorded:
        return _from_speed(signals, before_gaps)
    notices: list[str] = []
    reports: list[ColumnReport] = []
    raw = {axis: _on_rows(signals, axis, notices, reports) for axis in recorded}
    smooth = _smooth(signals.clock.time, raw, before_gaps)
    kept = {axis: values for axis, values in smooth.items() if _possible(signals, axis, values, notices)}
    signed = {axis: _signed(signals, axis, values, notices, reports) for axis, values in kept.items()}
    used = [report for report in reports if report.meaning in signed]
    return Cornering(signed.get("lateral"), signed.get("longitudinal"), tuple(used), tuple(notices))


def _on_rows(signals: Signals, axis: str, notices: list[str], reports: list[ColumnReport]) -> Array:
    """An acceleration (m,) [m/s2] on every row; where rows repeat or lack values, straight between refreshes."""
    notices.extend(signals.doubts(axis))
    values, column = signals.si(axis), signals.columns[axis]
    unit = column.unit.text if column.unit else ""
    if not unit:
        unit = "g" if float(np.nanquantile(np.abs(values[:: max(1, values.size // 20000)]), 0.99)) < _IN_G else "m/s2"
        known = unit_of(unit, "acceleration")
        assert known is not None
        values = known.si(values)
        notices.append(
            f'"{column.name}" has no unit; by its size it was read in {unit} (--unit {axis}={unit} confirms it).'
        )
    fresh = signals.fresh(values)
    reports.append(signals.report(axis, unit=unit, interval=fresh.interval))
    on_rows = signals.on_rows(fresh)
    return -on_rows if column.reversed else on_rows


def _smooth(time: Array, raw: dict[str, Array], before_gaps: Array) -> dict[str, Array]:
    """Accelerations low-passed; two axes go through the filter as one complex signal, in one pass."""
    if len(raw) == 1:
        return {axis: low_passed(time, values, before_gaps) for axis, values in raw.items()}
    both = np.empty(time.size, dtype=complex)
    both.real, both.imag = raw["lateral"], raw["longitudinal"]
    both = low_passed(time, both, before_gaps)
    return {"lateral": both.real, "longitudinal": both.imag}


def _possible(signals: Signals, axis: str, values: Array, notices: list[str]) -> bool:
    """Whether filtered values are ones that a car can do."""
    name = signals.columns[axis].name
    rest = float(np.median(values))
    long = signals.clock.time[-1] - signals.clock.time[0] >= LONG
    if axis == "longitudinal" and long and abs(rest) > MOST_AT_REST:
        notices.append(
            f'"{name}" rests at {rest / G:.1f} g, which no car keeps up: it holds gravity or is another axis, and was '
            "left out. Say which column it is with --column longitudinal=NAME."
        )
        return False
    most = float(np.abs(values).max())
    if most <= MOST:
        return True
    notices.append(
        f'"{name}" reaches {most / G:.1f} g below {CUT_OFF:g} Hz, which no road car does; it was left out. '
        f"If its unit is another, say --unit {axis}=m/s2 or --unit {axis}=g."
    )
    return False


def _signed(signals: Signals, axis: str, values: Array, notices: list[str], reports: list[ColumnReport]) -> Array:
    """Values with the sign of ISO 8855, as speed and yaw rate or course tell it; else as they are, with a notice."""
    place = next(i for i, report in enumerate(reports) if report.meaning == axis)
    old = reports[place]
    if signals.columns[axis].reversed:
        return values
    sign = sign_of(signals, axis, values)
    notices.extend(sign.notices)
    filtered = f"; below {CUT_OFF:g} Hz"
    reports[place] = ColumnReport(old.name, axis, old.unit, old.refresh_interval_s, f"{old.how}; {sign.how}{filtered}")
    return -values if sign.turned else values


def _from_speed(signals: Signals, before_gaps: Array) -> Cornering:
    """Accelerations from speed and yaw rate, or from speed and course; unknown where speed has no unit."""
    found = turning_of(signals)
    if found is None:
        return Cornering(None, None)
    if signals.columns["speed"].unit is None:
        said = f'"{signals.columns["speed"].name}" has no unit, so cornering was not worked out from it'
        return Cornering(None, None, (), (f"{said}; say it with --unit speed=km/h (or mph, m/s).",))
    time = signals.clock.time
    lateral = low_passed(time, found.speed * found.turn, before_gaps)
    longitudinal = low_passed(time, np.gradient(found.speed, time), before_gaps)
    reports = [signals.report(m, interval=signals.refreshes(m).interval) for m in ("speed", found.meaning)]
    notice = f"No acceleration is recorded; cornering was computed from speed and {found.meaning}."
    name = signals.columns[found.meaning].name
    if found.meaning == "yaw rate" and not signals.columns["yaw rate"].reversed:
        notice += f' "{name}" was taken as positive to the left; the other way round is --column "yaw rate=-{name}".'
    return Cornering(lateral, longitudinal, tuple(reports), (notice,))

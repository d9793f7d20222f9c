"""A recorded pressure made into boost: unit, kind, the air outside, gaps, held values and spikes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.ambient import Ambient, ambient_of, barometer_level
from planner.driving.engine_off import level_when_idle, level_when_off, without_stale
from planner.driving.faulty import (
    doubt_ceiling,
    doubt_constant,
    doubt_jumps,
    doubt_still,
    without_absurd,
    without_impossible,
)
from planner.driving.gaps import Gap, longest_step, rows_before_gaps
from planner.driving.held import Refreshes, refreshes_of, rows_per_refresh, usual_interval
from planner.driving.pressure_kind import Evidence, Kind, kind_of, quantiles, words_of
from planner.driving.pressure_unit import doubt_unit, fits, pascal, unit_found
from planner.driving.signals import ColumnReport, Signals
from planner.driving.source import refuse
from planner.driving.spikes import spikes
from planner.event import Reading

Array = np.ndarray

FROZEN = 60.0  # [s] without any change while boosting
_LIVELY_CHANGES = 30
_FINE_STEP = 3e3  # [Pa]


@dataclass(frozen=True, slots=True, eq=False)
class Boost:
    """A boost signal: moments with straight lines between, gaps, how it was read and what was mended."""

    moments: Refreshes
    gaps: tuple[Gap, ...]
    kind: Kind
    ambient: Ambient
    spikes_removed: int
    reports: tuple[ColumnReport, ...]
    notices: tuple[str, ...]


def boost_of(signals: Signals, reading: Reading) -> Boost:
    """The boost of a recording. Raises BadInput where unit or kind of the pressure are not settled."""
    notices = list(signals.doubts("boost"))
    unit = _unit(signals, reading, notices)
    doubt_constant(signals, unit, notices)
    pressure, absurd = without_absurd(signals, signals.raw("boost") * pascal(unit), notices)
    evidence = _evidence(signals, pressure)
    kind = _kind(signals, evidence, reading, notices)
    doubt_unit(evidence, signals.columns["boost"], kind.absolute, signals.file, unit)
    doubt_still(signals, evidence, notices)
    ambient = _ambient(signals, evidence, kind, reading, notices)
    gauge, impossible = _gauge(signals, pressure, ambient if kind.absolute else None, notices)
    moments, gaps = _moments(signals, gauge)
    moments, removed = _without_spikes(moments, notices)
    doubt_jumps(signals, removed, moments.time.size + removed, notices)
    removed += impossible + absurd
    frozen = _frozen(moments, notices)
    reports = _reports(signals, unit, kind, moments)
    return Boost(moments, tuple(sorted((*gaps, *frozen), key=_start)), kind, ambient, removed, reports, tuple(notices))


def _start(gap: Gap) -> float:
    return gap.start_s


def _unit(signals: Signals, reading: Reading, notices: list[str]) -> str:
    """The unit of the pressure. Raises BadInput where neither file nor values settle it."""
    column = signals.columns["boost"]
    if column.unit:
        return column.unit.text
    raw = _evidence(signals, signals.raw("boost"))
    found = _unit_of_barometer(signals, raw, reading) or unit_found(raw, reading.absolute)
    if found is None:
        remedy = "the file gives no unit of pressure; say it with --unit boost=kPa (or psi, bar, mbar, inHg)"
        refuse(signals.file, remedy, key=f'column "{column.name}"')
    notices.append(
        f'"{column.name}" has no unit; by its size it was read in {found} (--unit boost={found} confirms it).'
    )
    return found


def _unit_of_barometer(signals: Signals, raw: Evidence, reading: Reading) -> str | None:
    """The unit of the barometer where it too is given without, and the pressure can be in it."""
    if not signals.has("barometer") or signals.columns["barometer"].unit:
        return None
    level = barometer_level(signals.raw("barometer"), None)
    kind = kind_of(raw.scaled(pascal(level[1])), reading.absolute) if level else None
    return level[1] if level and kind and fits(raw.scaled(pascal(level[1])), kind.absolute) else None


def _evidence(signals: Signals, pressure: Array) -> Evidence:
    """What tells the kind of a pressure (m,), in its own unit."""
    time, column = signals.clock.time, signals.columns["boost"]
    low, high, near_zero = quantiles(pressure[~np.isnan(pressure)])
    off = idle = None
    if signals.has("rpm"):
        rpm = signals.raw("rpm")
        off = level_when_off(time, pressure, rpm)
        idle = level_when_idle(time, pressure, rpm, signals.si("speed")) if signals.has("speed") else None
    words = words_of(column.words, column.unit.absolute if column.unit else None)
    barometer = _barometer(signals)
    air = None if barometer is None else float(np.nanmedian(barometer))
    return Evidence(low, high, near_zero, float(time[-1] - time[0]), off, idle, air, words)


def _barometer(signals: Signals) -> Array | None:
    if not signals.has("barometer"):
        return None
    level = barometer_level(signals.raw("barometer"), signals.columns["barometer"].unit)
    return None if level is None else level[0]


def _kind(signals: Signals, evidence: Evidence, reading: Reading, notices: list[str]) -> Kind:
    column = signals.columns["boost"]
    kind = kind_of(evidence, reading.absolute)
    if kind is None:
        low, high = evidence.low / 1e3, evidence.high / 1e3
        remedy = (
            "the data do not settle whether this is gauge pressure (above the air outside) or absolute (above vacuum); "
            "say it with --gauge or --absolute (absolute = false or true in a course)"
        )
        refuse(signals.file, remedy, key=f'column "{column.name}"', value=f"{low:.1f} to {high:.1f} kPa")
    said = evidence.words and (evidence.words == "absolute") != kind.absolute
    word = "absolute" if kind.absolute else "gauge"
    if said:
        notices.append(f'"{column.name}" was read as {word} pressure against its name, as {kind.grounds}.')
    elif not kind.sure:
        flag = f"--{word}"
        notices.append(f'"{column.name}" is probably {word} pressure, as {kind.grounds}; {flag} confirms it.')
    return kind


def _ambient(signals: Signals, evidence: Evidence, kind: Kind, reading: Reading, notices: list[str]) -> Ambient:
    stated = reading.ambient
    if not kind.absolute:
        known = ambient_of(signals.clock.time, stated, None, None).pressure
        return Ambient(known, 0.0, "not needed, as the pressure is gauge")
    ambient = ambient_of(signals.clock.time, stated, _barometer(signals), evidence.off)
    if ambient.notice:
        notices.append(ambient.notice)
    return ambient


def _gauge(signals: Signals, pressure: Array, air: Ambient | None, notices: list[str]) -> tuple[Array, int]:
    """Boost (m,) [Pa gauge] of a pressure, counted from `air` if absolute, and how many samples cannot be."""
    if air is not None:
        doubt_ceiling(signals.clock.time, pressure, notices)
    gauge = pressure if air is None else pressure - air.values
    gauge, impossible = without_impossible(signals, gauge, None if air is None else pressure, notices)
    return _engine_off(signals, gauge, notices), impossible


def _engine_off(signals: Signals, gauge: Array, notices: list[str]) -> Array:
    if not signals.has("rpm"):
        return gauge
    mended, stale = without_stale(signals.clock.time, gauge, signals.raw("rpm"))
    if stale >= 1:
        notices.append(
            f"The pressure shows boost for {stale:.0f} s with the engine off; that is stale and was taken as none."
        )
    return mended


def _moments(signals: Signals, gauge: Array) -> tuple[Refreshes, list[Gap]]:
    """The refreshes of a boost (m,) [Pa gauge], NaN where a row holds none, and the gaps between them."""
    clock = signals.clock
    present = np.flatnonzero(~np.isnan(gauge)) if np.isnan(gauge).any() else None
    time, values = (clock.time, gauge) if present is None else (clock.time[present], gauge[present])
    breaks = clock.breaks if present is None else np.searchsorted(present, clock.breaks, side="right") - 1
    breaks = breaks[(breaks >= 0) & (breaks < time.size - 1)]
    rows = rows_per_refresh(values)
    interval = usual_interval(time, rows)
    before = rows_before_gaps(time, interval, breaks)
    moments = refreshes_of(time, values, rows, interval=interval, gaps=before)
    gaps = [_gap(time, row, clock.time, row in breaks) for row in before.tolist()]
    return moments, gaps + _ends(time, clock.time, interval)


def _gap(time: Array, row: int, rows: Array, anew: bool) -> Gap:
    start, end = float(time[row]), float(time[row + 1])
    empty = int(np.searchsorted(rows, end) - np.searchsorted(rows, start, side="right"))
    reason = "the clock starts anew" if anew else "no boost value in the rows" if empty else "no rows"
    return Gap(start, end - start, reason)


def _ends(time: Array, rows: Array, interval: float) -> list[Gap]:
    """Rows before the first and after the last boost value, where they last longer than a gap."""
    ends = ((float(rows[0]), float(time[0])), (float(time[-1]), float(rows[-1])))
    return [Gap(a, b - a, "no boost value in the rows") for a, b in ends if b - a > longest_step(interval)]


def _without_spikes(moments: Refreshes, notices: list[str]) -> tuple[Refreshes, int]:
    places = spikes(moments.time, moments.value)
    if not places.size:
        return moments, 0
    shown = ", ".join(f"{moments.value[p] / 1e3:.0f} kPa at {moments.time[p]:.1f} s" for p in places[:3])
    notices.append(f"{places.size} single samples that no manifold can do were removed ({shown}).")
    time, value = np.delete(moments.time, places), np.delete(moments.value, places)
    return Refreshes(time, value, moments.interval, moments.rows), int(places.size)


def _frozen(moments: Refreshes, notices: list[str]) -> list[Gap]:
    """Stretches in which a signal that is lively elsewhere stays at one boost for longer than driving can hold it."""
    steps = np.diff(moments.value)
    changed = np.flatnonzero(steps != 0)
    firsts, lasts = np.concatenate(([0], changed + 1)), np.append(changed, moments.value.size - 1)
    spans = moments.time[lasts] - moments.time[firsts]
    if changed.size < _LIVELY_CHANGES or spans.max() < FROZEN or np.abs(steps[changed]).min() > _FINE_STEP:
        return []
    longest = max(FROZEN, 20 * moments.interval, 20 * float(np.median(spans)))
    frozen = np.flatnonzero((spans > longest) & (moments.value[firsts] > 10e3))
    gaps = [Gap(float(moments.time[firsts[i]]), float(spans[i]), "the pressure is frozen") for i in frozen]
    for gap, i in zip(gaps, frozen, strict=True):
        shown = f"{moments.value[firsts[i]] / 1e3:.0f} kPa gauge for {gap.duration_s:.0f} s from {gap.start_s:.0f} s"
        notices.append(f"The pressure is frozen at {shown}; that carries no use.")
    return gaps


def _reports(signals: Signals, unit: str, kind: Kind, moments: Refreshes) -> tuple[ColumnReport, ...]:
    word = "absolute" if kind.absolute else "gauge"
    how = f"{signals.columns['boost'].how}; {word}: {kind.grounds} ({'sure' if kind.sure else 'likely'})"
    held = f"; rows repeat old values, new every {moments.rows} rows" if moments.held else ""
    reports = [signals.report("boost", unit=unit, interval=moments.interval, how=how + held)]
    if kind.absolute and _barometer(signals) is not None:
        level = barometer_level(signals.raw("barometer"), signals.columns["barometer"].unit)
        reports.append(signals.report("barometer", unit=level[1] if level else ""))
    if signals.has("rpm"):
        reports.append(signals.report("rpm", unit="rpm"))
    return tuple(reports)

"""Signs that a pressure is not the manifold's: it never moves, is beyond what a manifold holds, or meets a ceiling."""

from __future__ import annotations

import numpy as np

from planner.driving.pressure_kind import Evidence
from planner.driving.signals import Signals
from planner.driving.source import refuse
from planner.driving.spikes import HIGHEST, LOWEST

Array = np.ndarray

LEAST_ABSOLUTE = 4e3  # [Pa]; no engine draws its manifold so low, a broken wire reads zero
ABSURD = HIGHEST + 110e3  # [Pa], gauge or absolute
BYTE = 255e3  # [Pa absolute]; a manifold pressure of one byte in kPa ends there (ISO 15031-5; from memory)
MOST_IMPOSSIBLE = 0.3  # share of the samples
MOST_SPIKES = 0.05  # share of the samples
STILL = 3e3  # [Pa]
_FEWEST, _SHORTEST = 30, 20.0  # samples, [s]
_VARIED = 1.5
_AT_CEILING = 1.0  # [s]


def doubt_constant(signals: Signals, unit: str, notices: list[str]) -> None:
    """Tell of a pressure that never changes. Raises BadInput where the engine's speed does, unless the user chose."""
    values, time = signals.raw("boost"), signals.clock.time
    if values[0] != values[values.size // 2]:
        return
    present = values[~np.isnan(values)]
    if present.size < _FEWEST or time[-1] - time[0] < _SHORTEST or np.ptp(present) > 0:
        return
    column, shown = signals.columns["boost"], f"{present[0]:g} {unit} throughout"
    if present[0] != 0 and not column.given and _revs(signals):
        remedy = (
            "it never changes while the engine's speed does, so the sensor or its wire is faulty; "
            f"choose another column with --column boost=NAME, or this one with --column boost={column.name}"
        )
        refuse(signals.file, remedy, key=f'column "{column.name}"', value=shown)
    notices.append(f'"{column.name}" is {shown}; a sensor that works does not stand still.')


def doubt_still(signals: Signals, evidence: Evidence, notices: list[str]) -> None:
    """Tell of a pressure that hardly moves while the engine's speed does."""
    spread = evidence.high - evidence.low
    if 0 < spread < STILL and evidence.duration >= _SHORTEST and _revs(signals):
        low, high = evidence.low / 1e3, evidence.high / 1e3
        name = signals.columns["boost"].name
        said = f'"{name}" hardly moves ({low:.1f} to {high:.1f} kPa) while the engine does'
        notices.append(f"{said}; its sensor may be faulty, or another column is boost (--column boost=NAME).")


def doubt_jumps(signals: Signals, count: int, samples: int, notices: list[str]) -> None:
    """Tell of spikes that are too many to be chance. Raises BadInput unless the user chose the column."""
    if count <= MOST_SPIKES * samples or count < _FEWEST:
        return
    column, value = signals.columns["boost"], f"{count} of {samples} samples jump as no manifold does"
    if not column.given:
        remedy = "its sensor or wire is faulty; choose another column with --column boost=NAME"
        refuse(signals.file, remedy, key=f'column "{column.name}"', value=value)
    notices.append(f'"{column.name}": {value}; its sensor or wire is faulty.')


def _revs(signals: Signals) -> bool:
    """Whether the engine's speed varies as it does in driving."""
    if not signals.has("rpm"):
        return False
    low, high = np.nanquantile(signals.raw("rpm"), (0.05, 0.95))
    return bool(high > _VARIED * max(low, 1.0) and high > 1000)


def without_absurd(signals: Signals, pressure: Array, notices: list[str]) -> tuple[Array, int]:
    """A pressure (m,) [Pa] without the few samples that no pressure of an engine is, and how many they are.

    Where they are many, the unit is in doubt, which the caller judges.
    """
    if np.abs(pressure).max() <= ABSURD:
        return pressure, 0
    wrong = np.abs(pressure) > ABSURD
    count = int(np.count_nonzero(wrong))
    if not 0 < count <= MOST_IMPOSSIBLE * np.count_nonzero(~np.isnan(pressure)):
        return pressure, 0
    notices.append(_left_out(signals, count, float(pressure[int(np.argmax(wrong))]), ""))
    return np.where(wrong, np.nan, pressure), count


def _left_out(signals: Signals, count: int, first: float, kind: str) -> str:
    name = signals.columns["boost"].name
    return f'{count} samples of "{name}" that no manifold holds were left out (such as {first / 1e3:.0f} kPa{kind}).'


def without_impossible(signals: Signals, gauge: Array, pressure: Array | None, notices: list[str]) -> tuple[Array, int]:
    """Boost (m,) [Pa gauge], NaN where no manifold holds it, and how many that are; `pressure` (m,) [Pa] if absolute.

    Raises BadInput where they are too many.
    """
    possible = gauge.min() >= LOWEST and gauge.max() <= HIGHEST
    if possible and (pressure is None or pressure.min() >= LEAST_ABSOLUTE):
        return gauge, 0
    wrong = (gauge < LOWEST) | (gauge > HIGHEST)
    if pressure is not None:
        wrong |= pressure < LEAST_ABSOLUTE
    count = int(np.count_nonzero(wrong))
    if not count:
        return gauge, 0
    name = signals.columns["boost"].name
    if count > MOST_IMPOSSIBLE * np.count_nonzero(~np.isnan(gauge)):
        remedy = "no manifold holds that; choose another column with --column boost=NAME, or its unit (--unit boost=)"
        refuse(signals.file, remedy, key=f'column "{name}"', value=f"{count} samples of {gauge.size}")
    notices.append(_left_out(signals, count, float(gauge[int(np.argmax(wrong))]), " gauge"))
    return np.where(wrong, np.nan, gauge), count


def doubt_ceiling(time: Array, pressure: Array, notices: list[str]) -> None:
    """Tell of an absolute pressure (m,) [Pa] at time (m,) [s] that stays at the highest value of one byte."""
    at_ceiling = np.abs(pressure - BYTE) < 1.0
    if not at_ceiling.any() or np.nanmax(pressure) > BYTE + 1.0:
        return
    seconds = float(np.sum(np.diff(time)[at_ceiling[1:]]))
    if seconds >= _AT_CEILING:
        notices.append(
            f"The pressure stands at 255 kPa for {seconds:.0f} s, the most that one byte holds: "
            "boost may have been higher, and with it the use."
        )

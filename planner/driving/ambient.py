"""The air outside that an absolute pressure is counted from: stated, by barometer, with the engine off, or standard."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from planner.driving.pressure_kind import AIR
from planner.driving.pressure_unit import pascal
from planner.driving.signals import refreshes_of_rows
from planner.driving.spelling import Unit

Array = np.ndarray

STANDARD_ATMOSPHERE = 101325.0  # [Pa], ISO 2533
_STEADY = 3e3  # [Pa]


@dataclass(frozen=True, slots=True, eq=False)
class Ambient:
    """pressure [Pa] of the air outside, as one value for the report and as `values`, one or one for each row; how."""

    pressure: float
    values: Array | float
    how: str
    notice: str = ""


def barometer_level(values: Array, unit: Unit | None) -> tuple[Array, str] | None:
    """A barometer's values (n,) [Pa] and unit, found by magnitude where not given; None where it shows no air."""
    present = values[~np.isnan(values)]
    if not present.size:
        return None
    middle = float(np.median(present))
    tried = (unit.text,) if unit else ("kPa", "mbar", "psi", "bar", "inHg")
    for text in tried:
        if AIR[0] <= middle * pascal(text) <= AIR[1]:
            return values * pascal(text), text
    return None


def ambient_of(time: Array, stated: float | None, barometer: Array | None, off: float | None) -> Ambient:
    """The air outside at time (n,) [s]: stated [Pa], else barometer (n,) [Pa], else `off` [Pa] with the engine off."""
    if stated is not None:
        return Ambient(stated, stated, "stated by the user")
    if barometer is not None:
        present = barometer[~np.isnan(barometer)]
        middle = float(np.median(present))
        if np.ptp(np.quantile(present, (0.01, 0.99))) <= _STEADY:
            return Ambient(middle, middle, "by the barometer column, its middle value")
        changing = refreshes_of_rows(time, barometer).at(time)
        return Ambient(middle, changing, "by the barometer column as it changes")
    if off is not None and AIR[0] <= off <= AIR[1]:
        return Ambient(off, off, "by the pressure with the engine off")
    notice = (
        "The air outside is not recorded; 101.325 kPa was taken off the absolute pressure. "
        'Say it with --ambient, such as --ambient "98 kPa".'
    )
    return Ambient(STANDARD_ATMOSPHERE, STANDARD_ATMOSPHERE, "the standard atmosphere, as nothing tells it", notice)

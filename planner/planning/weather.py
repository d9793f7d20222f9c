"""Weather and the blend: frost at night, vapour by day, and a full container in a hot boot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from planner.errors import OutsideModel
from planner.physics.blend import density, flash_point, freezing_point
from planner.planning.stock import FILL_LIMIT
from planner.planning.warning import Warning

FREEZING_MARGIN = 3.0  # [K] kept above the first ice
FLASH_MARGIN = 9.0  # [K]; the flash point is known no better


OUTDOORS = (-60.0, 100.0)  # [degC]; weather and parked cars have no other


def absurd_outdoors(temperature: float) -> str:
    """What is wrong with a temperature [degC] for weather or a parked car; "" where nothing is."""
    low, high = OUTDOORS
    return "" if low <= temperature <= high else f"must be from {low:g} to {high:g} degC; check the number and its unit"


@dataclass(frozen=True, slots=True)
class Weather:
    """Temperatures [degC]: the night's low, the day's high, the boot's when hot; None where unknown."""

    night_low: float | None = None
    day_high: float | None = None
    boot: float | None = None


def expansion(alcohol_share: float, cold: float, hot: float) -> float:
    """Growth of a blend's volume [1] from `cold` to `hot` [degC]. Raises OutsideModel beyond the blend model."""
    return float(density(alcohol_share, cold) / density(alcohol_share, hot) - 1)


def largest_fill(alcohol_share: float, cold: float, hot: float) -> float:
    """Share of a container [1] to fill in the cool, so that it is at most 95 % full in the heat."""
    return FILL_LIMIT / (1 + max(expansion(alcohol_share, cold, hot), 0.0))


def in_degC(temperature: float) -> str:
    """A temperature [degC] as text."""
    return f"{temperature:.3g} degC"


def weather_warnings(
    alcohol_share: float, weather: Weather, show: Callable[[float], str] = in_degC
) -> tuple[Warning, ...]:
    """What the weather means for a blend; nothing for temperatures that are not given. `show` writes temperatures.

    Raises OutsideModel for a share outside 0 to 1, a day's high below the night's low, or a boot beyond the model.
    """
    low, high = weather.night_low, weather.day_high
    if low is not None and high is not None and high < low:
        raise OutsideModel(f"the day's high, {high:g} degC, lies below the night's low, {low:g} degC; swap them")
    found = []
    if low is not None:
        found.append(_frost(alcohol_share, low, show))
    if high is not None and alcohol_share > 0:
        found.append(_vapour(alcohol_share, high, show))
    if weather.boot is not None and low is not None:
        found.append(_full_container(alcohol_share, low, weather.boot, show=show))
    return tuple(found)


def _frost(alcohol_share: float, low: float, show: Callable[[float], str]) -> Warning:
    freezing = float(freezing_point(alcohol_share))
    ice, night = show(round(freezing)), show(low)
    if low <= freezing:
        text = f"The blend starts to freeze at {ice} and the night falls to {night}: keep it indoors."
        return Warning("warning", "frost", text)
    if low < freezing + FREEZING_MARGIN:
        text = f"The night's low of {night} is near the blend's first ice at {ice}: keep it indoors."
        return Warning("caution", "frost", text)
    return Warning("notice", "frost", f"The blend starts to freeze at {ice}; the night's low is {night}.")


def _vapour(alcohol_share: float, high: float, show: Callable[[float], str]) -> Warning:
    flash = float(flash_point(alcohol_share))
    if np.isinf(flash):
        text = "Too weak to flash, but the alcohol still poisons; treat the jug as you would any methanol."
        return Warning("notice", "vapour", text)
    if high >= flash - FLASH_MARGIN:
        text = (
            f"At the day's high of {show(high)} the vapour over this blend can catch fire (flash point about "
            f"{show(flash)}, known to {FLASH_MARGIN:.0f} K): no flame, spark or hot exhaust near, jugs shut and shaded."
        )
        return Warning("warning", "vapour", text)
    text = (
        f"Flash point about {show(flash)}, above the day's high of {show(high)}: it still burns when spilled on "
        "anything hot, and a jug left in the sun passes the air's temperature."
    )
    return Warning("caution", "vapour", text)


def _full_container(alcohol_share: float, cold: float, hot: float, *, show: Callable[[float], str]) -> Warning:
    growth = expansion(alcohol_share, cold, hot)
    full, fill = FILL_LIMIT * (1 + growth), largest_fill(alcohol_share, cold, hot)
    text = (
        f"From {show(cold)} to {show(hot)} the blend grows by {growth:.1%}: a container filled to {FILL_LIMIT:.0%} "
        f"ends at {full:.1%}. Filled to {fill:.1%} in the cool it stays within {FILL_LIMIT:.0%}; open a warm one "
        "slowly, away from any flame."
    )
    return Warning("caution" if full > 0.97 else "notice", "expansion", text)


def weather_json(alcohol_share: float, weather: Weather) -> dict[str, object]:
    """Weather, the blend's two points and the warnings as plain data."""
    flash = float(flash_point(alcohol_share))
    return {
        "night_low_degC": weather.night_low,
        "day_high_degC": weather.day_high,
        "boot_degC": weather.boot,
        "freezing_degC": float(freezing_point(alcohol_share)),
        "flash_degC": flash if np.isfinite(flash) else None,
        "warnings": [warning.as_dict() for warning in weather_warnings(alcohol_share, weather)],
    }

"""Whether a recorded manifold pressure counts from vacuum or from the air outside, with the grounds.

A wrong answer changes everything, so the evidence must settle it: signs, the level with the engine off or idling, the
words of the column's name, or a spread of values that only one of the two can have.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from planner.driving.vocabulary import ABSOLUTE_WORDS, BOOST_WORDS, GAUGE_WORDS

Array = np.ndarray
Words = Literal["absolute", "gauge", "boost", ""]

AIR = (60e3, 108e3)  # [Pa] outside air where people drive
_JUDGED = 20_000
_LONG = 30.0  # [s]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a recording tells of its pressure: low, high: 1 and 99 % quantiles [Pa]; near_zero: share of values there.

    duration [s]; off, idle: settled level [Pa] with the engine off and idling at a standstill, or None; barometer [Pa]
    or None; words of the column's name.
    """

    low: float
    high: float
    near_zero: float
    duration: float
    off: float | None
    idle: float | None
    barometer: float | None
    words: Words

    def scaled(self, factor: float) -> Evidence:
        """The same evidence with the pressure in another unit; near_zero is kept."""
        off, idle = (None if level is None else factor * level for level in (self.off, self.idle))
        return replace(self, low=factor * self.low, high=factor * self.high, off=off, idle=idle)


@dataclass(frozen=True, slots=True)
class Kind:
    """absolute or gauge, why, and whether that is sure or likely."""

    absolute: bool
    grounds: str
    sure: bool = True


def words_of(name: str, unit_says: bool | None) -> Words:
    """What a folded name and its unit say of the kind of pressure."""
    if unit_says is not None:
        return "absolute" if unit_says else "gauge"
    if ABSOLUTE_WORDS.search(name):
        return "absolute"
    if GAUGE_WORDS.search(name):
        return "gauge"
    return "boost" if BOOST_WORDS.search(name) else ""


def quantiles(values: Array) -> tuple[float, float, float]:
    """1 and 99 % quantiles of values without NaN, and the share of them within 2 % of the higher one around zero."""
    judged = values[:: max(1, values.size // _JUDGED)]
    low, high = (float(q) for q in np.quantile(judged, (0.01, 0.99)))
    return low, high, float(np.mean(np.abs(judged) <= 0.02 * abs(high)))


def kind_of(evidence: Evidence, stated: bool | None = None) -> Kind | None:
    """The kind of pressure, or None where the evidence does not settle it; `stated` overrides."""
    if stated is not None:
        return Kind(stated, "stated by the user")
    return _by_sign(evidence) or _by_level(evidence) or _by_words(evidence) or _by_spread(evidence)


def _by_sign(evidence: Evidence) -> Kind | None:
    if evidence.low < -2e3:
        return Kind(False, f"it falls to {evidence.low / 1e3:.0f} kPa, and no absolute pressure is below zero")
    return None


def _by_level(evidence: Evidence) -> Kind | None:
    """By the level with the engine off or idling, where the manifold is at or below the air outside."""
    off, idle = evidence.off, evidence.idle
    if off is not None and AIR[0] <= off <= AIR[1]:
        return Kind(True, f"it shows {off / 1e3:.1f} kPa with the engine off")
    if off is not None and abs(off) <= 8e3:
        return Kind(False, f"it shows {off / 1e3:.1f} kPa with the engine off")
    if idle is not None and 12e3 <= idle <= AIR[1]:
        return Kind(True, f"it shows {idle / 1e3:.0f} kPa at idle, where there is no boost")
    if idle is not None and -AIR[1] <= idle <= 8e3:
        return Kind(False, f"it shows {idle / 1e3:.0f} kPa at idle")
    return None


def _by_words(evidence: Evidence) -> Kind | None:
    doubtful = evidence.near_zero > 0.2 if evidence.words == "absolute" else _never_at_rest(evidence)
    if not evidence.words or doubtful:
        return None
    return Kind(evidence.words == "absolute", f'its name or unit says "{evidence.words}"')


def _never_at_rest(evidence: Evidence) -> bool:
    """Whether values look absolute: always well above zero, at or below the air outside at times, and far above it."""
    long = evidence.duration >= _LONG and evidence.high - evidence.low >= 40e3
    return long and 15e3 <= evidence.low <= AIR[1] and evidence.high >= 140e3


def _by_spread(evidence: Evidence) -> Kind | None:
    if evidence.words:
        return None
    if evidence.near_zero >= 0.05 and evidence.high > 5e3:
        return Kind(False, f"it is at zero {evidence.near_zero:.0%} of the time", sure=False)
    if _never_at_rest(evidence):
        low, time = evidence.low / 1e3, evidence.duration
        return Kind(True, f"it stays above {low:.0f} kPa for {time:.0f} s, which no gauge pressure does", sure=False)
    air = evidence.barometer
    if air is not None and evidence.low >= 8e3 and abs(evidence.high - air) <= 0.06 * air:
        return Kind(True, "its highest values are those of the barometer", sure=False)
    return None

"""The floor of a session: what must remain in the tank at every moment of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from planner.car import Car
from planner.driving.trace import Trace
from planner.event import Per
from planner.use.starving import starving_floor


@dataclass(frozen=True, slots=True)
class Floor:
    """Parts of a floor [m3]: unusable at the pickup on level ground and under acceleration, switch, final reserve.

    `reason` says in a sentence where the part under acceleration comes from.
    """

    unusable_level: float
    unusable_slosh: float
    low_level_switch: float
    final_reserve: float
    reason: str = ""

    @property
    def total(self) -> float:
        """The floor [m3]: the largest of the first three, and the final reserve on top."""
        return max(self.unusable_level, self.unusable_slosh, self.low_level_switch) + self.final_reserve

    @property
    def set_by(self) -> str:
        """Which part sets the floor, in words."""
        parts = {
            "the pickup on level ground": self.unusable_level,
            "the fluid thrown away from the pickup": self.unusable_slosh,
            "the low-level switch": self.low_level_switch,
        }
        return max(parts, key=lambda name: parts[name])


def level_ground_floor(car: Car) -> float:
    """Volume [m3] that the pickup cannot reach on level ground."""
    return float(car.tank.shape.volume_from_level(car.tank.pickup.height))


def session_floor(car: Car, traces: Sequence[Trace], per: Per, *, final_reserve: float) -> Floor:
    """Floor of a session whose course has these traces; final_reserve [m3].

    Where no trace holds an acceleration, the cautious pattern for the kind of event `per` stands in.
    """
    starving = starving_floor(car, traces, per)
    return Floor(
        unusable_level=level_ground_floor(car),
        unusable_slosh=starving.volume,
        low_level_switch=car.tank.low_level_switch or 0.0,
        final_reserve=final_reserve,
        reason=starving.reason,
    )

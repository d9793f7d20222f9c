"""The tank from the car's left side, true in its proportions, with the day's fill marks: small, for paper."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from planner.car import Car
from planner.physics.tank import LyingCylinder, WithSump


def tank_drawing(plan: Mapping[str, Any], car: Car, size: tuple[float, float]) -> str:
    """An SVG of a size (width, height) [mm]: outline, the largest floor hatched, each fill mark with its session."""
    shape, (width, height) = car.tank.shape, size
    across = shape.diameter if isinstance(shape, LyingCylinder) else shape.length
    room = height - 4.0
    scale = min(room / shape.height, (width * 0.45) / across)
    left, base = 2.0, height - 2.0
    extent = (across * scale, shape.height * scale)
    box = _Box((left, base), extent, round=isinstance(shape, LyingCylinder))
    if isinstance(shape, WithSump):
        start = left + (shape.length / 2 - shape.ahead - shape.sump.length / 2) * scale
        box.sump = start, start + shape.sump.length * scale, shape.sump.height * scale
    floor = max((row["floor_L"] for row in plan["sessions"]), default=0.0)
    levels = [(mark / 1e3 * scale, text) for mark, text in _marks(plan).items()]
    low = float(shape.level_from_volume(min(floor / 1e3, car.tank.capacity))) * scale
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" font-family="Helvetica, Arial, sans-serif" font-size="2.7">'
        f"{box.outline()}{box.line(low, dashed=True)}"
        f"{box.callouts([(low, 'never below'), *levels])}{''.join(box.line(level) for level, _ in levels)}</svg>"
    )


def _marks(plan: Mapping[str, Any]) -> dict[int, str]:
    """Each mark of the plan, to the mm, with the sessions that it comes before."""
    sessions: dict[int, list[str]] = {}
    for fill in plan["refills"]:
        sessions.setdefault(round(fill["mark_mm"]), []).append(str(fill["before_session"]))
    return {mark: f"{mark} mm before {', '.join(numbers)}" for mark, numbers in sessions.items()}


class _Box:
    """The outline's place on the drawing [mm]: left edge, base line, width, height, and whether it is round."""

    def __init__(self, corner: tuple[float, float], extent: tuple[float, float], *, round: bool) -> None:
        (self.left, self.base), (self.width, self.height), self.round = corner, extent, round
        self.sump: tuple[float, float, float] | None = None  # left and right edge, depth below the tank's own floor

    def outline(self) -> str:
        look = 'fill="none" stroke="#000" stroke-width="0.6"'
        if self.round:
            radius = self.height / 2
            return f'<circle cx="{self.left + radius:.2f}" cy="{self.base - radius:.2f}" r="{radius:.2f}" {look}/>'
        top = self.base - self.height
        if self.sump:
            start, end, depth = self.sump
            down = (
                f"V{self.base - depth:.2f}H{end:.2f}V{self.base:.2f}H{start:.2f}V{self.base - depth:.2f}H{self.left:g}Z"
            )
            return f'<path d="M{self.left:g} {top:.2f}h{self.width:.2f}{down}" {look}/>'
        return f'<rect x="{self.left:g}" y="{top:.2f}" width="{self.width:.2f}" height="{self.height:.2f}" {look}/>'

    def edges(self, level: float) -> tuple[float, float]:
        """Left and right ends of the surface at a level above the base."""
        if self.sump and level < self.sump[2]:
            return self.sump[:2]
        if not self.round:
            return self.left, self.left + self.width
        radius = self.height / 2
        half = float(np.sqrt(max(radius**2 - (level - radius) ** 2, 0.0)))
        return self.left + radius - half, self.left + radius + half

    def line(self, level: float, *, dashed: bool = False) -> str:
        start, end = self.edges(level)
        y = self.base - level
        dash = ' stroke-dasharray="1.2 0.8"' if dashed else ""
        return f'<path d="M{start:.2f} {y:.2f}H{end:.2f}" stroke="#000" stroke-width="0.5"{dash}/>'

    def callouts(self, levels: Sequence[tuple[float, str]]) -> str:
        """Texts beside the outline, at least one line apart, each joined to its level."""
        drawn, lowest = "", self.base + 3.0
        for level, text in sorted(levels):
            y = min(self.base - level, lowest - 3.2)
            lowest = y
            end, side = self.edges(level)[1], self.left + self.width + 5.0
            drawn += (
                f'<path d="M{end:.2f} {self.base - level:.2f}L{side:.2f} {y:.2f}" stroke="#000" stroke-width="0.2"/>'
                f'<text x="{side + 0.8:.2f}" y="{y + 0.9:.2f}">{text}</text>'
            )
        return drawn

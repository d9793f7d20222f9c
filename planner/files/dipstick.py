"""A dipstick to print: a strip true to size with litres and the event's marks, for any tank shape.

The strip's lower end stands on the tank's lowest point: a sump's floor, if it has one. A tank higher than a page
comes in pieces that are glued together. A control line shows whether the printer kept the scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, Literal

import numpy as np

from planner.car import Car
from planner.files.paper import PAPERS, Paper, document
from planner.physics.tank import TankShape, WithSump

Unit = Literal["L", "gal"]
UNIT_VOLUME = {"L": 1e-3, "gal": 3.785411784e-3}  # [m3]
PIECE = 230.0  # [mm] of strip on a page, at most
GLUE = 10.0  # [mm] of overlap between pieces
_STEPS = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_ROUND = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_STRIP_LEFT, _STRIP_WIDTH, _TOP = 8.0, 34.0, 6.0  # [mm]
_LEAST_TICK, _LEAST_LABEL, _LEAST_TEXT = 1.1, 4.0, 4.0  # [mm] between ticks, their numbers, and texts beside
_WIDTH = 130.0
_CONTROL = ' data-control="100"'
_CLEAR = ' paint-order="stroke" stroke="#fff" stroke-width="0.9"'  # a white rim, so that a line never strikes a text


@dataclass(frozen=True, slots=True)
class Graduation:
    """A line of the strip: its level [mm] above the tank's floor, the amount in the unit, whether it is numbered."""

    level: float
    amount: float
    numbered: bool


@dataclass(frozen=True, slots=True)
class StripMark:
    """A mark of the event: its level [mm], what it is for, and that in a word for the strip itself."""

    level: float
    text: str
    short: str


def graduations(shape: TankShape, unit: Unit = "L") -> tuple[Graduation, ...]:
    """Lines of equal amounts, at least 1.1 mm apart, numbered where the numbers have room."""
    height, capacity = shape.height * 1e3, shape.capacity / UNIT_VOLUME[unit]
    for step in _STEPS:
        amounts = step * np.arange(1, int(capacity / step + 1e-9) + 1)
        volumes = np.minimum(amounts * UNIT_VOLUME[unit], shape.capacity)
        levels = np.asarray(shape.level_from_volume(volumes)) * 1e3
        if len(levels) < 2 or np.min(np.diff(levels)) >= _LEAST_TICK:
            break
    lines, last = [], -_LEAST_LABEL
    every = _numbered_every(levels, step)
    for place, (level, amount) in enumerate(zip(levels, amounts, strict=True), 1):
        numbered = place % every == 0 and level - last >= _LEAST_LABEL and level <= height
        last = level if numbered else last
        lines.append(Graduation(float(level), float(round(amount, 6)), bool(numbered)))
    return tuple(lines)


def _numbered_every(levels: np.ndarray, step: float) -> int:
    """Each how-manieth line can bear a number all along the strip, in round amounts."""
    typical = float(np.median(np.diff(levels))) if len(levels) > 1 else _LEAST_LABEL
    rounds = [many for many in (1, 2, 4, 5, 10, 20) if round(many * step, 9) in _ROUND]
    return next((many for many in rounds if many * typical >= _LEAST_LABEL), rounds[-1])


def strip_marks(plan: Mapping[str, Any], car: Car) -> tuple[StripMark, ...]:
    """The marks of a plan: each level to fill to with its sessions, the floor, and the tank's fill limit."""
    fills: dict[tuple[float, float], list[str]] = {}
    for fill in plan["refills"]:
        fills.setdefault((round(fill["mark_mm"], 1), fill["mark_L"]), []).append(str(fill["before_session"]))
    marks = [_fill_mark(mm, f"{litres:.2f}", before) for (mm, litres), before in fills.items()]
    level = car.tank.shape.level_from_volume
    floor = max((row["floor_L"] for row in plan["sessions"]), default=0.0)
    lowest = float(level(min(floor / 1e3, car.tank.capacity))) * 1e3
    full = float(level(car.tank.limit)) * 1e3
    ends = [
        StripMark(lowest, f"never below: {floor:.1f} L, {lowest:.0f} mm", "floor"),
        StripMark(full, f"full: {car.tank.limit * 1e3:.1f} L, {full:.0f} mm", "full"),
    ]
    return tuple(sorted([*marks, *ends], key=lambda mark: mark.level))


def _fill_mark(mm: float, litres: str, before: list[str]) -> StripMark:
    sessions = ", ".join(before)
    short = sessions if len(before) < 4 else f"{before[0]} to {before[-1]}"
    return StripMark(mm, f"FILL before {sessions}: {litres} L, {mm:.0f} mm", f"fill {short}")


def pieces_of(height: float) -> tuple[tuple[float, float], ...]:
    """Lower and upper ends [mm] of the pieces of a strip; each after the first begins `GLUE` lower, to be glued."""
    ends, low = [], 0.0
    while True:
        high = min(low + PIECE, height)
        ends.append((low, high))
        if high >= height:
            return tuple(ends)
        low = high - GLUE


def dipstick_svgs(shape: TankShape, marks: Sequence[StripMark], title: str, *, unit: Unit = "L") -> tuple[str, ...]:
    """One SVG for each piece of the strip, in true millimetres, each with its control line."""
    lines, ends = graduations(shape, unit), pieces_of(shape.height * 1e3)
    return tuple(
        _Piece(low, high).svg(lines, marks, f"{title}, piece {k} of {len(ends)}" if len(ends) > 1 else title, unit=unit)
        for k, (low, high) in enumerate(ends, 1)
    )


def dipstick_page(plan: Mapping[str, Any], car: Car, paper: Paper = PAPERS["a4"], *, unit: Unit = "L") -> str:
    """The strip of a plan and its car as self-contained HTML, one piece a page."""
    return document(f"Dipstick, {plan['car']}", dipstick_sections(plan, car, unit), paper, style=DIPSTICK_STYLE)


DIPSTICK_STYLE = ".dipstick svg { display: block; } .dipstick p { margin: 0 0 1mm; }"


def dipstick_sections(plan: Mapping[str, Any], car: Car, unit: Unit = "L") -> str:
    """The strip's pieces as blocks of HTML, to stand among other pages."""
    title = f"{plan['car']}, {plan['event']}"
    svgs = dipstick_svgs(car.tank.shape, strip_marks(plan, car), title, unit=unit)
    where = "lowest point, the floor of its sump" if isinstance(car.tank.shape, WithSump) else "lowest point"
    words = (
        "Print at 100 %, not fitted to the page, and measure the control line. Cut along the outline; cover it with "
        f"clear tape on a stick that methanol does not attack. The lower end stands upright on the tank's {where}."
    )
    return "".join(f'<section class="page dipstick"><p>{escape(words)}</p>{svg}</section>' for svg in svgs)


class _Piece:
    """One piece of the strip, from `low` to `high` [mm], drawn with the level rising up the page."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high
        self.base = _TOP + high - low

    def y(self, level: float) -> float:
        """Place on the page [mm] of a level [mm]."""
        return self.base - (level - self.low)

    def holds(self, level: float) -> bool:
        """Whether a level [mm] lies on this piece."""
        return self.low - 1e-9 <= level <= self.high + 1e-9

    def svg(self, lines: Sequence[Graduation], marks: Sequence[StripMark], title: str, *, unit: Unit) -> str:
        """The piece as an SVG whose user unit is the millimetre."""
        tall = max(self.base, _TOP + 110.0) + 8.0
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_WIDTH:g}mm" height="{tall:g}mm" '
            f'viewBox="0 0 {_WIDTH:g} {tall:g}" font-family="Helvetica, Arial, sans-serif" font-size="2.8" '
            f'data-low="{self.low:g}" data-base="{self.base:g}"><title>{escape(title)}</title>'
            f'<rect x="{_STRIP_LEFT}" y="{_TOP}" width="{_STRIP_WIDTH}" height="{self.high - self.low:.3f}" '
            f'fill="none" stroke="#000" stroke-width="0.3"/>'
            f'<text x="{_STRIP_LEFT}" y="4" font-weight="bold">{escape(title)}</text>'
            f"{self._marks(marks)}{self._millimetres()}"
            f"{''.join(self._graduation(line, unit) for line in lines if self.holds(line.level))}"
            f"{self._ends()}{self._control_line()}</svg>"
        )

    def _millimetres(self) -> str:
        """A fine scale in mm at the strip's left edge, numbered every 20 mm."""
        drawn = ""
        for mm in range(int(np.ceil(self.low / 5.0)) * 5, int(self.high) + 1, 5):
            length = 3.0 if mm % 10 == 0 else 1.6
            y = self.y(mm)
            drawn += _line((_STRIP_LEFT, y), (_STRIP_LEFT + length, y), 0.15)
            if mm % 20 == 0 and mm > self.low + 2:
                drawn += f'<text x="{_STRIP_LEFT + 3.3}" y="{y + 0.8:.3f}" font-size="2.2"{_CLEAR}>{mm}</text>'
        return drawn

    def _graduation(self, line: Graduation, unit: Unit) -> str:
        right, y = _STRIP_LEFT + _STRIP_WIDTH, self.y(line.level)
        length = 7.0 if line.numbered else 3.5
        drawn = _line((right - length, y), (right, y), 0.25, data=f' data-amount="{line.amount:g}"')
        if line.numbered:
            text = f"{line.amount:g} {unit}"
            drawn += f'<text x="{right - 7.6}" y="{y + 0.95:.3f}" text-anchor="end" font-size="3"{_CLEAR}>{text}</text>'
        return drawn

    def _marks(self, marks: Sequence[StripMark]) -> str:
        """Heavy lines over the whole strip, each joined to its text; texts keep apart, upward."""
        drawn, right, lowest = "", _STRIP_LEFT + _STRIP_WIDTH, self.base + _LEAST_TEXT
        for mark in sorted((one for one in marks if self.holds(one.level)), key=lambda one: one.level):
            y = self.y(mark.level)
            at = min(y, lowest - _LEAST_TEXT)
            lowest = at
            drawn += _line((_STRIP_LEFT - 5, y), (right + 1, y), 0.6, data=f' data-mark="{mark.level:g}"')
            drawn += _line((right + 1, y), (right + 5, at), 0.2)
            drawn += f'<text x="{right + 6}" y="{at + 1:.3f}" font-size="3.2">{escape(mark.text)}</text>'
            inside = f'x="{_STRIP_LEFT + 8.5}" y="{y - 1:.3f}" font-size="2.3" font-weight="bold"{_CLEAR}'
            drawn += f"<text {inside}>{escape(mark.short)}</text>"
        return drawn

    def _ends(self) -> str:
        foot = (
            "this end on the tank's lowest point"
            if self.low == 0
            else f"glue over the last piece from {self.low:g} mm on"
        )
        return f'<text x="{_STRIP_LEFT}" y="{self.base + 4:.3f}">{escape(foot)}</text>'

    def _control_line(self) -> str:
        """A line of exactly 100 mm up the page, with its ends barred."""
        x, top = _WIDTH - 10.0, _TOP + 5.0
        bars = _line((x - 2, top), (x + 2, top), 0.3) + _line((x - 2, top + 100), (x + 2, top + 100), 0.3)
        text = "control line: 100 mm from bar to bar"
        return (
            f"{_line((x, top), (x, top + 100), 0.3, data=_CONTROL)}{bars}"
            f'<text transform="translate({x + 4} {top + 90}) rotate(-90)">{text}</text>'
        )


def _line(start: tuple[float, float], end: tuple[float, float], width: float, *, data: str = "") -> str:
    (x1, y1), (x2, y2) = start, end
    return f'<line x1="{x1:.4f}" y1="{y1:.4f}" x2="{x2:.4f}" y2="{y2:.4f}" stroke="#000" stroke-width="{width}"{data}/>'

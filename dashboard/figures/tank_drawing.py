"""The side view of a tank as an SVG tree: walls, fluid, mark, floor and pickup, true in its proportions.

Plain data in, plain data out. Lengths in mm, seen from the car's left side, front to the left as in the large drawings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

Node = dict[str, Any]
LONGEST = 132.0  # drawing units that the tank's longer side takes
LEFT, RIGHT, TOP, BOTTOM = 20.0, 92.0, 12.0, 20.0


@dataclass(frozen=True, slots=True)
class TankSide:
    """What the side view shows. `circle` is True for a lying cylinder across the car; heights are above the floor.

    sump: (back end, front end) ahead of the tank's centre and the depth of a sump, whose floor heights count from.
    ticks: (height, text) of the graduation; lines: (height, text, kind "mark" or "floor").
    """

    length: float
    height: float
    circle: bool = False
    sump: tuple[float, float, float] | None = None
    pickup_ahead: float = 0.0
    pickup_height: float = 0.0
    level: float = 0.0
    ticks: tuple[tuple[float, str], ...] = ()
    lines: tuple[tuple[float, tuple[str, ...], str], ...] = field(default=())


def _node(tag: str, kind: str, children: Sequence[Node] | None = None, text: str | None = None, **rest: Any) -> Node:
    attributes = {"className": kind, **rest} if kind else rest
    node: Node = {"tag": tag, "attributes": attributes}
    if children is not None:
        node["children"] = list(children)
    if text is not None:
        node["text"] = text
    return node


@dataclass(frozen=True, slots=True)
class _Scale:
    side: TankSide
    factor: float

    def x(self, ahead: float) -> float:
        """Drawing abscissa of a place ahead of the tank's centre [mm]."""
        return round(LEFT + (self.side.length / 2 - ahead) * self.factor, 2)

    def y(self, height: float) -> float:
        """Drawing ordinate of a height above the floor [mm]."""
        return round(TOP + (self.side.height - height) * self.factor, 2)

    def outline(self) -> list[tuple[float, float]]:
        """Corners (ahead, height) [mm] of a tank with straight walls, from the upper back one down and round."""
        half, top = self.side.length / 2, self.side.height
        if self.side.sump is None:
            return [(-half, top), (-half, 0.0), (half, 0.0), (half, top)]
        back, front, rim = self.side.sump
        return [
            (-half, top),
            (-half, rim),
            (back, rim),
            (back, 0.0),
            (front, 0.0),
            (front, rim),
            (half, rim),
            (half, top),
        ]

    def half_width(self, height: float) -> float:
        """Half the tank's length at a height [mm]."""
        if not self.side.circle:
            return self.side.length / 2
        radius = self.side.height / 2
        return math.sqrt(max(radius**2 - (height - radius) ** 2, 0.0))


def _fluid(scale: _Scale) -> list[Node]:
    side, level = scale.side, min(max(scale.side.level, 0.0), scale.side.height)
    half = scale.half_width(level)
    left, right, y = scale.x(half), scale.x(-half), scale.y(level)
    if level <= 0:
        return []
    if side.sump is not None:
        return _sump_fluid(scale, level)
    if side.circle:
        radius, large = round(side.height / 2 * scale.factor, 2), int(level > side.height / 2)
        path = f"M{left} {y}A{radius} {radius} 0 {large} 0 {right} {y}Z"
    else:
        path = f"M{left} {y}H{right}V{scale.y(0)}H{left}Z"
    return [_node("path", "tank-fluid", d=path), _node("path", "tank-surface", d=f"M{left} {y}H{right}")]


def _path(scale: _Scale, corners: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{scale.x(ahead)} {scale.y(height)}" for ahead, height in corners) + "Z"


def _sump_fluid(scale: _Scale, level: float) -> list[Node]:
    """Fluid up to a level in a tank with a sump: in the sump alone while it is not full."""
    assert scale.side.sump is not None
    back, front, rim = scale.side.sump
    half = scale.side.length / 2
    start, end = (back, front) if level < rim else (-half, half)
    corners = [(ahead, min(height, level)) for ahead, height in scale.outline()]
    if level < rim:
        corners = [(back, level), (back, 0.0), (front, 0.0), (front, level)]
    surface = f"M{scale.x(start)} {scale.y(level)}H{scale.x(end)}"
    return [_node("path", "tank-fluid", d=_path(scale, corners)), _node("path", "tank-surface", d=surface)]


def _wall(scale: _Scale) -> Node:
    side = scale.side
    if side.sump is not None:
        return _node("path", "tank-wall", d=_path(scale, scale.outline()))
    if side.circle:
        radius = side.height / 2
        return _node("circle", "tank-wall", cx=scale.x(0), cy=scale.y(radius), r=round(radius * scale.factor, 2))
    left, right = scale.x(side.length / 2), scale.x(-side.length / 2)
    width, height = round(right - left, 2), round(side.height * scale.factor, 2)
    return _node("rect", "tank-wall", x=left, y=scale.y(side.height), width=width, height=height, rx=3)


def _pickup(scale: _Scale) -> list[Node]:
    """The suction pipe from the lid to its mouth; where a wall is in its way it stands at the wall."""
    x, mouth = scale.x(scale.side.pickup_ahead), scale.y(scale.side.pickup_height)
    return [
        _node("path", "tank-pickup", d=f"M{x} {scale.y(scale.side.height) - 6}V{mouth}"),
        _node("circle", "tank-mouth", cx=x, cy=mouth, r=4),
    ]


def _ticks(scale: _Scale) -> list[Node]:
    right = scale.x(-scale.side.length / 2)
    return [
        _node("path", "tank-tick", d=f"M{right + 3} {scale.y(height)}h{6 if not text else 11}")
        for height, text in scale.side.ticks
    ]


def _lines(scale: _Scale) -> list[Node]:
    nodes: list[Node] = []
    left, right = scale.x(scale.side.length / 2), scale.x(-scale.side.length / 2)
    taken: list[float] = []
    for height, texts, kind in scale.side.lines:
        y = scale.y(height)
        nodes.append(_node("path", "tank-mark-line" if kind == "mark" else "tank-floor", d=f"M{left} {y}H{right + 18}"))
        if kind == "mark":
            nodes.append(_node("path", "tank-mark", d=f"M{left - 16} {y - 8}L{left - 2} {y}L{left - 16} {y + 8}Z"))
        at = y + 4.5 - 7.5 * (len(texts) - 1)
        for other in taken:
            at = max(at, other + 17)
        for number, text in enumerate(texts):
            weight: dict[str, Any] = {"fontWeight": 700} if kind == "mark" and number == 0 else {}
            style = "tank-text floor" if kind == "floor" else "tank-text"
            nodes.append(_node("text", style, text=text, x=right + 22, y=round(at + 16 * number, 2), **weight))
        taken.append(at + 16 * (len(texts) - 1))
    return nodes


def tank_drawing(side: TankSide, label: str) -> Node:
    """The SVG tree of a side view; `label` says in words what it shows."""
    scale = _Scale(side, LONGEST / max(side.length, side.height * 1.15))
    width = LEFT + side.length * scale.factor + RIGHT
    height = TOP + side.height * scale.factor + BOTTOM
    inside = [*_fluid(scale), *_ticks(scale), _wall(scale), *_pickup(scale), *_lines(scale)]
    inside.append(
        _node(
            "text",
            "tank-text soft",
            text="← front of car",
            x=scale.x(side.length / 2),
            y=round(height - 1, 1),
            fontSize=11,
        )
    )
    view_box = f"0 0 {width:.1f} {height:.1f}"
    return _node("svg", "", children=inside, viewBox=view_box, role="img", **{"aria-label": label})

"""The tank from the side with its tilted surface, to scale, as an SVG tree: walls, fluid, pickup, level at rest.

Plain data in, plain data out. Places in mm: u along the cut (forward, or to the car's left), z above the floor. Seen
from the car's left its front is on the left; seen from the rear the car's left is on the left.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from dashboard.figures.tank_drawing import Node

Point = tuple[float, float]
SIDE, TOP, BOTTOM = 18.0, 64.0, 52.0
ARROW = 1.5  # [g] that the longest arrow stands for
TOUCH = 0.06  # [mm] within which an edge lies on the surface


@dataclass(frozen=True, slots=True)
class SideWords:
    """What the drawing says: its label, the end of the car on the left, the pull, depth and margin, a scale's length.

    pull: acceleration along the cut [g]; scale: (length [mm], text).
    """

    label: str
    left_end: str
    pull: float
    pull_text: str
    depth_text: str
    scale: tuple[float, str]


def surface_edges(polygon: Sequence[Sequence[float]], surface: Sequence[Sequence[float]]) -> list[tuple[Point, Point]]:
    """Edges of the fluid's polygon that lie on the surface's line: the free surface within the walls."""
    (u1, z1), (u2, z2) = surface
    slope = (z2 - z1) / (u2 - u1)

    def on_line(point: Sequence[float]) -> bool:
        return abs(point[1] - z1 - slope * (point[0] - u1)) < TOUCH * (1 + abs(slope))

    pairs = zip(polygon, [*polygon[1:], *polygon[:1]], strict=True)
    return [((a[0], a[1]), (b[0], b[1])) for a, b in pairs if on_line(a) and on_line(b)]


@dataclass(frozen=True, slots=True)
class _Scale:
    factor: float
    ends: Point
    height: float

    def x(self, u: float) -> float:
        return round(SIDE + (self.ends[1] - u) * self.factor, 2)

    def y(self, z: float) -> float:
        return round(TOP + (self.height - z) * self.factor, 2)

    def path(self, points: Sequence[Sequence[float]]) -> str:
        return "M" + "L".join(f"{self.x(u)} {self.y(z)}" for u, z in points)

    @property
    def width(self) -> float:
        return 2 * SIDE + (self.ends[1] - self.ends[0]) * self.factor


def _line(kind: str, d: str) -> Node:
    return {"tag": "path", "attributes": {"className": kind, "d": d}}


def _text(text: str, x: float, y: float, *, kind: str = "tank-text", anchor: str = "start") -> Node:
    return {"tag": "text", "attributes": {"className": kind, "x": x, "y": y, "textAnchor": anchor}, "text": text}


def _fluid(scale: _Scale, picture: Mapping[str, Any], rest: Mapping[str, Any]) -> list[Node]:
    drawn = [_line("tank-fluid", scale.path(picture["fluid_mm"]) + "Z")] if picture["fluid_mm"] else []
    drawn += [_line("tank-rest", scale.path(edge)) for edge in surface_edges(rest["fluid_mm"], rest["surface_mm"])]
    if not picture["fluid_mm"]:
        middle = round(scale.width / 2, 2), scale.y(scale.height * 0.62)
        drawn.append(_text("no fluid in this cut", *middle, kind="tank-text soft", anchor="middle"))
    edges = surface_edges(picture["fluid_mm"], picture["surface_mm"])
    return [*drawn, *[_line("tank-surface", scale.path(edge)) for edge in edges]]


def _pickup(scale: _Scale, picture: Mapping[str, Any], words: SideWords) -> list[Node]:
    """The pipe from above the lid to its mouth, the margin wanted over it, and the depth in words beside it."""
    u, z = picture["pickup_mm"]
    x, y = scale.x(u), scale.y(z)
    nodes = [_line("tank-pickup", f"M{x} {scale.y(scale.height) - 8}V{y}")]
    if picture["asked_mm"]:
        wanted = scale.y(z + picture["asked_mm"])
        nodes.append(_line("tank-floor", f"M{x - 26} {wanted}H{x + 26}"))
    mouth: dict[str, Any] = {"cx": x, "cy": y, "r": 6, "className": "tank-mouth" if picture["covered"] else "tank-bare"}
    nodes.append({"tag": "circle", "attributes": mouth})
    if picture["depth_mm"] < 0:
        nodes.append(_line("tank-cross", f"M{x - 10} {y - 10}L{x + 10} {y + 10}M{x - 10} {y + 10}L{x + 10} {y - 10}"))
    before = x > scale.width / 2
    nodes.append(
        _text(
            words.depth_text,
            x - 14 if before else x + 14,
            y - 12,
            kind="tank-text halo",
            anchor="end" if before else "start",
        )
    )
    return nodes


def _pull(scale: _Scale, words: SideWords) -> list[Node]:
    """Which way the fluid is thrown, as an arrow whose length goes with the acceleration."""
    middle, y = round(scale.width / 2, 2), 44.0
    nodes = [_text(words.pull_text, middle, 20, anchor="middle")]
    length = round(min(abs(words.pull) / ARROW, 1.0) * (scale.width / 2 - SIDE), 2)
    if length < 4:
        return nodes
    # Speeding up, or turning left, throws the fluid against the axis, which runs to the left on the drawing.
    way = 1 if words.pull > 0 else -1
    tip = round(middle + way * length, 2)
    nodes.append(_line("tank-pull", f"M{middle} {y}H{tip - 6 * way}"))
    nodes.append(_line("tank-tip", f"M{tip} {y}l{-11 * way} -7v14Z"))
    return nodes


def _foot(scale: _Scale, words: SideWords, bottom: float) -> list[Node]:
    """The end of the car and the scale, below the tank."""
    length, text = words.scale
    end = scale.width - SIDE
    start = round(end - length * scale.factor, 2)
    return [
        _text(f"← {words.left_end}", SIDE, bottom + 40, kind="tank-text soft"),
        _line("tank-scale", f"M{start} {bottom + 16}v8M{start} {bottom + 20}H{end}M{end} {bottom + 16}v8"),
        _text(text, end, bottom + 40, kind="tank-text soft", anchor="end"),
    ]


def tank_risk_side(picture: Mapping[str, Any], rest: Mapping[str, Any], words: SideWords, *, longest: float) -> Node:
    """The SVG tree of a `surface_picture`, with the same volume at rest; `longest`: units of its longer side."""
    outline = picture["outline_mm"]
    ends = min(u for u, _ in outline), max(u for u, _ in outline)
    height = max(z for _, z in outline)
    scale = _Scale(longest / max(ends[1] - ends[0], 1.25 * height), ends, height)
    bottom = scale.y(0.0)
    inside = [
        *_fluid(scale, picture, rest),
        _line("tank-wall", scale.path(outline) + "Z"),
        *_pickup(scale, picture, words),
        *_pull(scale, words),
        *_foot(scale, words, bottom),
    ]
    box = f"0 0 {scale.width:.1f} {bottom + BOTTOM:.1f}"
    return {"tag": "svg", "attributes": {"viewBox": box, "role": "img", "aria-label": words.label}, "children": inside}

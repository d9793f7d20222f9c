"""A jug as an SVG tree, its size and fill true to each other's; the dashed line is 95 %, where filling ends."""

from __future__ import annotations

from typing import Any

Node = dict[str, Any]
FULL = 0.95
_WIDTH, _HEIGHT = 84.0, 118.0  # [drawing units] of the picture
_BODY_WIDTH, _BODY_HEIGHT, _NECK = 64.0, 84.0, 14.0  # of the largest jug


def jug_drawing(size: float, fill: float, largest: float, *, label: str) -> Node:
    """The tree of one jug of `size` holding `fill` (the same unit), drawn beside one of `largest`; `label` in words."""
    scale = (size / largest) ** (1 / 3) if largest > 0 else 1.0
    width, height, neck = _BODY_WIDTH * scale, _BODY_HEIGHT * scale, _NECK * scale
    left, floor = (_WIDTH - width) / 2, _HEIGHT - 3
    top = floor - height
    share = min(max(fill / size, 0.0), 1.0) if size > 0 else 0.0
    surface, limit = round(floor - height * share, 2), round(floor - height * FULL, 2)
    right = round(left + width, 2)
    left, top, middle = round(left, 2), round(top, 2), round(left + width * 0.62, 2)
    mouth = round(width * 0.24, 2)
    inside: list[Node] = [
        _path("tank-fluid", f"M{left} {surface}H{right}V{floor}H{left}Z"),
        _path("tank-surface", f"M{left} {surface}H{right}"),
        _path("jug-limit", f"M{left} {limit}H{right}"),
        _path(
            "tank-wall",
            f"M{left} {top}V{floor}H{right}V{top}H{middle + mouth}V{round(top - neck, 2)}H{middle}V{top}Z",
        ),
        _path(
            "jug-handle", f"M{round(left + width * 0.1, 2)} {top}V{round(top - neck * 0.62, 2)}H{middle}"
        ),
    ]  # fmt: skip
    attributes = {"viewBox": f"0 0 {_WIDTH:g} {_HEIGHT:g}", "role": "img", "aria-label": label}
    return {"tag": "svg", "attributes": attributes, "children": inside}


def _path(kind: str, d: str) -> Node:
    return {"tag": "path", "attributes": {"className": kind, "d": d}}

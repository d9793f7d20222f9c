"""The car's factor from day to day as an SVG tree: a dot with its standard deviation a day, against the plan's 1."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

Node = dict[str, Any]
HEIGHT, TOP, BELOW, LEFT, RIGHT = 120.0, 14.0, 26.0, 40.0, 14.0
LEAST_SPAN = 0.1  # of the factor's axis on each side of 1
MOST_DATES = 6  # written below the axis


@dataclass(frozen=True, slots=True)
class FactorDay:
    """A logged day: its date as text, the factor's mean and standard deviation [1]; kept: as the car's prior."""

    date: str
    mean: float
    sd: float
    kept: bool = False


def _node(tag: str, kind: str, text: str | None = None, **rest: Any) -> Node:
    node: Node = {"tag": tag, "attributes": {"className": kind, **rest}}
    return node if text is None else node | {"text": text}


def factor_drawing(days: Sequence[FactorDay], width: float, label: str) -> Node:
    """The SVG tree of the factors of days, oldest first, `width` drawing units wide; `label` says it in words."""
    span = max(LEAST_SPAN, *(abs(day.mean - 1) + day.sd for day in days)) * 1.1
    step = (width - LEFT - RIGHT) / len(days)

    def y(factor: float) -> float:
        return round(TOP + HEIGHT * (1 - (factor - 1 + span) / (2 * span)), 1)

    nodes = []
    for factor in (1 - span / 1.1, 1.0, 1 + span / 1.1):
        kind = "pit-one" if factor == 1 else "pit-rule"
        nodes.append(_node("path", kind, d=f"M{LEFT} {y(factor)}H{width - RIGHT}"))
        nodes.append(_node("text", "pit-text soft", f"{factor:.2f}", x=LEFT - 5, y=y(factor) + 4, textAnchor="end"))
    every = -(-len(days) // MOST_DATES)
    for place, day in enumerate(days):
        x = round(LEFT + step * (place + 0.5), 1)
        nodes.append(_node("path", "pit-spread", d=f"M{x} {y(day.mean - day.sd)}V{y(day.mean + day.sd)}"))
        nodes.append(_node("circle", "pit-day kept" if day.kept else "pit-day", cx=x, cy=y(day.mean), r=6))
        if place % every == 0:
            nodes.append(_node("text", "pit-text", day.date, x=x, y=TOP + HEIGHT + 20, textAnchor="middle"))
    box = f"0 0 {width:g} {TOP + HEIGHT + BELOW:g}"
    return {"tag": "svg", "attributes": {"viewBox": box, "role": "img", "aria-label": label}, "children": nodes}

"""The forecast of the pit board as an SVG tree: one unbroken level, its outlined band, floors, refills.

A slot of equal width for each session ahead, so that four stay readable on a phone and a night takes no room. Plain
data in, plain data out; colours and strokes are the style sheet's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Any, Protocol

Node = dict[str, Any]
GAP = 0.42  # share of a slot that stands for the time before the session
HEIGHT, TOP, BELOW, LINE = 190.0, 22.0, 29.0, 15.0
LEFT, RIGHT = 34.0, 12.0
LETTER = 6.8  # drawing units that a letter of a name takes
LEAST_LETTERS = 7
WRITTEN = 40.0  # drawing units that a level takes
AT_END = {"textAnchor": "end"}


class _Slot(Protocol):
    number: int
    name: str
    time: str
    start: float
    end: float
    low_start: float
    low_end: float
    high_start: float
    high_end: float
    floor: float
    end_text: str
    fill: float | None
    fill_text: str
    passed: float

    @property
    def short(self) -> bool: ...


class _Forecast(Protocol):
    slots: Sequence[Any]
    now: float
    low: float
    high: float
    limit: float
    unit: str
    label: str


@dataclass(frozen=True, slots=True)
class _Plot:
    """Where things stand: slots of `wide` drawing units, levels up to `top`."""

    wide: float
    top: float

    def y(self, level: float) -> float:
        """Ordinate of a level."""
        return round(TOP + HEIGHT * (1 - min(max(level / self.top, 0.0), 1.0)), 1)

    def begin(self, place: int) -> float:
        """Abscissa at which a slot's session begins."""
        return round(LEFT + self.wide * (place + GAP), 1)

    def end(self, place: int) -> float:
        """Abscissa at which a slot's session ends."""
        return round(LEFT + self.wide * (place + 1), 1)


def _node(tag: str, kind: str, text: str | None = None, **rest: Any) -> Node:
    node: Node = {"tag": tag, "attributes": {"className": kind, **rest}}
    return node if text is None else node | {"text": text}


def _path(kind: str, points: Sequence[tuple[float, float]], close: bool = False) -> Node:
    line = "L".join(f"{x} {y}" for x, y in points)
    return _node("path", kind, d=f"M{line}{'Z' if close else ''}")


def _course(plot: _Plot, picture: _Forecast, edge: str) -> list[tuple[float, float]]:
    """The points of the level ("") or of an edge of its band ("low_", "high_"), from now to the last session's end."""
    first = picture.slots[0]
    now = {"": picture.now, "low_": picture.low, "high_": picture.high}[edge]
    points = [] if first.passed else [(LEFT, plot.y(now))]
    level = now
    for place, slot in enumerate(picture.slots):
        x, start = plot.begin(place), getattr(slot, f"{edge}start")
        if points:
            points.append((x, plot.y(level)))
        points += [(x, plot.y(start)), (plot.end(place), plot.y(getattr(slot, f"{edge}end")))]
        level = getattr(slot, f"{edge}end")
    return points


def _floors(plot: _Plot, picture: _Forecast) -> list[Node]:
    return [
        _path("pit-floor", [(plot.begin(place), plot.y(slot.floor)), (plot.end(place), plot.y(slot.floor))])
        for place, slot in enumerate(picture.slots)
    ]


def _fills(plot: _Plot, picture: _Forecast) -> list[Node]:
    nodes = []
    for place, slot in enumerate(picture.slots):
        if slot.fill is not None:
            x, y = plot.begin(place), plot.y(slot.fill)
            nodes.append(_node("path", "pit-fill", d=f"M{x - 14} {y - 8}L{x - 2} {y}L{x - 14} {y + 8}Z"))
            nodes.append(_node("text", "pit-strong", slot.fill_text, x=x - 4, y=max(y - 9, 13.0), textAnchor="end"))
    return nodes


def _ends(plot: _Plot, picture: _Forecast) -> list[Node]:
    """The level at each session's end, beside the line; one that may fall below its floor carries a shape."""
    nodes = []
    for place, slot in enumerate(picture.slots):
        kind, sign = ("pit-text danger", "▲ ") if slot.short else ("pit-text", "")
        nodes.append(_node("text", kind, sign + slot.end_text, x=plot.end(place), y=_end_height(plot, slot), **AT_END))
    return nodes


def _end_height(plot: _Plot, slot: _Slot) -> float:
    """Ordinate of the level's text at a session's end: under the band and clear of its floor, over it for want of room.

    Over it, the text stands clear of the band's upper edge, which may be falling all along it.
    """
    below, floor = plot.y(slot.low_end) + 15, plot.y(slot.floor)
    if abs(below - 5 - floor) <= 9:
        below = floor + 16
    if below < TOP + HEIGHT - 2:
        return below
    share = min(WRITTEN / (plot.wide * (1 - GAP)), 1.0)
    return plot.y(slot.high_end + share * max(slot.high_start - slot.high_end, 0.0)) - 6


def _strip(plot: _Plot, picture: _Forecast, names: Sequence[Sequence[str]]) -> list[Node]:
    """The strip below: each session's bar, its name in a line or two, and its start."""
    nodes, base, rows = [], TOP + HEIGHT, max(len(name) for name in names)
    room = int((plot.wide - 4) / LETTER)
    for place, (slot, name) in enumerate(zip(picture.slots, names, strict=True)):
        x, end = plot.begin(place), plot.end(place)
        time = slot.time if len(slot.time) <= room else slot.time.rsplit(" ", 1)[-1]
        nodes.append(_node("rect", "pit-bar", x=x, y=base + 3, width=round(end - x, 1), height=6))
        for row, text in enumerate(name):
            nodes.append(_node("text", "pit-text", text, x=end, y=base + 24 + LINE * row, **AT_END))
        nodes.append(_node("text", "pit-text", time, x=end, y=base + 24 + LINE * rows, **AT_END))
    return nodes


def _name(slot: _Slot, room: int) -> list[str]:
    """A session's name in at most two lines of so many letters; its number where they hold too few."""
    if room < LEAST_LETTERS and len(slot.name) > room:
        return [str(slot.number)]
    lines = wrap(slot.name, room)
    if len(lines) > 2:
        lines = [lines[0], lines[1][: room - 1].rstrip() + "…"]
    return lines


def _now(plot: _Plot, picture: _Forecast) -> list[Node]:
    first = picture.slots[0]
    x = plot.begin(0) + (plot.end(0) - plot.begin(0)) * first.passed if first.passed else LEFT
    return [_node("circle", "pit-now", cx=round(x, 1), cy=plot.y(picture.now), r=6)]


def _scale(plot: _Plot, picture: _Forecast, right: float) -> list[Node]:
    """Three levels at the left edge, and the most that may be filled."""
    step = next(step for step in (0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 1e9) if plot.top / step <= 5.5)
    nodes = []
    for count in range(int(plot.top / step) + 1):
        y = plot.y(count * step)
        nodes.append(_path("pit-rule", [(LEFT, y), (right, y)]))
        nodes.append(_node("text", "pit-text soft", f"{count * step:g}", x=LEFT - 6, y=y + 4, textAnchor="end"))
    nodes.append(_node("text", "pit-text soft", picture.unit, x=LEFT - 6, y=11, textAnchor="end"))
    return nodes


def forecast_drawing(picture: _Forecast, width: float) -> Node:
    """The SVG tree of a forecast, `width` drawing units wide."""
    count = len(picture.slots)
    highest = max(picture.limit, picture.high, *(slot.high_start for slot in picture.slots))
    plot = _Plot((width - LEFT - RIGHT) / count, highest * 1.05)
    names = [_name(slot, int((plot.wide - 4) / LETTER)) for slot in picture.slots]
    upper, lower = _course(plot, picture, "high_"), _course(plot, picture, "low_")
    inside = [
        *_scale(plot, picture, width - RIGHT),
        _path("pit-band", [*upper, *reversed(lower)], close=True),
        *_floors(plot, picture),
        _path("pit-level", _course(plot, picture, "")),
        *_fills(plot, picture),
        *_ends(plot, picture),
        *_strip(plot, picture, names),
        *_now(plot, picture),
    ]
    tall = TOP + HEIGHT + BELOW + LINE * max(len(name) for name in names)
    box = f"0 0 {width:g} {tall:g}"
    return {
        "tag": "svg",
        "attributes": {"viewBox": box, "role": "img", "aria-label": picture.label},
        "children": inside,
    }

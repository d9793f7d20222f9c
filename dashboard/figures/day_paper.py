"""Level over the day for paper: an SVG tree in black on white, 700 px wide, whatever the screen's size or theme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Protocol

Node = dict[str, Any]
WIDTH, HEIGHT = 700.0, 330.0  # [px]
LEFT, RIGHT, TOP, FLOOR = 46.0, 10.0, 26.0, 232.0
STRIP_TOP, STRIP_HEIGHT, KEY_AT = 240.0, 22.0, 312.0
LETTER = 6.7  # [px] that a letter takes
LARGEST_STEP = 360


class Picture(Protocol):
    """What presenters.day_picture makes of a plan."""

    sessions: Any
    rises: Any
    washing: tuple[float, float]
    limit: float
    unit: str
    nights: tuple[tuple[str, str], ...]
    several_days: bool


def _node(tag: str, children: Sequence[Node] = (), text: str | None = None, **attributes: Any) -> Node:
    node: Node = {"tag": tag, "attributes": attributes}
    if text is not None:
        node["text"] = text
    elif children:
        node["children"] = list(children)
    return node


def _path(d: str, width: float = 1.0, *, stroke: str = "#000", fill: str = "none", **more: Any) -> Node:
    return _node("path", d=d, fill=fill, stroke=stroke, strokeWidth=width, **more)


def _text(x: float, y: float, text: str, *, size: float = 12, anchor: str = "middle", bold: bool = False) -> Node:
    more: dict[str, Any] = {"paintOrder": "stroke", "stroke": "#fff", "strokeWidth": 3, "strokeLinejoin": "round"}
    more |= {"fontWeight": 700} if bold else {}
    return _node("text", text=text, x=round(x, 1), y=round(y, 1), fontSize=size, textAnchor=anchor, fill="#000", **more)


@dataclass(frozen=True, slots=True)
class _Scale:
    """Places on the paper of a moment and of a level; nights without sessions take no room."""

    start: datetime
    seconds: float
    nights: tuple[tuple[datetime, datetime], ...]
    top: float

    def x(self, iso: str | datetime) -> float:
        moment = datetime.fromisoformat(iso) if isinstance(iso, str) else iso
        gone = sum((min(moment, end) - begin).total_seconds() for begin, end in self.nights if moment > begin)
        elapsed = (moment - self.start).total_seconds() - gone
        return round(LEFT + (WIDTH - LEFT - RIGHT) * elapsed / self.seconds, 2)

    def y(self, level: float) -> float:
        return round(FLOOR - (FLOOR - TOP) * level / self.top, 2)

    def box(self, start: str, end: str, low: float, high: float) -> str:
        return f"M{self.x(start)} {self.y(low)}H{self.x(end)}V{self.y(high)}H{self.x(start)}Z"


def _scale(picture: Picture) -> _Scale:
    first = min([picture.sessions[0].start, *(rise.start for rise in picture.rises)])
    start, end = datetime.fromisoformat(first), datetime.fromisoformat(picture.sessions[-1].end)
    nights = tuple((datetime.fromisoformat(low), datetime.fromisoformat(high)) for low, high in picture.nights)
    night = sum((high - low).total_seconds() for low, high in nights)
    return _Scale(start, max((end - start).total_seconds() - night, 60.0), nights, picture.limit * 1.06)


_DEFS = _node(
    "defs",
    [
        _node("pattern", [_path("M0 6L6 0", 0.9)], id="paper-hatch", width=6, height=6, patternUnits="userSpaceOnUse"),
        _node(
            "pattern", [_node("circle", cx=2, cy=2, r=0.7, fill="#000")],
            id="paper-dots", width=5, height=5, patternUnits="userSpaceOnUse",
        ),
    ],
)  # fmt: skip


def day_paper(picture: Picture, label: str) -> Node:
    """The tree of a day's picture; `label` says in words what it shows."""
    scale = _scale(picture)
    inside = [
        _DEFS, *_axis(picture, scale), *_areas(picture, scale), *_band(picture, scale), *_floors(picture, scale),
        *_level(picture, scale), *_rises(picture, scale), *_strip(picture, scale), *_times(picture, scale), *_key(),
    ]  # fmt: skip
    attributes: dict[str, Any] = {
        "viewBox": f"0 0 {WIDTH:g} {HEIGHT:g}",
        "width": WIDTH,
        "role": "img",
        "aria-label": label,
    }
    return _node("svg", inside, **attributes)


def _axis(picture: Picture, scale: _Scale) -> list[Node]:
    nodes = [_text(LEFT - 8, TOP - 8, picture.unit, anchor="end")]
    for value in level_ticks(picture.limit):
        y = scale.y(value)
        nodes.append(_path(f"M{LEFT} {y}H{WIDTH - RIGHT}", 0.5, stroke="#bbb"))
        nodes.append(_text(LEFT - 8, y + 4, f"{value:g}", anchor="end"))
    full = scale.y(picture.limit)
    nodes.append(_path(f"M{LEFT} {full}H{WIDTH - RIGHT}", 1, strokeDasharray="6 4"))
    return [*nodes, _path(f"M{LEFT} {TOP - 4}V{FLOOR}H{WIDTH - RIGHT}", 1.3)]


def level_ticks(limit: float) -> list[float]:
    """Round values from 0 to the limit, at most six."""
    step = next(step for step in (0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100) if limit / step <= 6)
    return [round(step * k, 6) for k in range(int(limit / step + 1e-9) + 1)]


def _areas(picture: Picture, scale: _Scale) -> list[Node]:
    low, high = picture.washing
    nodes = []
    for box in picture.sessions:
        if high > low:
            area = scale.box(box.start, box.end, low, high)
            nodes.append(_path(area, 0.4, stroke="#888", fill="url(#paper-dots)"))
        if box.starving > 0:
            nodes.append(_path(scale.box(box.start, box.end, 0.0, box.starving), 0.6, fill="url(#paper-hatch)"))
    return nodes


def _band(picture: Picture, scale: _Scale) -> list[Node]:
    """The forecast's band in each session: light, with an outline that a copier keeps."""
    return [
        _path(
            f"M{scale.x(box.start)} {scale.y(box.high_start)}L{scale.x(box.end)} {scale.y(box.high_end)}"
            f"V{scale.y(box.low_end)}L{scale.x(box.start)} {scale.y(box.low_start)}Z",
            0.8, stroke="#666", fill="#ededed",
        )
        for box in picture.sessions
    ]  # fmt: skip


def _floors(picture: Picture, scale: _Scale) -> list[Node]:
    return [
        _path(f"M{scale.x(box.start)} {scale.y(box.floor)}H{scale.x(box.end)}", 2.4, strokeDasharray="2.4 2")
        for box in picture.sessions
    ]


def _level(picture: Picture, scale: _Scale) -> list[Node]:
    """One unbroken line: falling in sessions, flat in gaps, rising at refills."""
    rises = {rise.end: rise for rise in picture.rises}
    points: list[str] = []
    for box in picture.sessions:
        if box.start in rises:
            rise = rises[box.start]
            points += [f"{scale.x(rise.start)} {scale.y(rise.low)}", f"{scale.x(rise.start)} {scale.y(rise.high)}"]
        points += [f"{scale.x(box.start)} {scale.y(box.level_start)}", f"{scale.x(box.end)} {scale.y(box.level_end)}"]
    return [_path("M" + "L".join(points), 2.4, strokeLinejoin="round")]


def _rises(picture: Picture, scale: _Scale) -> list[Node]:
    nodes: list[Node] = []
    for rise in picture.rises:
        x, y = scale.x(rise.start), scale.y(rise.high)
        nodes.append(_path(f"M{x} {scale.y(rise.low)}V{y + 8}", 4))
        nodes.append(_path(f"M{x - 6.5} {y + 10}L{x} {y - 2}L{x + 6.5} {y + 10}Z", 1, fill="#000"))
        half = len(rise.text) * LETTER / 2
        at = min(max(x, LEFT + half + 8), WIDTH - RIGHT - half)
        nodes.append(_text(at, y - 7, rise.text, size=13, bold=True))
    return nodes


def _strip(picture: Picture, scale: _Scale) -> list[Node]:
    """The sessions below the axis, named where there is room, numbered where there is not."""
    nodes, last = [], -1e9
    for box in picture.sessions:
        left, right = scale.x(box.start), scale.x(box.end)
        nodes.append(_path(f"M{left} {STRIP_TOP}H{right}V{STRIP_TOP + STRIP_HEIGHT}H{left}Z", 1, fill="#fff"))
        text = box.name if len(box.name) * LETTER < right - left else str(box.number)
        middle, half = (left + right) / 2, len(text) * LETTER / 2
        if middle - half > last:
            nodes.append(_text(middle, STRIP_TOP + 15, text))
            last = middle + half + 2
    return nodes  # fmt: skip


def _times(picture: Picture, scale: _Scale) -> list[Node]:
    """Clock times under the strip, at round steps, and the weekday where a day begins."""
    step = next((m for m in (15, 30, 60, 120, 180) if scale.seconds / 60 / m <= 11), LARGEST_STEP)
    end = datetime.fromisoformat(picture.sessions[-1].end)
    midnight = scale.start.replace(hour=0, minute=0, second=0, microsecond=0)
    moment = midnight + timedelta(minutes=step * -(-int((scale.start - midnight).total_seconds()) // (60 * step)))
    nodes, day, last = [], None, -1e9
    y = STRIP_TOP + STRIP_HEIGHT
    while moment <= end:
        x = scale.x(moment)
        asleep = any(begin < moment < stop for begin, stop in scale.nights)
        if not asleep and x - last > 36:
            nodes += [_path(f"M{x} {y}v5", 1), _text(x, y + 17, f"{moment:%H:%M}")]
            if picture.several_days and moment.date() != day:
                nodes.append(_text(x, y + 31, f"{moment:%a}", bold=True))
            day, last = moment.date(), x
        moment += timedelta(minutes=step)
    return nodes


def _key() -> list[Node]:
    """What the lines and areas are."""
    y = KEY_AT
    samples = (
        (_path(f"M{LEFT} {y - 4}h24", 2.4), "level"),
        (_path(f"M{LEFT} {y - 9}h24v10h-24Z", 0.8, stroke="#666", fill="#ededed"), "most days"),
        (_path(f"M{LEFT} {y - 4}h24", 2.4, strokeDasharray="2.4 2"), "floor"),
        (_path(f"M{LEFT} {y - 9}h24v10h-24Z", 0.6, fill="url(#paper-hatch)"), "may starve"),
        (_path(f"M{LEFT} {y - 9}h24v10h-24Z", 0.4, stroke="#888", fill="url(#paper-dots)"), "washes hardest"),
        (_path(f"M{LEFT + 12} {y + 2}v-8M{LEFT + 6} {y - 2}l6 -9l6 9Z", 1.6, fill="#000"), "refill"),
    )
    nodes, x = [], 0.0
    for sample, words in samples:
        nodes.append(
            _node("g", [sample, _text(LEFT + 30, y, words, anchor="start")], transform=f"translate({x:.0f} 0)")
        )
        x += 46 + len(words) * LETTER
    return nodes

"""Level over the day: one unbroken line, its band, floors as steps, risk bands behind, sessions as a strip below.

Drawn as plain data at every input: checking it with plotly's classes took longer than all the rest of the page.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any, Protocol

from dashboard.figures.template import Colours, colours, plain_template

Traces = list[dict[str, Any]]

STRIP = (-0.19, -0.06)  # of the level axis' length: where the session strip stands, below zero
LETTER = 7.4  # [px] a letter of the strip's names takes


class _Box(Protocol):
    name: str
    number: int
    start: str
    end: str
    floor: float
    starving: float
    level_start: float
    level_end: float
    low_start: float
    low_end: float
    high_start: float
    high_end: float
    hover: str


def _scatter(**properties: Any) -> dict[str, Any]:
    return {"type": "scatter", **properties}


def _polygons(boxes: Sequence[tuple[str, str, float, float]]) -> dict[str, list[Any]]:
    """Rectangles (start, end, low, high) as one broken polygon for one trace."""
    x: list[Any] = []
    y: list[Any] = []
    for start, end, low, high in boxes:
        x += [start, end, end, start, start, None]
        y += [low, low, high, high, low, None]
    return {"x": x, "y": y}


def _area(
    traces: Traces, boxes: Sequence[tuple[str, str, float, float]], *, fill: str, line: str, pattern: str
) -> None:
    if not boxes:
        return
    traces.append(
        _scatter(
            **_polygons(boxes),
            fill="toself",
            mode="lines",
            fillcolor=fill,
            hoverinfo="skip",
            line={"color": line, "width": 0.5},
            fillpattern={
                "shape": pattern,
                "fgcolor": line,
                "bgcolor": fill,
                "size": 7,
                "solidity": 0.12,
                "fillmode": "overlay",
            },
        )
    )


def _band(traces: Traces, boxes: Sequence[_Box], rises: Sequence[Any], palette: Colours) -> None:
    """The forecast band, filled and outlined, since a fill alone is too faint in the sun."""
    upper: list[tuple[str, float]] = []
    lower: list[tuple[str, float]] = []
    begun = {rise.end: rise.start for rise in rises}
    for box in boxes:
        at = begun.get(box.start)
        if at is not None and upper:
            upper += [(at, upper[-1][1]), (at, box.high_start)]
            lower += [(at, lower[-1][1]), (at, box.low_start)]
        upper += [(box.start, box.high_start), (box.end, box.high_end)]
        lower += [(box.start, box.low_start), (box.end, box.low_end)]
    ring = [*upper, *reversed(lower), upper[0]]
    traces.append(
        _scatter(
            x=[x for x, _ in ring],
            y=[y for _, y in ring],
            fill="toself",
            mode="lines",
            fillcolor=palette.fluid,
            line={"color": palette.do, "width": 1},
            hoverinfo="skip",
        )
    )


def _levels(traces: Traces, boxes: Sequence[_Box], rises: Sequence[Any], palette: Colours) -> None:
    """The expected level: falling in sessions, flat in gaps, rising at refills."""
    before = {rise.end: rise for rise in rises}
    x: list[str] = []
    y: list[float] = []
    for box in boxes:
        if box.start in before:
            rise = before[box.start]
            x += [rise.start, rise.start]
            y += [rise.low, rise.high]
        x += [box.start, box.end]
        y += [box.level_start, box.level_end]
    traces.append(_scatter(x=x, y=y, mode="lines", line={"color": palette.ink, "width": 3}, hoverinfo="skip"))
    traces.append(
        _scatter(
            x=[box.end for box in boxes],
            y=[box.level_end for box in boxes],
            mode="markers",
            marker={"color": palette.ink, "size": 7},
            customdata=[box.hover for box in boxes],
            hovertemplate="%{customdata}<extra></extra>",
        )
    )


def _rise_marks(traces: Traces, rises: Sequence[Any], palette: Colours) -> None:
    x: list[Any] = []
    y: list[Any] = []
    for rise in rises:
        x += [rise.start, rise.start, None]
        y += [rise.low, rise.high, None]
    traces.append(
        _scatter(
            x=x,
            y=y,
            mode="lines+markers",
            line={"color": palette.do, "width": 5},
            hoverinfo="skip",
            marker={"symbol": "triangle-up", "size": [0, 15, 0] * len(rises), "color": palette.do, "opacity": 1},
        )
    )


def _rise_names(rises: Sequence[Any], palette: Colours) -> list[dict[str, Any]]:
    return [
        {
            "x": rise.start,
            "y": rise.high,
            "text": f"<b>{rise.text}</b>",
            "showarrow": False,
            "yshift": 17,
            "font": {"color": palette.do, "size": 15},
        }
        for rise in rises
    ]


def _floors(traces: Traces, boxes: Sequence[_Box], palette: Colours) -> None:
    x: list[Any] = []
    y: list[Any] = []
    for box in boxes:
        x += [box.start, box.end, None]
        y += [box.floor, box.floor, None]
    traces.append(
        _scatter(x=x, y=y, mode="lines", line={"color": palette.danger, "width": 3}, hoverinfo="skip", name="floor")
    )


def _strip_names(boxes: Sequence[_Box], top: float, width: float, palette: Colours) -> list[dict[str, Any]]:
    """The sessions' names on the strip where there is room, and numbers where there is not."""
    begins = datetime.fromisoformat(boxes[0].start)
    span = (datetime.fromisoformat(boxes[-1].end) - begins).total_seconds() or 1.0
    last, names = -1e9, []
    for box in boxes:
        start, end = datetime.fromisoformat(box.start), datetime.fromisoformat(box.end)
        middle, room = start + (end - start) / 2, (end - start).total_seconds() / span * width
        text = box.name if len(box.name) * LETTER < room else str(box.number)
        centre = (middle - begins).total_seconds() / span * width
        if centre - last < len(text) * LETTER / 2 + 6:
            continue
        last = centre + len(text) * LETTER / 2
        place = {"x": middle.isoformat(), "y": sum(STRIP) / 2 * top}
        names.append({**place, "text": text, "showarrow": False, "font": {"size": 13, "color": palette.ink}})
    return names


def _widened(boxes: Sequence[_Box], rises: Sequence[Any]) -> tuple[str, str]:
    """The time axis from before the first refill or session to after the last."""
    first = min([boxes[0].start, *(rise.start for rise in rises)])
    start, end = datetime.fromisoformat(first), datetime.fromisoformat(boxes[-1].end)
    pad = max((end - start) * 0.03, timedelta(minutes=3))
    return (start - pad).isoformat(), (end + pad).isoformat()


def day_figure(picture: Any, theme: str, *, width: float = 900, height: int = 400) -> dict[str, Any]:
    """The picture of a DayPicture as a plotly figure's plain data.

    `width` [px] is about how wide it will stand, for the names on the strip.
    """
    palette, boxes = colours(theme), picture.sessions
    traces: Traces = []
    top = picture.limit * 1.12
    low, high = picture.washing
    if high > low:
        _area(
            traces,
            [(box.start, box.end, low, high) for box in boxes],
            fill=palette.third_tint,
            line=palette.third,
            pattern=".",
        )
    starving = [(box.start, box.end, 0.0, box.starving) for box in boxes if box.starving > 0]
    _area(traces, starving, fill=palette.danger_tint, line=palette.danger, pattern="/")
    _band(traces, boxes, picture.rises, palette)
    _floors(traces, boxes, palette)
    _levels(traces, boxes, picture.rises, palette)
    _rise_marks(traces, picture.rises, palette)
    strip = [(box.start, box.end, STRIP[0] * top, STRIP[1] * top) for box in boxes]
    _area(traces, strip, fill=palette.rule, line=palette.soft, pattern="")
    limit = {"type": "line", "xref": "x domain", "x0": 0, "x1": 1, "y0": picture.limit, "y1": picture.limit}
    limit["line"] = {"color": palette.soft, "width": 1, "dash": "dash"}
    layout = {
        "template": plain_template(theme),
        "height": height,
        "annotations": [*_rise_names(picture.rises, palette), *_strip_names(boxes, top, width, palette)],
        "shapes": [limit],
        "yaxis": {
            "range": [STRIP[0] * top * 1.06, top],
            "title": {"text": picture.unit},
            "tickvals": _ticks(picture.limit),
        },
        "xaxis": _time_axis(picture, width),
    }
    return {"data": traces, "layout": layout}


def _time_axis(picture: Any, width: float) -> dict[str, Any]:
    return {
        "type": "date",
        "range": list(_widened(picture.sessions, picture.rises)),
        "tickformat": "%H:%M\n%a" if picture.several_days else "%H:%M",
        "tickangle": 0,
        "hoverformat": "%H:%M",
        "rangebreaks": [{"bounds": list(night)} for night in picture.nights],
        "nticks": max(3, int(width / 110)),
    }


def _ticks(limit: float) -> list[float]:
    """Round values from 0 to the limit, at most six."""
    step = next(step for step in (0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100) if limit / step <= 6)
    return [round(step * k, 6) for k in range(int(limit / step + 1e-9) + 1)]

"""Depth over the pickup in time, both surfaces, above the flow; the chosen moment as a line through both."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import blank, colours

WINDOW = 9.0  # [s] to either side of the moment that a phone shows
MOMENT = 0  # place of the chosen moment's line among the figure's shapes


def _spells(figure: go.Figure, data: Any, color: str, tint: str) -> None:
    """Starving spells as hatched areas over the whole height of the depth."""
    x: list[float | None] = []
    y: list[float | None] = []
    for start, end in data.starving:
        x += [start, end, end, start, start, None]
        y += [0, 0, 1, 1, 0, None]
    pattern = {"shape": "/", "fgcolor": color, "bgcolor": tint, "size": 6, "solidity": 0.25, "fillmode": "overlay"}
    figure.add_trace(
        go.Scatter(
            x=x, y=y, yaxis="y3", fill="toself", mode="lines", line={"color": color, "width": 1}, fillcolor=tint,
            fillpattern=pattern, hoverinfo="skip",
        )
    )  # fmt: skip


def moment_line(seconds: float, color: str) -> dict[str, Any]:
    """The line at the chosen moment [s]."""
    place = {"x0": seconds, "x1": seconds, "y0": 0, "y1": 1, "yref": "paper", "xref": "x"}
    return {"type": "line", **place, "line": {"color": color, "width": 3}}


def window(seconds: float) -> list[float]:
    """What a phone shows around a moment [s]."""
    return [seconds - WINDOW, seconds + WINDOW]


def time_figure(data: Any, seconds: float, theme: str, *, narrow: bool = False, height: int = 380) -> go.Figure:
    """The picture of a TimeView with its line at a moment [s]; on a phone only what lies around it."""
    palette = colours(theme)
    figure = blank(theme, height)
    _spells(figure, data, palette.danger, palette.danger_tint)
    unit = data.depth_unit
    for values, color, dash, size, name in (
        (data.still, palette.do, "dot", 2, "still"),
        (data.moving, palette.ink, "solid", 2.5, "moving"),
    ):
        figure.add_trace(
            go.Scatter(
                x=data.time, y=values, mode="lines", line={"color": color, "width": size, "dash": dash},
                hovertemplate=f"{name}: %{{y:.3~g}} {unit}<extra></extra>",
            )
        )  # fmt: skip
    figure.add_trace(
        go.Scatter(
            x=data.time, y=data.flow, yaxis="y2", mode="lines", fill="tozeroy", fillcolor=palette.fluid,
            line={"color": palette.do, "width": 2}, hovertemplate=f"%{{y:.0f}} {data.flow_unit}<extra></extra>",
        )
    )  # fmt: skip
    figure.update_layout(
        shapes=[moment_line(seconds, palette.third)],
        yaxis={"title": {"text": f"over the pickup, {unit}"}, "domain": [0.36, 1]},
        yaxis2={
            "title": {"text": f"flow, {data.flow_unit}"}, "domain": [0, 0.27], "rangemode": "tozero", "anchor": "x",
            "fixedrange": True, "gridcolor": palette.rule, "nticks": 4,
        },
        yaxis3={"range": [0, 1], "visible": False, "overlaying": "y", "anchor": "x", "fixedrange": True},
        xaxis={"title": {"text": "time, s"}, "anchor": "y2"},
    )  # fmt: skip
    if narrow:
        figure.update_xaxes(range=window(seconds))
    figure.add_shape(type="line", x0=0, x1=1, xref="paper", y0=0, y1=0, line={"color": palette.ink, "width": 1.5})
    figure.add_shape(
        type="line", x0=0, x1=1, xref="paper", y0=data.wanted, y1=data.wanted,
        line={"color": palette.danger, "width": 1.5, "dash": "dot"},
    )  # fmt: skip
    return figure

"""Flow against boost: what is injected, and the limits of nozzles and pump; the pump's speed as a strip below."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import blank, colours


def top_of(curve: Any) -> float:
    """The top of the flow axis, in the unit shown; the pump's limit may lie beyond it."""
    return 1.25 * max(*curve.flow, *curve.full_speed)


def flow_figure(curve: Any, theme: str, height: int = 440) -> go.Figure:
    """The picture of a CarCurve."""
    palette = colours(theme)
    figure = blank(theme, height)

    def line(y: Any, color: str, width: float, dash: str, **more: Any) -> None:
        figure.add_trace(
            go.Scatter(x=curve.boost, y=y, mode="lines", line={"color": color, "width": width, "dash": dash}, **more)
        )

    line(curve.nozzle_limit, palette.danger, 2, "dot", hoverinfo="skip")
    line([curve.pump_limit] * len(curve.boost), palette.third, 2, "dashdot", hoverinfo="skip")
    line(curve.full_speed, palette.do, 2, "dash", hoverinfo="skip")
    if max(curve.siphon) > 0:
        line(curve.siphon, palette.danger, 3, "solid", hoverinfo="skip")
    line(curve.flow, palette.ink, 3.5, "solid", customdata=curve.texts, hovertemplate="%{customdata}<extra></extra>")
    figure.add_trace(
        go.Scatter(
            x=curve.boost,
            y=[100 * speed for speed in curve.speed],
            yaxis="y2",
            fill="tozeroy",
            mode="lines",
            line={"color": palette.do, "width": 2},
            fillcolor=palette.fluid,
            hoverinfo="skip",
        )
    )
    figure.update_layout(
        yaxis={"title": {"text": f"flow, {curve.flow_unit}"}, "domain": [0.26, 1], "range": [0, top_of(curve)]},
        yaxis2={
            "title": {"text": "speed, %"},
            "domain": [0, 0.18],
            "range": [0, 105],
            "tickvals": [0, 50, 100],
            "anchor": "x",
            "fixedrange": True,
            "gridcolor": palette.rule,
        },
        xaxis={"title": {"text": f"boost, {curve.boost_unit}"}, "anchor": "y2"},
    )
    return figure

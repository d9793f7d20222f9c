"""Washing: the peak force on the mounts over fill level as a band, and the course's swaying beside the first modes."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import blank, colours


def force_figure(data: Any, theme: str, height: int = 320) -> go.Figure:
    """The picture of a RiskForce: F to 1.5 F as a band, frozen fluid dashed, dead weight dotted."""
    palette = colours(theme)
    figure = blank(theme, height)
    ring = {"x": [*data.fill, *reversed(data.fill)], "y": [*data.low, *reversed(data.high)]}
    figure.add_trace(
        go.Scatter(
            **ring, fill="toself", fillcolor=palette.fluid, mode="lines", line={"color": palette.do, "width": 2},
            hoverinfo="skip",
        )
    )  # fmt: skip
    for values, color, dash in ((data.frozen, palette.ink, "dash"), (data.weight, palette.soft, "dot")):
        figure.add_trace(
            go.Scatter(
                x=data.fill, y=values, mode="lines", line={"color": color, "width": 2, "dash": dash}, hoverinfo="skip"
            )
        )
    figure.add_trace(
        go.Scatter(
            x=data.fill, y=data.low, mode="lines", line={"color": palette.do, "width": 2}, customdata=data.texts,
            hovertemplate="%{customdata}<extra></extra>",
        )
    )  # fmt: skip
    low, high = data.washing
    figure.add_vrect(
        x0=low, x1=high, fillcolor=palette.third_tint, line={"color": palette.third, "width": 1}, layer="below"
    )
    figure.add_annotation(
        x=(low + high) / 2, y=1, yref="y domain", text="washes hardest", showarrow=False, yanchor="top",
        font={"size": 13, "color": palette.third},
    )  # fmt: skip
    figure.update_layout(
        xaxis={"title": {"text": f"fill, {data.fill_unit}"}, "range": [0, data.capacity]},
        yaxis={"title": {"text": f"at the peak, {data.force_unit}"}, "rangemode": "tozero"},
    )
    return figure


def spectrum_figure(data: Any, theme: str, height: int = 320) -> go.Figure:
    """The picture of a RiskSpectrum: swaying by frequency, with the spans of the first modes."""
    palette = colours(theme)
    figure = blank(theme, height)
    looks = (("left to right", data.lateral, palette.ink, "solid"), ("along", data.longitudinal, palette.do, "dash"))
    for place, ((low, high), (name, values, color, dash)) in enumerate(zip(data.modes, looks, strict=True)):
        figure.add_trace(
            go.Scatter(
                x=data.frequency, y=values, mode="lines", line={"color": color, "width": 2.5, "dash": dash},
                hovertemplate=f"{name}: %{{y:.0f}} %<extra></extra>",
            )
        )  # fmt: skip
        y = 114 + 26 * (1 - place)
        figure.add_trace(
            go.Scatter(
                x=[low, high], y=[y, y], mode="lines+markers", line={"color": color, "width": 4, "dash": dash},
                marker={"symbol": "line-ns-open", "size": 12, "color": color, "line": {"width": 3}},
                hovertemplate=f"first mode, {name}: %{{x:.2f}} Hz<extra></extra>",
            )
        )  # fmt: skip
        figure.add_annotation(
            x=(low + high) / 2, y=y, text=f"first mode, {name}", showarrow=False, yshift=13,
            font={"size": 13, "color": color},
        )  # fmt: skip
    figure.update_layout(
        hovermode="closest",
        xaxis={"title": {"text": "frequency, Hz"}, "range": [0, max(3.0, data.modes[0][1] * 1.05)]},
        yaxis={"title": {"text": "swaying per octave, %"}, "range": [0, 160], "tickvals": [0, 25, 50, 75, 100]},
    )
    return figure

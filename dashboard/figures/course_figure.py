"""A course as pictures: boost over time above flow over time, and time at boost above the flow there."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import Colours, blank, colours

UPPER, LOWER = [0.42, 1.0], [0.0, 0.32]
STEPS = ("only", "most", "least", "other")


def line_style(role: str, palette: Colours) -> dict[str, Any]:
    """How a run's line looks: colour, width and dash, so that no two roles differ by colour alone."""
    return {
        "only": {"color": palette.ink, "width": 2.0, "dash": "solid"},
        "most": {"color": palette.do, "width": 2.0, "dash": "solid"},
        "least": {"color": palette.danger, "width": 1.8, "dash": "dot"},
        "other": {"color": palette.soft, "width": 1.0, "dash": "solid"},
    }[role]


def _lower(palette: Colours, title: str) -> dict[str, Any]:
    return {"title": {"text": title}, "domain": LOWER, "anchor": "x", "rangemode": "tozero", "fixedrange": True,
            "gridcolor": palette.rule, "nticks": 4}  # fmt: skip


def time_figure(picture: Any, theme: str, height: int = 420, *, zoom: bool = False) -> go.Figure:
    """Boost and flow over time of a CoursePicture, its runs on top of each other; `zoom`: a stretch can be dragged."""
    palette, figure = colours(theme), blank(theme, height)
    end = max(float(line.time[-1]) for line in picture.lines)
    for line in picture.lines:
        style, faint = line_style(line.role, palette), 0.75 if line.role == "other" else 1.0
        for values, axis, unit in ((line.boost, "y", picture.boost_unit), (line.flow, "y2", picture.flow_unit)):
            figure.add_trace(
                go.Scatter(x=line.time, y=values, yaxis=axis, mode="lines", line=style, opacity=faint, name=line.label,
                           connectgaps=False, hovertemplate=f"{line.label}: %{{y:.3~g}} {unit}<extra></extra>")
            )  # fmt: skip
    figure.update_layout(
        xaxis={
            "title": {"text": f"time, {picture.time_unit}"},
            "anchor": "y2",
            "range": [0, end],
            "fixedrange": not zoom,
        },
        yaxis={"title": {"text": f"boost, {picture.boost_unit}"}, "domain": UPPER, "nticks": 6},
        yaxis2=_lower(palette, f"flow, {picture.flow_unit}"),
        dragmode="zoom" if zoom else False,
    )
    return figure


def bands_figure(picture: Any, theme: str, height: int = 420) -> go.Figure:
    """Time at boost of a CoursePicture as bars, above the car's flow at the same boost."""
    palette, figure, bands = colours(theme), blank(theme, height), picture.bands
    figure.add_trace(
        go.Bar(x=bands.middle, y=bands.seconds, width=bands.width * 0.92, marker={"color": palette.do, "line_width": 0},
               hovertemplate=f"%{{x}} {picture.boost_unit}: %{{y:.2g}} s<extra></extra>")
    )  # fmt: skip
    figure.add_trace(
        go.Scatter(x=bands.curve_boost, y=bands.curve_flow, yaxis="y2", mode="lines", fill="tozeroy",
                   fillcolor=palette.fluid, line={"color": palette.ink, "width": 2.5},
                   hovertemplate=f"%{{x}} {picture.boost_unit}: %{{y:.4g}} {picture.flow_unit}<extra></extra>")
    )  # fmt: skip
    figure.update_layout(
        xaxis={"title": {"text": f"boost, {picture.boost_unit}"}, "anchor": "y2"},
        yaxis={"title": {"text": f"time per {picture.per}, s"}, "domain": UPPER, "nticks": 6, "rangemode": "tozero"},
        yaxis2=_lower(palette, f"flow, {picture.flow_unit}"),
        hovermode="closest",
        bargap=0,
    )
    return figure

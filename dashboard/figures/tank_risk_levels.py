"""Starving and washing over fill level: the share of time bare above, and what holds at each level as strips below."""

from __future__ import annotations

from collections.abc import Sequence
from math import log10
from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import Colours, blank, colours

ZONES = ((0.1, 1.0, "under 1 %"), (1.0, 10.0, "1 to 10 %"), (10.0, 100.0, "over 10 %"))
LETTER = 7.2  # [px] a letter of a strip's words takes
STRIPS = ("near resonance", "washing", "borderline", "starving")


def _looks(palette: Colours) -> dict[str, dict[str, Any]]:
    """Fill, line and pattern of each word; pattern and word tell them apart without colour."""

    def look(line: str, fill: str, shape: str) -> dict[str, Any]:
        pattern = {"shape": shape, "fgcolor": line, "bgcolor": fill, "size": 6, "solidity": 0.18, "fillmode": "overlay"}
        return {"color": fill, "line": {"color": line, "width": 1.5}, "pattern": pattern}

    return {
        "over 10 %": {"color": palette.danger, "line": {"color": palette.danger, "width": 1.5}},
        "1 to 10 %": look(palette.danger, palette.danger_tint, "/"),
        "under 1 %": look(palette.soft, "rgba(0,0,0,0)", ""),
        "borderline": look(palette.ink, "rgba(0,0,0,0)", "."),
        "washes hardest": look(palette.third, palette.third_tint, "x"),
        "near resonance": look(palette.third, palette.third_tint, "|"),
    }


def _strip(figure: go.Figure, row: str, stretches: Sequence[Any], palette: Colours, pixels: float) -> None:
    """One strip: a bar a stretch, its words within where there is room."""
    looks = _looks(palette)
    for stretch in stretches:
        size = stretch.end - stretch.start
        room = len(stretch.word) * LETTER < size * pixels
        solid = stretch.word == "over 10 %"
        figure.add_trace(
            go.Bar(
                x=[size], base=[stretch.start], y=[row], orientation="h", yaxis="y2", marker=looks[stretch.word],
                width=0.72, hovertemplate=f"{row}: {stretch.word}<extra></extra>",
            )
        )  # fmt: skip
        if room:
            figure.add_annotation(
                x=(stretch.start + stretch.end) / 2, y=row, yref="y2", text=stretch.word, showarrow=False,
                font={"size": 13, "color": palette.paper if solid else palette.ink},
                bgcolor=None if solid else palette.paper, borderpad=1,
            )  # fmt: skip


def _zones(figure: go.Figure, palette: Colours) -> None:
    """The bands in which the model can tell levels apart, named at the right; an axis of tens takes exponents."""
    for (low, high, word), depth in zip(ZONES, (0.0, 0.5, 1.0), strict=True):
        figure.add_hrect(y0=low, y1=high, fillcolor=palette.danger_tint, opacity=depth, line_width=0, layer="below")
        figure.add_annotation(
            x=1, xref="x domain", y=(log10(low) + log10(high)) / 2, text=word, showarrow=False, xanchor="right",
            font={"size": 14, "color": palette.soft},
        )  # fmt: skip


def risk_levels_figure(data: Any, theme: str, *, width: float, height: int = 470) -> go.Figure:
    """The picture of a RiskLevels; `width` [px] of the plot decides which words have room."""
    palette = colours(theme)
    figure = blank(theme, height)
    _zones(figure, palette)
    for values, name, color, dash, size in (
        (data.still, "still surface", palette.do, "dash", 2),
        (data.moving, "moving surface", palette.ink, "solid", 3.5),
    ):
        figure.add_trace(
            go.Scatter(
                x=data.fill, y=values, mode="lines", name=name, line={"color": color, "width": size, "dash": dash},
                customdata=data.texts, hovertemplate="%{customdata}<extra></extra>" if dash == "solid" else None,
                hoverinfo="skip" if dash != "solid" else None,
            )
        )  # fmt: skip
    pixels = width / data.capacity
    stretches = (data.resonance, data.washing, data.borderline, data.starving)
    for row, found in zip(STRIPS, stretches, strict=True):
        _strip(figure, row, found, palette, pixels)
    figure.add_vline(x=data.floor, line={"color": palette.danger, "width": 2, "dash": "dot"})
    figure.update_layout(
        barmode="overlay",
        hovermode="closest",
        xaxis={"title": {"text": f"fill, {data.unit}"}, "range": [0, data.capacity], "anchor": "y2"},
        yaxis={
            "type": "log", "range": [-1, 2], "domain": [0.42, 1], "title": {"text": "bare, % of flowing time"},
            "tickvals": [0.1, 1, 10, 100], "ticktext": ["≤ 0.1", "1", "10", "100"],
        },
        yaxis2={
            "type": "category", "categoryorder": "array", "categoryarray": list(STRIPS), "domain": [0, 0.34],
            "anchor": "x", "fixedrange": True, "showgrid": False, "range": [-0.5, len(STRIPS) - 0.5],
        },
    )  # fmt: skip
    return figure

"""The one template of every figure: ink on paper, colours that the colour-blind tell apart, in two themes.

The three line colours of each theme keep a least difference of 12 (CIEDE2000) to each other as seen with protanopia,
deuteranopia and tritanopia; a test computes it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any

import plotly.graph_objects as go

FONT = 'system-ui, -apple-system, "Segoe UI", Roboto, "Helvetica Neue", "Liberation Sans", Arial, sans-serif'


@dataclass(frozen=True, slots=True)
class Colours:
    """Ink and paper, the colour for "do this" (and the fluid), for danger, and a third."""

    ink: str
    soft: str
    rule: str
    paper: str
    do: str
    danger: str
    third: str
    fluid: str
    danger_tint: str
    third_tint: str


LIGHT = Colours(
    ink="#12232d",
    soft="#465862",
    rule="#dfe5e4",
    paper="#ffffff",
    do="#00588f",
    danger="#a63d00",
    third="#8a2c6b",
    fluid="rgba(0,88,143,0.14)",
    danger_tint="rgba(166,61,0,0.13)",
    third_tint="rgba(138,44,107,0.11)",
)
DARK = Colours(
    ink="#ecf1f3",
    soft="#b4c3ca",
    rule="#2b3a44",
    paper="#16242c",
    do="#56b4e9",
    danger="#f0a500",
    third="#e69ac8",
    fluid="rgba(86,180,233,0.20)",
    danger_tint="rgba(240,165,0,0.16)",
    third_tint="rgba(230,154,200,0.15)",
)


def colours(theme: str) -> Colours:
    """The colours of a theme, "light" or "dark"."""
    return DARK if theme == "dark" else LIGHT


def on_paper() -> dict[str, str]:
    """Each colour of the dark theme with the light theme's that stands for it on paper."""
    return {getattr(DARK, one.name).lower(): getattr(LIGHT, one.name) for one in fields(Colours)}


def _axis(palette: Colours) -> dict[str, object]:
    return {
        "gridcolor": palette.rule,
        "linecolor": palette.ink,
        "linewidth": 1.5,
        "showline": True,
        "ticks": "outside",
        "tickcolor": palette.ink,
        "ticklen": 5,
        "zeroline": False,
        "tickfont": {"size": 13},
        "title": {"font": {"size": 14}, "standoff": 8},
        "automargin": True,
        "fixedrange": True,
    }


@lru_cache(maxsize=4)
def template(theme: str) -> go.layout.Template:
    """The template of a theme, one and the same for all: not to be changed."""
    palette = colours(theme)
    return go.layout.Template(
        layout={
            "font": {"family": FONT, "size": 14, "color": palette.ink},
            "paper_bgcolor": "rgba(0,0,0,0)",
            "plot_bgcolor": "rgba(0,0,0,0)",
            "colorway": [palette.do, palette.danger, palette.third, palette.ink],
            "xaxis": {**_axis(palette), "showgrid": False},
            "yaxis": _axis(palette),
            "margin": {"l": 8, "r": 8, "t": 16, "b": 8},
            "hoverlabel": {
                "bgcolor": palette.paper,
                "bordercolor": palette.ink,
                "font": {"size": 14, "color": palette.ink},
            },
            "hovermode": "x",
            "showlegend": False,
            "dragmode": False,
        }
    )


@lru_cache(maxsize=4)
def plain_template(theme: str) -> dict[str, Any]:
    """The template of a theme as plain data, one and the same for all: not to be changed."""
    return dict(template(theme).to_plotly_json())


def blank(theme: str, height: int | None = None) -> go.Figure:
    """An empty figure with the template, to draw on."""
    figure = go.Figure()
    figure.update_layout(template=template(theme), height=height)
    return figure

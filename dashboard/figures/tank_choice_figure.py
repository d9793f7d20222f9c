"""Which tank to buy: stops against carried mass, one mark a tank; and a tornado of other changes."""

from __future__ import annotations

from typing import Any

import plotly.graph_objects as go

from dashboard.figures.template import Colours, blank, colours

BAR_ROW, NARROW_ROW = 58, 84
_SYMBOLS = {
    "worth": ("circle", 17),
    "open": ("circle", 10),
    "worse": ("circle-open", 10),
    "broken": ("x-thin-open", 10),
}


def _colour(look: str, palette: Colours) -> str:
    return palette.do if look == "worth" else palette.ink if look == "open" else palette.soft


def choice_figure(picture: Any, theme: str, narrow: bool = False) -> go.Figure:
    """The picture of a ChoicePicture."""
    palette = colours(theme)
    figure = blank(theme, 380)
    for look, (symbol, size) in _SYMBOLS.items():
        dots = [dot for dot in picture.dots if dot.look == look]
        named = look == "worth"
        figure.add_trace(
            go.Scatter(
                x=[dot.mass for dot in dots],
                y=[dot.stops for dot in dots],
                mode="markers+text" if named else "markers",
                text=[f"<b>{dot.name}</b>" for dot in dots] if named else None,
                textposition=_places(dots, picture, narrow) if named else None,
                textfont={"size": 15, "color": palette.ink},
                marker={
                    "symbol": symbol,
                    "size": size,
                    "color": _colour(look, palette),
                    "line": {"width": 2, "color": _colour(look, palette)},
                },
                opacity=1.0 if look in ("worth", "open") else 0.75,
                customdata=[dot.text for dot in dots],
                hovertemplate="%{customdata}<extra></extra>",
                cliponaxis=False,
            )
        )
    most = max((dot.stops for dot in picture.dots), default=1)
    figure.update_layout(
        hovermode="closest",
        xaxis={"title": {"text": f"mass carried on average, {picture.unit}"}, "showgrid": False},
        yaxis={"title": {"text": "stops in all"}, "range": [-0.35, max(most, 1) + 0.6], "dtick": max(1, most // 8)},
    )
    return figure


def _places(dots: Any, picture: Any, narrow: bool) -> list[str]:
    """Where each name stands: left of a dot that lies far to the right, else right of it."""
    masses = [dot.mass for dot in picture.dots] or [0.0]
    edge = min(masses) + (0.45 if narrow else 0.75) * (max(masses) - min(masses))
    return ["top left" if dot.mass > edge else "top right" for dot in dots]


def tornado_height(bars: int, narrow: bool = False) -> int:
    """The picture's height [px] for so many bars; on a phone what they do stands in lines."""
    return 70 + (NARROW_ROW if narrow else BAR_ROW) * bars


def tornado_figure(tornado: Any, theme: str, narrow: bool = False) -> go.Figure:
    """The picture of a Tornado: each bar under its name; on its other side of today, what it does."""
    palette = colours(theme)
    figure = blank(theme, tornado_height(len(tornado.bars), narrow))
    places = list(range(len(tornado.bars), 0, -1))
    figure.add_trace(
        go.Bar(
            x=[bar.more for bar in tornado.bars],
            y=places,
            orientation="h",
            width=0.26 if narrow else 0.34,
            marker={"color": [palette.danger if bar.more > 0 else palette.do for bar in tornado.bars]},
            customdata=[f"{bar.name}: {bar.said}" for bar in tornado.bars],
            hovertemplate="%{customdata}<extra></extra>",
        )
    )
    for bar, place in zip(tornado.bars, places, strict=True):
        _write(
            figure,
            bar.name,
            place + 0.4,
            colour=palette.ink,
            x=0,
            xref="x domain",
            xanchor="left",
            bgcolor=palette.paper,
        )
        side = "right" if bar.more > 0 else "left"
        said = bar.said.replace(", ", "<br>") if narrow else bar.said
        shift = -8 if bar.more > 0 else 8
        _write(figure, said, place, colour=palette.soft, x=0, xref="x", xanchor=side, xshift=shift, align=side)
    reach = 1.1 * max((abs(bar.more) for bar in tornado.bars), default=1.0) or 1.0
    figure.update_layout(
        hovermode="closest",
        xaxis={
            "title": {"text": f"use a day against today, {tornado.unit}"},
            "range": [-reach, reach],
            "zeroline": True,
            "zerolinecolor": palette.ink,
            "zerolinewidth": 1.5,
        },
        yaxis={"visible": False, "range": [0.5, len(tornado.bars) + 0.75], "showgrid": False},
    )
    return figure


def _write(figure: go.Figure, text: str, y: float, *, colour: str, **place: Any) -> None:
    """A text at a bar's height."""
    font = {"size": 13, "color": colour}
    figure.add_annotation(text=text, y=y, yref="y", yanchor="middle", showarrow=False, font=font, **place)

"""Stops against carried mass, one mark a tank: the same marks as SVG and as PNG, without a browser or a network."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape

WIDTH, HEIGHT = 760, 460
LEFT, RIGHT, TOP, BOTTOM = 70, 740, 66, 390
INK, SOFT, FADED, DO, DANGER, PAPER = "#12232d", "#465862", "#9aa7ad", "#00588f", "#a63d00", "#ffffff"


@dataclass(frozen=True, slots=True)
class Line:
    """A straight stroke between two points [px]."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A disc [px], or a ring where it is hollow."""

    x: float
    y: float
    radius: float
    colour: str
    hollow: bool = False
    title: str = ""


@dataclass(frozen=True, slots=True)
class Label:
    """A text at a point [px]; anchor: start, middle or end."""

    x: float
    y: float
    text: str
    size: int = 14
    colour: str = INK
    anchor: str = "start"
    bold: bool = False


Mark = Line | Dot | Label


def round_ticks(low: float, high: float, most: int = 8) -> list[float]:
    """Round numbers from at or below `low` to at or above `high`, at most `most` steps."""
    span = max(high - low, 1e-9)
    power = 10.0 ** math.floor(math.log10(span / most))
    step = next(power * factor for factor in (1, 2, 5, 10) if span / (power * factor) <= most)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [round(k * step, 10) for k in range(first, max(last, first + 1) + 1)]


@dataclass(frozen=True, slots=True)
class _Scale:
    """Data to pixels along one axis."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def shown(tank: Mapping[str, Any]) -> bool:
    """Whether a tank has a place in the picture: one that drives no day carries nothing."""
    return tank["mean_carried_kg"] is not None


def _scales(result: Mapping[str, Any]) -> tuple[list[float], list[float], _Scale, _Scale]:
    tanks = [tank for tank in result["tanks"] if shown(tank)]
    masses = [tank["mean_carried_kg"] for tank in tanks] or [0.0, 1.0]
    stops = [tank["stops"] for tank in tanks] or [0]
    across = round_ticks(min(masses), max(masses))
    up = [tick for tick in round_ticks(0, max(*stops, 1)) if tick == int(tick)]
    x = _Scale(across[0], across[-1], LEFT + 16, RIGHT - 16)
    return across, up, x, _Scale(0, up[-1], BOTTOM - 16, TOP + 16)


def picture(result: Mapping[str, Any]) -> list[Mark]:
    """The marks of a comparison's plain data."""
    across, up, x, y = _scales(result)
    days = len(result["events"])
    marks: list[Mark] = [
        Label(LEFT, 26, f"Stops against mass carried, {days} day{'s' * (days > 1)}, {result['car']}", 18, bold=True),
        Label(
            LEFT,
            48,
            "Named: worth considering. Ring: worse in all that counts. Cross: some day cannot be driven.",
            13,
            SOFT,
        ),
        Line(LEFT, BOTTOM, RIGHT, BOTTOM, INK, 1.5),
        Line(LEFT, TOP, LEFT, BOTTOM, INK, 1.5),
        Label((LEFT + RIGHT) / 2, BOTTOM + 48, "mean mass carried [kg]", anchor="middle"),
        Label(8, TOP + 4, "stops"),
    ]
    for tick in across:
        marks += [
            Line(x(tick), BOTTOM, x(tick), BOTTOM + 6, INK),
            Label(x(tick), BOTTOM + 24, f"{tick:g}", 13, INK, "middle"),
        ]
    for tick in up:
        marks += [
            Line(LEFT - 6, y(tick), RIGHT, y(tick), "#dfe5e4"),
            Label(LEFT - 12, y(tick) + 5, f"{tick:g}", 13, INK, "end"),
        ]
    tanks = sorted((tank for tank in result["tanks"] if shown(tank)), key=lambda tank: tank["worth"])
    for tank in tanks:
        marks += _tank_marks(tank, x(tank["mean_carried_kg"]), y(tank["stops"]))
    return marks


def _tank_marks(tank: Mapping[str, Any], x: float, y: float) -> Iterator[Mark]:
    title = f"{tank['name']}: {tank['stops']} stops, {tank['mean_carried_kg']:.1f} kg"
    if tank["worth"]:
        yield Dot(x, y, 8, DO, title=title)
        near_edge = x > RIGHT - 130
        yield Label(
            x - 13 if near_edge else x + 13, y - 9, tank["name"], 15, INK, "end" if near_edge else "start", True
        )
    elif tank["impossible_days"]:
        yield Line(x - 5, y - 5, x + 5, y + 5, FADED, 2)
        yield Line(x - 5, y + 5, x + 5, y - 5, FADED, 2)
    else:
        yield Dot(x, y, 5, SOFT if tank["undominated"] else FADED, hollow=not tank["undominated"], title=title)


def svg(result: Mapping[str, Any]) -> str:
    """The picture as an SVG document."""
    inside = "\n".join(_element(mark) for mark in picture(result))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        f'role="img" font-family="sans-serif">\n<title>{escape(result["answer"])}</title>\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>\n{inside}\n</svg>\n'
    )


def _element(mark: Mark) -> str:
    if isinstance(mark, Line):
        place = f'x1="{mark.x1:.1f}" y1="{mark.y1:.1f}" x2="{mark.x2:.1f}" y2="{mark.y2:.1f}"'
        return f'<line {place} stroke="{mark.colour}" stroke-width="{mark.width:g}"/>'
    if isinstance(mark, Dot):
        paint = f'fill="{PAPER}" stroke="{mark.colour}" stroke-width="2"' if mark.hollow else f'fill="{mark.colour}"'
        title = f"<title>{escape(mark.title)}</title>"
        return f'<circle cx="{mark.x:.1f}" cy="{mark.y:.1f}" r="{mark.radius:g}" {paint}>{title}</circle>'
    weight = ' font-weight="bold"' if mark.bold else ""
    place = f'x="{mark.x:.1f}" y="{mark.y:.1f}" text-anchor="{mark.anchor}" font-size="{mark.size}"'
    return f'<text {place} fill="{mark.colour}"{weight}>{escape(mark.text)}</text>'


def png(result: Mapping[str, Any], scale: int = 2) -> bytes:
    """The picture as PNG, `scale` pixels for each of the SVG's."""
    # The rasteriser is loaded for this export alone, so that no other command waits for it.
    from PIL import Image, ImageDraw

    fine = 2 * scale
    image = Image.new("RGB", (WIDTH * fine, HEIGHT * fine), PAPER)
    pen = ImageDraw.Draw(image)
    for mark in picture(result):
        _paint(pen, mark, fine)
    held = BytesIO()
    image.resize((WIDTH * scale, HEIGHT * scale), Image.Resampling.LANCZOS).save(held, "PNG", optimize=True)
    return held.getvalue()


def _paint(pen: Any, mark: Mark, scale: int) -> None:
    """One mark, drawn at twice the size wanted, which the last step smooths."""
    # Loaded with the picture above.
    from PIL import ImageFont

    if isinstance(mark, Line):
        ends = [(mark.x1 * scale, mark.y1 * scale), (mark.x2 * scale, mark.y2 * scale)]
        pen.line(ends, fill=mark.colour, width=max(1, round(mark.width * scale)))
    elif isinstance(mark, Dot):
        box = [
            (k * scale)
            for k in (mark.x - mark.radius, mark.y - mark.radius, mark.x + mark.radius, mark.y + mark.radius)
        ]
        fill = PAPER if mark.hollow else mark.colour
        pen.ellipse(box, fill=fill, outline=mark.colour, width=2 * scale)
    else:
        anchor = {"start": "ls", "middle": "ms", "end": "rs"}[mark.anchor]
        stroke = scale // 4 if mark.bold else 0
        font = ImageFont.load_default(mark.size * scale)
        place = (mark.x * scale, mark.y * scale)
        pen.text(place, mark.text, mark.colour, font, anchor=anchor, stroke_width=stroke, stroke_fill=mark.colour)

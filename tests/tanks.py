"""Tank shapes that tests share, and an independent way to fill them: many thin columns."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump

BOX = Box(0.25, 0.15, 0.2133)
SHAPES: tuple[TankShape, ...] = (
    BOX,
    UprightCylinder(0.2, 0.25),
    LyingCylinder(0.2, 0.4, "x"),
    LyingCylinder(0.2, 0.4, "y"),
    DipTable((0.0, 0.04, 0.1, 0.2), (0.0, 0.0008, 0.0042, 0.0085), 0.3, 0.2),
    WithSump(Box(0.25, 0.15, 0.18), Box(0.08, 0.09, 0.05), 0.02, 0.03),
)
NAMES = ("box", "upright", "lying along", "lying across", "dips", "sump")

sizes = st.floats(0.05, 0.6)


@st.composite
def shapes(draw: st.DrawFn) -> TankShape:
    """Random tanks of all shapes."""
    kind = draw(st.integers(0, 3))
    if kind == 0:
        return Box(draw(sizes), draw(sizes), draw(sizes))
    if kind == 1:
        return UprightCylinder(draw(sizes), draw(sizes))
    if kind == 2:
        return LyingCylinder(draw(sizes), draw(sizes), draw(st.sampled_from(["x", "y"])))
    length, width, height = draw(sizes), draw(sizes), draw(sizes)
    shares = np.array(draw(st.lists(st.floats(0.2, 1.0), min_size=2, max_size=6)))
    levels = np.linspace(0.0, height, shares.size + 1)
    volumes = np.concatenate(([0.0], np.cumsum(shares * height / shares.size * length * width)))
    return DipTable(tuple(levels.tolist()), tuple(volumes.tolist()), length, width)


@st.composite
def sumps(draw: st.DrawFn) -> WithSump:
    """Random boxes with a sump, which mirror nothing."""
    main = Box(draw(sizes), draw(sizes), draw(sizes))
    sump = Box(draw(st.floats(0.2, 0.6)) * main.length, 0.5 * main.width, draw(st.floats(0.02, 0.1)))
    return WithSump(main, sump, 0.15 * main.length, -0.2 * main.width)


def polygon_area(outline: np.ndarray) -> float:
    """Area [m2] of an outline (n, 2) [m] that runs against the clock."""
    x, z = outline.T
    return float(np.sum(x * np.roll(z, -1) - np.roll(x, -1) * z) / 2)


def column_volume(shape: TankShape, height: float, slope_x: float, slope_y: float, *, count: int = 600) -> float:
    """Volume [m3] beneath a plane, by count x count columns between the tank's floor and lid."""
    if isinstance(shape, WithSump):
        over_sump = height + slope_x * shape.ahead + slope_y * shape.left
        below = column_volume(shape.sump, over_sump, slope_x, slope_y, count=count)
        return below + column_volume(shape.main, height - shape.sump.height, slope_x, slope_y, count=count)
    middle = (np.arange(count) + 0.5) / count - 0.5
    x, y = np.meshgrid(middle * shape.length, middle * shape.width, indexing="ij")
    plane = height + slope_x * x + slope_y * y
    area = shape.length * shape.width / count**2
    if isinstance(shape, DipTable):
        return float(np.interp(plane, shape.levels, shape.volumes).mean())
    floor, lid = np.zeros_like(x), np.full_like(x, shape.height)
    inside = np.ones_like(x)
    if isinstance(shape, UprightCylinder):
        inside = np.hypot(x, y) <= shape.diameter / 2
    if isinstance(shape, LyingCylinder):
        across, radius = (y if shape.axis == "x" else x), shape.diameter / 2
        arch = np.sqrt(np.maximum(radius**2 - across**2, 0.0))
        floor, lid = radius - arch, radius + arch
    return float(np.sum(inside * (np.clip(plane, floor, lid) - floor)) * area)

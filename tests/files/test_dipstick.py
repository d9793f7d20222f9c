"""The dipstick strip: every line stands where the tank's own level of that volume is, in true millimetres."""

from __future__ import annotations

import itertools
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from planner.files.dipstick import (
    UNIT_VOLUME,
    Unit,
    dipstick_page,
    dipstick_svgs,
    graduations,
    pieces_of,
    strip_marks,
)
from planner.physics.tank import Box, DipTable, LyingCylinder, TankShape, UprightCylinder, WithSump
from tests.cars import CAR
from tests.plans import event_of, plan_of

SHAPES: dict[str, TankShape] = {
    "box": Box(0.32, 0.18, 0.14),
    "shallow box": Box(0.5, 0.4, 0.05),
    "upright": UprightCylinder(0.16, 0.31),
    "tall": UprightCylinder(0.12, 0.75),
    "lying": LyingCylinder(0.25, 0.3, "y"),
    "small lying": LyingCylinder(0.12, 0.25, "x"),
    "with sump": WithSump(Box(0.32, 0.18, 0.14), Box(0.08, 0.08, 0.03), ahead=-0.1),
    "upright with sump": WithSump(UprightCylinder(0.2, 0.2), Box(0.06, 0.06, 0.025)),
    "dip table": DipTable((0.0, 0.04, 0.09, 0.26), (0.0, 0.0011, 0.003, 0.009), 0.2, 0.2),
}
SVG = "{http://www.w3.org/2000/svg}"


def _lines(svg: str, attribute: str) -> list[tuple[float, float]]:
    """Each line that carries a value: the value, and its height [mm] above the tank's floor, as drawn."""
    root = ElementTree.fromstring(svg)
    scale = float(root.get("height", "").removesuffix("mm")) / float(root.get("viewBox", "").split()[3])
    low, base = float(root.get("data-low", "")), float(root.get("data-base", ""))
    lines = [line for line in root.iter(SVG + "line") if line.get(attribute)]
    return [(float(line.get(attribute, "")), low + scale * (base - float(line.get("y1", "")))) for line in lines]


@pytest.mark.parametrize("unit", ["L", "gal"])
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_each_line_is_at_the_tanks_level_of_its_volume(shape: TankShape, unit: Unit) -> None:
    drawn = [line for svg in dipstick_svgs(shape, (), "strip", unit=unit) for line in _lines(svg, "data-amount")]
    assert len(drawn) >= 4
    for amount, height in drawn:
        volume = min(amount * UNIT_VOLUME[unit], shape.capacity)
        assert height == pytest.approx(float(shape.level_from_volume(volume)) * 1e3, abs=0.002)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES.keys())
def test_lines_are_equal_amounts_that_can_be_told_apart_up_to_the_top(shape: TankShape) -> None:
    lines = graduations(shape)
    steps = np.diff([line.amount for line in lines])
    assert steps == pytest.approx(steps[0])
    assert np.diff([line.level for line in lines]).min() >= 1.1
    assert shape.capacity * 1e3 - lines[-1].amount < steps[0] + 1e-6
    numbered = [line.level for line in lines if line.numbered]
    assert len(numbered) >= 3
    assert np.diff(numbered).min() >= 4.0


def test_each_mark_is_drawn_at_its_level_and_named() -> None:
    plan = plan_of(event_of(7))
    marks = strip_marks(plan, CAR)
    (svg,) = dipstick_svgs(CAR.tank.shape, marks, "strip")
    assert [value for value, _ in _lines(svg, "data-mark")] == [pytest.approx(mark.level, rel=1e-5) for mark in marks]
    for value, height in _lines(svg, "data-mark"):
        assert height == pytest.approx(value, abs=0.002)
    assert marks[1].level == pytest.approx(plan["refills"][0]["mark_mm"], abs=0.06)
    assert "FILL before 1, 4, 7: 3.94 L, 68 mm" in svg
    assert "never below: 0.6 L, 10 mm" in svg
    assert f"full: {CAR.tank.limit * 1e3:.1f} L" in svg


def test_the_control_line_is_100_mm() -> None:
    for svg in dipstick_svgs(SHAPES["tall"], (), "strip"):
        (line,) = [line for line in ElementTree.fromstring(svg).iter(SVG + "line") if line.get("data-control")]
        assert float(line.get("y2", "")) - float(line.get("y1", "")) == pytest.approx(100.0)


@pytest.mark.parametrize("height", [50.0, 230.0, 230.1, 460.0, 751.3])
def test_pieces_cover_the_strip_fit_the_page_and_overlap_for_glue(height: float) -> None:
    pieces = pieces_of(height)
    assert pieces[0][0] == 0.0
    assert pieces[-1][1] == height
    assert all(high - low <= 230.0 for low, high in pieces)
    assert all(before[1] - after[0] == pytest.approx(10.0) for before, after in itertools.pairwise(pieces))


def test_a_long_tank_comes_on_several_pages_that_say_which_piece_they_are() -> None:
    car = replace(CAR, tank=replace(CAR.tank, shape=SHAPES["tall"]))
    page = dipstick_page(plan_of(event_of(3), car), car)
    assert page.count("<svg") == 4
    assert "piece 2 of 4" in page
    assert "glue over the last piece from 220 mm on" in page
    assert "Print at 100 %" in page


def test_many_fills_to_one_mark_keep_a_short_word_on_the_strip() -> None:
    marks = strip_marks(plan_of(event_of(24)), CAR)
    assert marks[1].short == "fill 1 to 22"

import itertools
import math

import numpy as np
import plotly.graph_objects as go
import pytest

from dashboard.figures.day_figure import day_figure
from dashboard.figures.flow_figure import flow_figure
from dashboard.figures.tank_drawing import TankSide, tank_drawing
from dashboard.figures.template import DARK, LIGHT, blank, template
from dashboard.presenters.car_curve import car_curve
from dashboard.presenters.day_picture import day_picture
from dashboard.presenters.display import Display
from tests.dashboard.days import outcome

# Machado, Oliveira, Fernandes, IEEE Trans. Vis. Comput. Graph. 15 (2009), severity 1.0, for linear sRGB (from memory).
DEFICIENCY = {
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
}


def linear(color):
    channels = np.array([int(color[place : place + 2], 16) for place in (1, 3, 5)]) / 255
    return np.where(channels <= 0.04045, channels / 12.92, ((channels + 0.055) / 1.055) ** 2.4)


def lab(rgb):
    """CIE L*a*b* of linear sRGB, white D65."""
    xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]) @ np.clip(rgb, 0, 1)
    ratio = xyz / np.array([0.95047, 1.0, 1.08883])
    f = np.where(ratio > (6 / 29) ** 3, np.cbrt(ratio), ratio / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def contrast(one, two):
    """WCAG 2.2 contrast ratio."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    bright, dim = sorted((float(weights @ linear(color)) for color in (one, two)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("kind", DEFICIENCY)
def test_line_colours_stay_apart_for_the_colour_blind(palette, kind):
    matrix = np.array(DEFICIENCY[kind])
    for one, two in itertools.combinations((palette.do, palette.danger, palette.third), 2):
        assert math.dist(lab(matrix @ linear(one)), lab(matrix @ linear(two))) >= 12


@pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])
def test_text_and_lines_stand_out_from_the_paper(palette):
    assert contrast(palette.ink, palette.paper) >= 12
    assert contrast(palette.soft, palette.paper) >= 7
    for color in (palette.do, palette.danger, palette.third):
        assert contrast(color, palette.paper) >= 4.5


def test_both_themes_have_one_template_each():
    assert template("light").layout.font.color == LIGHT.ink
    assert template("dark").layout.font.color == DARK.ink
    assert template("anything else").layout.font.color == LIGHT.ink


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    return outcome(tmp_path_factory.mktemp("figure"))


def drawn(*args, **how):
    """The day's figure, checked by plotly's own classes."""
    return go.Figure(day_figure(*args, **how))


def test_the_days_picture_is_few_traces_and_one_unbroken_line(day):
    figure = drawn(day_picture(day.plan, Display()), "light")
    assert len(figure.data) <= 9
    (level,) = [trace for trace in figure.data if trace.line.width == 3 and trace.line.color == LIGHT.ink]
    assert None not in level.y
    assert list(level.x) == sorted(level.x)
    assert len(level.x) == 2 * 4 + 2 * len(day.plan["refills"])


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_days_picture_stands_on_the_theme_that_every_other_one_has(day, theme):
    figure = drawn(day_picture(day.plan, Display()), theme)
    assert figure.layout.template == blank(theme).layout.template


def test_a_refill_is_drawn_as_a_rise(day):
    picture = day_picture(day.plan, Display())
    figure = drawn(picture, "dark")
    (rise,) = [trace for trace in figure.data if trace.mode == "lines+markers"]
    assert [y for y in rise.y if y is not None] == [value for one in picture.rises for value in (one.low, one.high)]


def test_the_strip_names_sessions_where_there_is_room_and_numbers_them_where_not(day):
    picture = day_picture(day.plan, Display())
    wide = {note.text for note in drawn(picture, "light", width=3000).layout.annotations}
    narrow = {note.text for note in drawn(picture, "light", width=330).layout.annotations}
    assert "Session 1" in wide
    assert "Session 1" not in narrow
    assert {"1", "3"} <= narrow


def test_the_flow_picture_keeps_the_flow_below_its_limits(day):
    curve = car_curve(day.car, Display())
    figure = flow_figure(curve, "light")
    assert len(figure.data) == 5
    for flow, full, nozzles in zip(curve.flow, curve.full_speed, curve.nozzle_limit, strict=True):
        assert flow <= full * (1 + 1e-6) + 1e-3
        assert full <= nozzles * (1 + 1e-6) + 1e-3
        assert full <= curve.pump_limit * (1 + 1e-9)


def nodes(tree, kind):
    found = [tree] if tree.get("attributes", {}).get("className") == kind else []
    return found + [node for child in tree.get("children", []) for node in nodes(child, kind)]


def test_the_tank_is_drawn_true_in_its_proportions():
    tree = tank_drawing(TankSide(320.0, 140.0, level=70.0), "half full")
    (wall,) = nodes(tree, "tank-wall")
    assert wall["attributes"]["width"] / wall["attributes"]["height"] == pytest.approx(320 / 140, rel=1e-3)
    (surface,) = nodes(tree, "tank-surface")
    y = float(surface["attributes"]["d"].split()[1].split("H")[0])
    assert y == pytest.approx(wall["attributes"]["y"] + wall["attributes"]["height"] / 2, abs=0.02)
    assert tree["attributes"]["aria-label"] == "half full"


@pytest.mark.parametrize("ahead", [-120.0, 0.0, 90.0])
def test_the_front_of_the_car_is_to_the_left_as_on_the_large_drawing(ahead):
    tree = tank_drawing(TankSide(320.0, 140.0, pickup_ahead=ahead, level=70.0), "half full")
    (wall,), (mouth,) = nodes(tree, "tank-wall"), nodes(tree, "tank-mouth")
    wall = wall["attributes"]
    along = (mouth["attributes"]["cx"] - wall["x"] - wall["width"] / 2) / wall["width"]
    assert along == pytest.approx(-ahead / 320.0, abs=1e-3)
    assert any(node.get("text") == "← front of car" for node in tree["children"])
    sumped = tank_drawing(TankSide(320.0, 170.0, sump=(60.0, 120.0, 30.0)), "sump ahead")
    (outline,) = nodes(sumped, "tank-wall")
    outer = corners(outline["attributes"]["d"])
    lowest = max(y for _, y in outer)
    assert max(x for x, y in outer if y == lowest) < (min(x for x, _ in outer) + max(x for x, _ in outer)) / 2


def test_a_lying_cylinder_across_the_car_is_a_circle():
    tree = tank_drawing(TankSide(130.0, 130.0, circle=True, level=65.0), "half full")
    (wall,) = nodes(tree, "tank-wall")
    assert wall["tag"] == "circle"
    (surface,) = nodes(tree, "tank-surface")
    path = surface["attributes"]["d"]
    left, right = float(path[1:].split(" ")[0]), float(path.split("H")[1])
    assert right - left == pytest.approx(2 * wall["attributes"]["r"], abs=0.05)


def test_an_empty_tank_holds_no_fluid_and_labels_do_not_overlap():
    lines = ((20.0, ("a",), "mark"), (18.0, ("b",), "floor"))
    tree = tank_drawing(TankSide(320.0, 140.0, level=0.0, lines=lines), "empty")
    assert not nodes(tree, "tank-fluid")
    ys = [node["attributes"]["y"] for kind in ("tank-text", "tank-text floor") for node in nodes(tree, kind)]
    assert abs(ys[0] - ys[1]) >= 16


def corners(path):
    return [tuple(float(value) for value in corner.split()) for corner in path.strip("MZ").split("L")]


@pytest.mark.parametrize(("level", "count"), [(70.0, 8), (12.0, 4)])
def test_a_sump_hangs_below_the_tank_and_is_filled_first(level, count):
    tree = tank_drawing(TankSide(320.0, 170.0, sump=(-150.0, -90.0, 30.0), level=level), "with a sump")
    (wall,) = nodes(tree, "tank-wall")
    (fluid,) = nodes(tree, "tank-fluid")
    outer, inner = corners(wall["attributes"]["d"]), corners(fluid["attributes"]["d"])
    assert (len(outer), len(inner)) == (8, count)
    lowest, highest = max(y for _, y in outer), min(y for _, y in inner)
    scale = (lowest - min(y for _, y in outer)) / 170.0
    assert lowest - highest == pytest.approx(level * scale, abs=0.02)
    assert max(x for x, _ in inner) - min(x for x, _ in inner) == pytest.approx(
        (320 if count == 8 else 60) * scale, abs=0.02
    )

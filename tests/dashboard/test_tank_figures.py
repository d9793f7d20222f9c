from dataclasses import replace

import numpy as np
import pytest

import events_demo
from dashboard.figures.tank_risk_levels import STRIPS, ZONES, risk_levels_figure
from dashboard.figures.tank_risk_side import SideWords, surface_edges, tank_risk_side
from dashboard.figures.tank_risk_time import MOMENT, WINDOW, time_figure
from dashboard.figures.tank_risk_washing import force_figure, spectrum_figure
from dashboard.presenters.display import Display
from dashboard.presenters.tank_risk import tank_risk
from dashboard.presenters.tank_risk_levels import risk_levels
from dashboard.presenters.tank_risk_moment import opening_choice, time_view
from dashboard.presenters.tank_risk_washing import risk_force, risk_spectrum
from planner.car import Pickup
from planner.day.slosh_picture import surface_picture
from planner.physics.surface import STANDARD_GRAVITY
from tests.cars import CAR

G = STANDARD_GRAVITY
TANK = replace(CAR.tank, pickup=Pickup(-0.12, 0.05, 0.008))
WORDS = SideWords("a tank", "front of car", 0.5, "fluid thrown back, 0.50 g", "12 mm over", (100.0, "100 mm"))


@pytest.fixture(scope="module")
def demo():
    return tank_risk(events_demo.FOLDER / "events" / "teapot-ring-open-day.toml")


def drawing(ax=0.5 * G, ay=0.0, share=0.5, view="from the left", words=WORDS):
    volume = share * TANK.capacity
    pictures = (surface_picture(TANK, volume, *pull, view) for pull in ((ax, ay), (0.0, 0.0)))
    return tank_risk_side(*pictures, words, longest=320.0)


def paths(tree, kind):
    found = [node["attributes"] for node in tree["children"] if node["attributes"].get("className") == kind]
    return [[tuple(map(float, point.split())) for point in one["d"].strip("MZ").split("L")] for one in found]


def test_the_drawing_is_to_scale_and_the_front_is_on_the_left():
    tree = drawing()
    (wall,) = paths(tree, "tank-wall")
    xs, ys = zip(*wall, strict=True)
    assert (max(xs) - min(xs)) / (max(ys) - min(ys)) == pytest.approx(320 / 140, rel=1e-3)
    (mouth,) = [node["attributes"] for node in tree["children"] if node["attributes"].get("className") == "tank-mouth"]
    # The pickup stands 120 mm behind the middle: to the right of it, one drawing unit a millimetre.
    assert mouth["cx"] - (max(xs) + min(xs)) / 2 == pytest.approx(120.0, abs=0.02)
    assert max(ys) - mouth["cy"] == pytest.approx(8.0, abs=0.02)
    assert tree["attributes"]["aria-label"] == "a tank"
    assert any(node.get("text") == "← front of car" for node in tree["children"])


def test_speeding_up_raises_the_surface_at_the_back_and_the_arrow_points_there():
    tree = drawing()
    (surface,) = paths(tree, "tank-surface")
    (front, low), (back, high) = sorted(surface)
    assert front < back
    assert high < low  # further up the screen
    assert (low - high) / (back - front) == pytest.approx(0.5, abs=2e-3)
    (tip,) = [node["attributes"]["d"] for node in tree["children"] if node["attributes"].get("className") == "tank-tip"]
    assert float(tip[1:].split()[0]) > float(tree["attributes"]["viewBox"].split()[2]) / 2
    (rest,) = paths(tree, "tank-rest")
    assert rest[0][1] == rest[1][1]


def test_from_the_rear_a_left_hand_corner_throws_the_fluid_to_the_right():
    tree = drawing(ax=0.0, ay=0.6 * G, view="from the rear")
    (surface,) = paths(tree, "tank-surface")
    (_, left), (_, right) = sorted(surface)
    assert right < left


def test_a_bare_pickup_is_crossed_and_one_short_of_its_margin_is_hollow():
    def kinds(tree):
        return {node["attributes"].get("className") for node in tree["children"]}

    assert {"tank-bare", "tank-cross"} <= kinds(drawing(ax=-0.9 * G, share=0.1))
    assert "tank-mouth" in kinds(drawing(share=0.6))
    short = drawing(ax=-0.06 * G, share=0.16)
    assert "tank-bare" in kinds(short)
    assert "tank-cross" not in kinds(short)
    assert "tank-floor" in kinds(short)
    assert "tank-floor" not in kinds(drawing(ax=0.0))


def test_a_cut_without_fluid_says_so_and_no_pull_has_no_arrow():
    empty = drawing(ax=0.0, ay=3.0 * G, share=0.1)
    assert any(node.get("text") == "no fluid in this cut" for node in empty["children"])
    assert not paths(empty, "tank-fluid")
    calm = drawing(ax=0.0, words=replace(WORDS, pull=0.0))
    assert not [node for node in calm["children"] if node["attributes"].get("className") == "tank-tip"]


def test_the_free_surface_is_the_edge_that_lies_on_the_line():
    square = [[0, 0], [10, 0], [10, 4], [0, 6]]
    assert surface_edges(square, [[-5, 7], [15, 3]]) == [((10, 4), (0, 6))]
    assert surface_edges(square, [[-5, 20], [15, 20]]) == []


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_levels_picture_names_its_bands_and_strips(demo, theme):
    data = risk_levels(demo, Display())
    figure = risk_levels_figure(data, theme, width=900)
    texts = [note.text for note in figure.layout.annotations]
    assert {word for *_, word in ZONES} <= set(texts)
    assert "washes hardest" in texts
    bars = [trace for trace in figure.data if trace.type == "bar"]
    assert {bar.y[0] for bar in bars} == set(STRIPS)
    starving = sorted((bar.base[0], bar.base[0] + bar.x[0]) for bar in bars if bar.y[0] == "starving")
    assert starving[-1][1] == pytest.approx(data.capacity)
    assert figure.layout.shapes[-1].x0 == data.floor
    assert figure.layout.xaxis.title.text == "fill, L"


def test_words_that_have_no_room_in_a_strip_are_left_to_the_table(demo):
    data = risk_levels(demo, Display())
    wide, narrow = (len(risk_levels_figure(data, "light", width=width).layout.annotations) for width in (900, 120))
    assert narrow < wide


def test_the_picture_in_time_carries_both_surfaces_flow_spells_and_the_moments_line(demo):
    choice = opening_choice(demo)
    data = time_view(demo, choice, Display())
    figure = time_figure(data, 12.5, "light")
    assert len(figure.data) == 4
    assert figure.layout.shapes[MOMENT].x0 == figure.layout.shapes[MOMENT].x1 == 12.5
    assert figure.layout.yaxis.title.text == "over the pickup, mm"
    assert figure.layout.xaxis.range is None
    phone = time_figure(data, 12.5, "dark", narrow=True)
    assert tuple(phone.layout.xaxis.range) == (12.5 - WINDOW, 12.5 + WINDOW)


def test_the_force_picture_is_a_band_of_f_to_one_and_a_half_f(demo):
    data = risk_force(demo, Display())
    band, frozen, weight, _ = force_figure(data, "light").data
    count = len(data.fill)
    np.testing.assert_allclose(band.y[count:], data.high[::-1])
    assert (list(frozen.y), list(weight.y)) == (data.frozen, data.weight)


def test_the_spectrum_shows_the_first_modes_spans(demo):
    data = risk_spectrum(demo)
    spans = [tuple(trace.x) for trace in spectrum_figure(data, "dark").data if trace.mode == "lines+markers"]
    assert spans == list(data.modes)

"""Pictures for paper and the jugs: true in their proportions, inside their frame, black on white."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from dashboard.figures.day_paper import HEIGHT, LEFT, RIGHT, WIDTH, day_paper, level_ticks
from dashboard.figures.pack_jugs import jug_drawing
from dashboard.presenters.day_picture import day_picture
from dashboard.presenters.display import Display
from dashboard.presenters.outcome import Outcome, outcome_of_file
from tests.dashboard.days import outcome, write_workspace

DEMO = Path(__file__).parents[2] / "events_demo" / "events"
DAYS = ("teapot-ring-open-day.toml", "goose-bank-sprint.toml", "snail-society-autocross.toml")


def _nodes(node: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield node
    for child in node.get("children", []):
        yield from _nodes(child)


def _ends(d: str) -> list[tuple[float, float]]:
    """Points of a path of absolute M, L, H and V commands."""
    points: list[tuple[float, float]] = []
    for command, numbers in re.findall(r"([MLHV])([-\d. ]+)", d):
        values = [float(number) for number in numbers.split()]
        x, y = points[-1] if points else (0.0, 0.0)
        points.append({"H": (values[0], y), "V": (x, values[0])}.get(command, (values[0], values[-1])))
    return points


def _drawn(made: Outcome, system: str = "metric") -> dict[str, Any]:
    assert made.plan
    return day_paper(day_picture(made.plan, Display(system)), "the day")


@pytest.mark.parametrize("name", DAYS)
def test_a_demo_day_is_drawn_whole_within_700_pixels(name: str) -> None:
    tree = _drawn(outcome_of_file(DEMO / name))
    assert tree["attributes"]["width"] == WIDTH == 700
    for node in _nodes(tree):
        attributes = node["attributes"]
        if node["tag"] == "path" and not re.search("[a-gi-z]", attributes["d"]):
            for x, y in _ends(attributes["d"]):
                assert 0 <= x <= WIDTH + 0.01
                assert 0 <= y <= HEIGHT
        if node["tag"] == "text":
            half = len(node["text"]) * 3.6
            assert half * 0.5 <= attributes["x"] <= WIDTH - RIGHT + 8


@pytest.mark.parametrize("name", DAYS)
def test_it_is_black_grey_and_white_alone(name: str) -> None:
    text = str(_drawn(outcome_of_file(DEMO / name)))
    for colour in re.findall(r"#[0-9a-fA-F]{3,6}", text):
        digits = colour[1:] if len(colour) == 7 else "".join(2 * one for one in colour[1:])
        assert digits[:2] == digits[2:4] == digits[4:]
    assert "rgb" not in text


def test_the_line_falls_in_sessions_and_rises_at_refills_to_the_plans_levels(tmp_path: Path) -> None:
    made = outcome(tmp_path)
    assert made.plan
    tree, picture = _drawn(made), day_picture(made.plan, Display())
    line = next(
        node
        for node in _nodes(tree)
        if node["attributes"].get("strokeLinejoin") == "round" and "d" in node["attributes"]
    )
    points = _ends(line["attributes"]["d"])
    top, zero = _level_axis(tree, picture.limit)
    levels = [(zero - y) / (zero - top) * picture.limit for _, y in points]
    ends = [box.level_end for box in picture.sessions]
    assert [round(level, 1) for level in levels if round(level, 1) in {round(end, 1) for end in ends}]
    assert levels[-1] == pytest.approx(ends[-1], abs=0.05)
    assert max(levels) == pytest.approx(max(rise.high for rise in picture.rises), abs=0.05)
    assert [x for x, _ in points] == sorted(x for x, _ in points)


def _level_axis(tree: dict[str, Any], limit: float) -> tuple[float, float]:
    """Where the fill limit and the empty tank stand."""
    full = next(n for n in _nodes(tree) if n["attributes"].get("strokeDasharray") == "6 4")
    zero = next(n for n in _nodes(tree) if n.get("text") == "0")
    return _ends(full["attributes"]["d"])[0][1], zero["attributes"]["y"] - 4


def test_each_session_stands_on_the_strip_and_nights_take_no_room() -> None:
    made = outcome_of_file(DEMO / "goose-bank-sprint.toml")
    assert made.plan
    tree = _drawn(made)
    boxes = [n for n in _nodes(tree) if n["attributes"].get("fill") == "#fff" and n["tag"] == "path"]
    lefts = [_ends(box["attributes"]["d"])[0][0] for box in boxes]
    assert len(boxes) == len(made.plan["sessions"])
    assert lefts == sorted(lefts)
    assert max(b - a for a, b in itertools.pairwise(lefts)) < 0.3 * (WIDTH - LEFT)
    days = [n["text"] for n in _nodes(tree) if n.get("text") in ("Sat", "Sun")]
    assert days == ["Sat", "Sun"]


def test_gallons_are_drawn_where_gallons_are_shown(tmp_path: Path) -> None:
    made = outcome(tmp_path)
    assert "gal" in [node.get("text") for node in _nodes(_drawn(made, "us"))]


@pytest.mark.parametrize(("size", "fill"), [(10.0, 9.5), (5.0, 2.5), (2.0, 0.0), (20.0, 19.0)])
def test_a_jug_is_filled_to_its_share_and_as_large_as_its_volume(size: float, fill: float) -> None:
    tree = jug_drawing(size, fill, 20.0, label="a jug")
    fluid, surface, limit, wall, _ = (node["attributes"]["d"] for node in tree["children"])
    top, floor = _ends(wall)[0][1], _ends(fluid)[2][1]
    assert (floor - _ends(surface)[0][1]) / (floor - top) == pytest.approx(fill / size, abs=0.01)
    assert (floor - _ends(limit)[0][1]) / (floor - top) == pytest.approx(0.95, abs=0.01)
    largest = jug_drawing(20.0, 0.0, 20.0, label="")["children"][3]["attributes"]["d"]
    assert ((floor - top) / (floor - _ends(largest)[0][1])) ** 3 == pytest.approx(size / 20.0, rel=0.01)
    assert tree["attributes"]["aria-label"] == "a jug"


def test_the_axis_is_numbered_left_of_it_in_round_steps(tmp_path: Path) -> None:
    tree = _drawn(outcome(tmp_path))
    numbers = [n for n in _nodes(tree) if n["attributes"].get("textAnchor") == "end" and n["text"] != "L"]
    assert [n["text"] for n in numbers] == ["0", "2", "4", "6"]
    assert all(n["attributes"]["x"] < LEFT for n in numbers)
    heights = [n["attributes"]["y"] for n in numbers]
    assert heights == sorted(heights, reverse=True)


@pytest.mark.parametrize("limit", [0.5, 0.9, 2.0, 3.8, 7.7, 12.0, 40.0, 180.0])
def test_an_axis_has_two_to_seven_numbers_up_to_the_limit(limit: float) -> None:
    ticks = level_ticks(limit)
    assert 2 <= len(ticks) <= 7
    assert ticks[0] == 0.0
    assert limit / 2 < ticks[-1] <= limit


def test_sessions_are_named_where_there_is_room_and_times_stand_below_them(tmp_path: Path) -> None:
    path = write_workspace(tmp_path)
    path.write_text(path.read_text().replace('name = "Session 1"', 'name = "A"'))
    texts = [n["text"] for n in _nodes(_drawn(outcome_of_file(path))) if "text" in n]
    assert "A" in texts
    assert {"2", "3", "4"} <= set(texts)
    assert "Session 2" not in texts
    assert {"09:00", "12:00", "14:00"} <= set(texts)


def test_the_key_names_every_kind_of_line_at_the_foot(tmp_path: Path) -> None:
    tree = _drawn(outcome(tmp_path))
    samples = [n for n in _nodes(tree) if n["tag"] == "g"]
    assert [n["children"][1]["text"] for n in samples] == [
        "level", "most days", "floor", "may starve", "washes hardest", "refill",
    ]  # fmt: skip
    for sample in samples:
        ordinate = float(re.findall(r"[-\d.]+", sample["children"][0]["attributes"]["d"])[1])
        assert abs(ordinate - sample["children"][1]["attributes"]["y"]) < 10 <= HEIGHT - ordinate

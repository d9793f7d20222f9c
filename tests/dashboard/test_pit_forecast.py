"""The forecast's slots, drawing and table, and the panels that the keys open."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from freezegun import freeze_time

from dashboard.components.pit_frame import board as board_parts
from dashboard.figures.pit_drawing import forecast_drawing
from dashboard.presenters.display import Display
from dashboard.presenters.pit_board import mark_texts
from dashboard.presenters.pit_forecast import first_of, forecast, forecast_table
from dashboard.presenters.pit_keys import KEYS, RARE_KEYS, main_key, mark_entry, panels
from dashboard.presenters.pit_page import pit_view, settings_from_cookie
from planner.entry import Entry, checked
from planner.follow.entry import Said, entry_from
from tests.dashboard.pit_boards import COUNTED, board
from tests.pit_days import DAY, SMALL, Log, at

METRIC = Display()
NOW = "2026-05-16T08:56:00+00:00"


@pytest.fixture
def log():
    return Log().mark(at(9, 10), 2.0).level(at(9, 55), 1.2, after=1)


@pytest.fixture
def shown(log):
    with freeze_time(NOW):
        return board(entries=log.entries)


def nodes(tree, kind):
    return [node for node in tree["children"] if node["attributes"].get("className") == kind]


def points(node):
    return [tuple(float(part) for part in pair.split()) for pair in node["attributes"]["d"].strip("MZ").split("L")]


def test_the_forecast_holds_every_session_ahead_and_a_phone_the_next_four(shown):
    whole = forecast(shown, METRIC)
    assert [slot.number for slot in whole.slots] == [2, 3, 4, 5, 6]
    assert [slot.number for slot in first_of(whole).slots] == [2, 3, 4, 5]
    assert len(forecast_table(shown, METRIC).rows) == 5


def test_every_level_lies_within_its_band(shown):
    for slot in forecast(shown, METRIC).slots:
        assert slot.low_start <= slot.start <= slot.high_start
        assert slot.low_end <= slot.end <= slot.high_end


def test_a_fill_raises_the_line_to_its_mark(shown):
    marks = {fill["before_session"]: fill["mark_L"] for fill in shown["refills"]}
    for slot in forecast(shown, METRIC).slots:
        assert slot.fill == marks.get(slot.number)
        assert slot.fill is None or slot.start == slot.fill


def test_nothing_is_forecast_once_no_session_is_ahead():
    with freeze_time("2026-05-16T18:00:00+00:00"):
        assert forecast(board(), METRIC) is None
        assert forecast_table(board(), METRIC).rows == ()


def test_the_drawings_level_is_one_unbroken_line_that_only_a_fill_lifts(shown):
    picture = forecast(shown, METRIC)
    tree = forecast_drawing(picture, 360)
    line = points(nodes(tree, "pit-level")[0])
    assert len(nodes(tree, "pit-level")) == 1
    rises = [two[1] < one[1] - 0.05 for one, two in pairwise(line)]
    assert sum(rises) == sum(slot.fill is not None for slot in picture.slots)
    assert all(two[0] >= one[0] for one, two in pairwise(line))
    assert all(0 <= x <= 360 for x, _ in line)


def test_the_drawing_has_a_floor_and_a_name_for_each_session_and_says_itself_in_words(shown):
    picture = first_of(forecast(shown, METRIC))
    tree = forecast_drawing(picture, 348)
    assert len(nodes(tree, "pit-floor")) == len(nodes(tree, "pit-bar")) == 4
    texts = [node["text"] for node in tree["children"] if "text" in node]
    assert {"Heat 2", "10:30", "Heat 5"} <= set(texts)
    assert tree["attributes"]["aria-label"] == picture.label
    assert "left after Heat 6" in picture.label


def test_a_long_name_takes_two_lines_of_its_slot(shown):
    shown["sessions"][1]["name"] = "Combined practice and qualifying"
    texts = [n["text"] for n in forecast_drawing(first_of(forecast(shown, METRIC)), 348)["children"] if "text" in n]
    assert "Combined" in texts
    assert any(text.startswith("practice") for text in texts)
    assert all(len(text) <= 11 for text in texts)


@pytest.mark.parametrize(("count", "width"), [(1, 348), (4, 348), (8, 1040), (20, 1040), (24, 1040)])
def test_names_and_times_never_run_into_each_other(shown, count, width):
    picture = forecast(shown, METRIC)
    slot = replace(picture.slots[1], name="Qualifying run", number=12, time="Sat 09:15")
    tree = forecast_drawing(replace(picture, slots=(slot,) * count), width)
    wide = (width - 46) / count
    strip = [node for node in tree["children"] if node["attributes"].get("y", 0) > 230 and "text" in node]
    assert len(strip) in (2 * count, 3 * count)
    assert all(6.8 * len(node["text"]) <= wide for node in strip)


def test_a_level_under_the_floor_carries_a_shape(shown):
    shown["sessions"][1]["level_end_p01_L"] = 0.1
    slot = forecast(shown, METRIC).slots[0]
    assert slot.short
    texts = [n["text"] for n in forecast_drawing(forecast(shown, METRIC), 1040)["children"] if "text" in n]
    assert sum(text.startswith("▲") for text in texts) == 1


def test_while_a_session_is_on_now_stands_within_it():
    with freeze_time("2026-05-16T09:40:00+00:00"):
        picture = forecast(board(entries=Log().mark(at(9, 10), 3.5).entries), METRIC)
    assert picture.slots[0].name == "Heat 2"
    assert picture.slots[0].passed == pytest.approx(0.5)
    tree = forecast_drawing(picture, 348)
    bar, now = nodes(tree, "pit-bar")[0]["attributes"], nodes(tree, "pit-now")[0]["attributes"]
    assert now["cx"] == pytest.approx(bar["x"] + bar["width"] / 2, abs=0.2)


def test_units_change_the_pictures_numbers_alone(shown):
    metric, us = forecast(shown, METRIC), forecast(shown, Display("us"))
    assert us.slots[0].end == pytest.approx(metric.slots[0].end / 3.785411784, rel=1e-3)
    assert us.unit == "gal"


def entries_of(panel):
    """Every entry that a panel can make, with an example number for its pad."""
    subject = (panel.get("subjects") or [{"words": {}}])[0]
    found = [preset["entry"] for preset in panel["presets"]]
    if "pad" in panel:
        found += [
            {"kind": panel["pad"]["kind"], "words": {panel["pad"]["word"]: f"0.3 {u['unit']}".strip()}}
            for u in panel["pad"]["units"]
        ]
    if "long" in panel:
        found.append({"kind": panel["long"]["kind"], "words": {panel["long"]["word"]: "Windy"}})
    return [one if "value" in one else {**one, "words": {**subject["words"], **one["words"]}} for one in found]


@pytest.mark.parametrize("system", ["metric", "us", "imperial"])
@pytest.mark.parametrize("key", [key for key, _ in (*KEYS, *RARE_KEYS)])
def test_every_key_makes_entries_that_the_log_takes(shown, log, system, key):
    panel = panels(shown, COUNTED, Display(system))[key]
    made = entries_of(panel)
    assert made
    for entry in made:
        if "value" in entry:
            assert checked(Entry("x", at(9, 56), entry["kind"], entry["value"]))
        else:
            taken = entry_from(Said(entry["kind"], entry["words"]), DAY, SMALL, log.entries, at(9, 56))
            assert taken.kind == entry["kind"]


def test_the_common_entries_take_two_taps(shown):
    found = panels(shown, COUNTED, METRIC)
    volume, height = mark_texts(shown, shown["next"]["mark_L"], shown["next"]["mark_mm"], METRIC)
    assert found["fill"]["presets"][0]["text"] == f"Filled to mark: {volume} ({height})"
    assert found["done"]["presets"][0]["text"] == "Done as planned: {planned}"
    assert len(found["late"]["presets"]) >= 4


def test_a_fill_to_the_mark_carries_the_mark_that_was_shown(shown):
    value = mark_entry(shown)["value"]
    assert (value["mark_L"], value["before"], value["before_name"]) == (shown["next"]["mark_L"], 2, "Heat 2")
    assert panels(shown, COUNTED, METRIC)["fill"]["presets"][0]["entry"] == mark_entry(shown)


def test_where_no_fill_is_planned_only_an_earlier_one_goes_to_a_mark():
    with freeze_time(NOW):
        full = board(entries=Log().mark(at(9, 10), 3.8).level(at(9, 55), 3.0, after=1).entries)
    assert mark_entry(full) is None
    assert [one.get("earlier") for one in panels(full, COUNTED, METRIC)["fill"]["presets"]] == [True]


def test_the_session_that_may_be_done_is_the_one_that_is_on_then_those_assumed_over():
    with freeze_time("2026-05-16T09:40:00+00:00"):
        shown = board(entries=Log().mark(at(9, 10), 3.5).entries)
    subjects = panels(shown, COUNTED, METRIC)["done"]["subjects"]
    assert [one["words"]["session"] for one in subjects][:2] == ["2", "1"]
    assert subjects[0]["planned"] == "3 runs"
    assert main_key(shown, METRIC) == ("done", "Heat 2 is done")


def test_the_big_key_follows_the_action(shown):
    volume, _ = mark_texts(shown, shown["next"]["mark_L"], shown["next"]["mark_mm"], METRIC)
    assert main_key(shown, METRIC) == ("fill", f"Filled to {volume}")
    with freeze_time("2026-05-16T18:00:00+00:00"):
        assert main_key(board(), METRIC)[0] == "dip"


def test_after_the_day_no_key_offers_what_cannot_be():
    with freeze_time("2026-05-16T18:00:00+00:00"):
        found = panels(board(), COUNTED, METRIC)
    assert found["cancel"]["subjects"] == found["cancel"]["presets"] == []
    assert all(preset["earlier"] for preset in found["fill"]["presets"])


def told(parts):
    return str([part.to_plotly_json() for part in parts])


@freeze_time(NOW)
def test_a_device_that_may_only_look_has_no_key_and_no_undo(log):
    view = pit_view(board(entries=log.entries), DAY, SMALL, METRIC, narrow=True)
    with_keys, without = (told(board_parts(view, narrow=True, can_write=can)) for can in (True, False))
    for word in ("data-panel", "data-undo"):
        assert word in with_keys
        assert word not in without
    assert "Refill to" in without


@freeze_time(NOW)
def test_the_view_holds_four_sessions_on_a_phone_and_says_how_many_more(log):
    shown = board(entries=log.entries)
    phone, desk = (pit_view(shown, DAY, SMALL, METRIC, narrow=narrow) for narrow in (True, False))
    assert (len(phone.picture.slots), phone.more) == (4, 1)
    assert (len(desk.picture.slots), desk.more) == (5, 0)


def test_the_cookie_tells_units_and_screen():
    assert settings_from_cookie("us.dark.narrow") == {"units": "us", "screen": "narrow"}
    assert settings_from_cookie("") == settings_from_cookie("x.y") == {"units": "metric", "screen": "wide"}


@pytest.mark.parametrize("width", [348, 1040])
def test_the_level_s_text_stands_clear_of_floor_and_strip(shown, width):
    for scale in (0.2, 0.5, 1.0, 1.2):
        for row in shown["sessions"]:
            row["floor_L"] = scale * row["level_end_p01_L"]
        picture = forecast(shown, METRIC)
        tree = forecast_drawing(picture, width)
        texts = [slot.end_text for slot in picture.slots]
        ends = [node for node in tree["children"] if node.get("text", "").removeprefix("▲ ") in texts]
        assert len(ends) == len(picture.slots)
        for node, line in zip(ends, nodes(tree, "pit-floor"), strict=True):
            middle = node["attributes"]["y"] - 5
            assert abs(middle - points(line)[0][1]) > 6
            assert node["attributes"]["y"] < nodes(tree, "pit-bar")[0]["attributes"]["y"]

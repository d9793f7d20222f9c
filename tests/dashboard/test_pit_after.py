"""After the day: forecast against what happened, how well bands hold, what is kept, the car's factor by day."""

from __future__ import annotations

import json
from datetime import timedelta
from itertools import pairwise

import pytest
from freezegun import freeze_time

from dashboard.app import create_app
from dashboard.components.pit_after_parts import after_parts
from dashboard.figures.pit_factor_drawing import FactorDay, factor_drawing
from dashboard.presenters.display import Display
from dashboard.presenters.pit_after import after_view
from planner.entry import Entry
from planner.files.event_file import read_day
from planner.files.pit_log import PitLog
from planner.follow import follow_day
from planner.follow.after import after_json, day_row, logged
from tests.dashboard.days import write_workspace
from tests.pit_days import DAY, SMALL, Log, at

METRIC = Display()
EVENT = "events/moth.toml"


def plain(text: str) -> str:
    return text.replace("\u202f", " ").replace("\u2060", "")


def looked_back(log):
    state = follow_day(DAY, SMALL, log.entries, at(18))
    return after_json(state, [logged(state)]), {
        "car": "Plum hatch",
        "days": [{"event": EVENT, **day_row(logged(state))}],
    }


@pytest.fixture(scope="module")
def day():
    log = Log().mark(at(9, 10), 3.0).level(at(9, 55), 2.25, after=1)
    return looked_back(
        log(at(10, 51), "done", session=2, session_name="Heat 2", runs=2.0)(at(11), "cancelled", session=3)
    )


def test_each_session_stands_with_plan_use_level_and_whether_it_lay_within(day):
    after, history = day
    rows = after_view(after, history, "other.toml", METRIC).sessions.rows
    assert len(rows) == 6
    first, row = [plain(cell) for cell in rows[0].cells], after["sessions"][0]
    assert first[0] == "3"
    assert first[1] == (
        f"{row['planned_use_L']:.2f} L ({row['planned_use_low_L']:.2f}–{row['planned_use_high_L']:.2f} L)"
    )
    assert first[4:] == ["2.25 L", "✓ within"]
    assert rows[1].cells[0] == "2 of 3"
    assert rows[1].cells[4:] == ("", "")
    assert rows[2].cells[0] == "cancelled"


def test_a_level_outside_its_band_carries_a_shape_and_a_word():
    after, history = looked_back(Log().mark(at(9, 10), 3.0).level(at(9, 55), 2.95, after=1))
    row = after_view(after, history, EVENT, METRIC).sessions.rows[0]
    assert row.cells[-1] == "▲ outside"
    assert row.look == "broken"


def test_what_can_be_kept_carries_the_question_and_what_cannot_its_reason(day):
    after, history = day
    view = after_view(after, history, "other.toml", METRIC)
    assert set(view.keep) == {"mean", "sd", "text"}
    assert "Keep it only if" in view.keep["text"]
    nothing, none = looked_back(Log().mark(at(9, 10), 3.0))
    refused = after_view(nothing, none, EVENT, METRIC)
    assert refused.keep is None
    assert refused.refusal.startswith("Nothing can be kept for the car: no reading")


def test_what_is_kept_is_not_asked_for_again(day):
    after, history = day
    history = {**history, "days": [{**history["days"][0], "kept": True}]}
    view = after_view(after, history, EVENT, METRIC)
    assert view.keep is None
    assert "undo its entry" in view.refusal
    assert view.history.rows[0].cells[-1] == "✓ kept"


def test_the_history_says_the_last_day_in_words_and_a_car_without_one_has_no_table(day):
    after, history = day
    view = after_view(after, history, EVENT, METRIC)
    assert view.history.rows[0].head == "16 May 2026  Moth Meadow"
    mean = history["days"][-1]["mean"]
    assert view.history_label.startswith(f"Plum hatch on 1 logged day, last {mean:.2f} times its plan")
    assert after_view(after, None, EVENT, METRIC).history is None


def test_units_change_the_volumes(day):
    view = after_view(*day, EVENT, Display("us"))
    assert "gal" in view.text
    assert "gal" in view.sessions.rows[0].cells[1]


def test_the_drawing_sets_each_day_by_its_factor_with_its_spread():
    days = [FactorDay("1 May", 0.9, 0.02), FactorDay("2 May", 1.0, 0.05, kept=True), FactorDay("3 May", 1.1, 0.01)]
    tree = factor_drawing(days, 350, "in words")
    dots = [node["attributes"] for node in tree["children"] if node["attributes"]["className"].startswith("pit-day")]
    one = next(node for node in tree["children"] if node["attributes"]["className"] == "pit-one")
    assert tree["attributes"]["aria-label"] == "in words"
    assert f" {dots[1]['cy']}H" in one["attributes"]["d"]
    assert dots[0]["cy"] - dots[1]["cy"] == pytest.approx(dots[1]["cy"] - dots[2]["cy"], abs=0.2)
    assert [dot["className"] for dot in dots] == ["pit-day", "pit-day kept", "pit-day"]
    spreads = [node for node in tree["children"] if node["attributes"]["className"] == "pit-spread"]
    tall = [
        abs(float(n["attributes"]["d"].split("V")[1]) - float(n["attributes"]["d"].split("V")[0].split()[1]))
        for n in spreads
    ]
    assert tall[1] == pytest.approx(2.5 * tall[0], rel=0.05)


@pytest.mark.parametrize("count", [1, 6, 7, 60])
def test_many_days_do_not_write_their_dates_over_each_other(count):
    tree = factor_drawing([FactorDay("12 May", 1.0, 0.05)] * count, 348, "")
    dates = [node["attributes"]["x"] for node in tree["children"] if node.get("text") == "12 May"]
    assert 1 <= len(dates) <= 6
    assert all(two - one >= 45 for one, two in pairwise(dates))


@pytest.fixture
def folder(tmp_path):
    path = write_workspace(tmp_path)
    event, _ = read_day(path)
    first = event.sessions[0]
    log = PitLog(path)
    fill = {"to_mark": True, "mark_L": 6.65, "mark_mm": 115.5, "before": 1, "before_name": first.name}
    log.append(Entry("f", first.start - timedelta(minutes=10), "fill", fill))
    log.append(Entry("l", first.end + timedelta(minutes=5), "level", {"level_L": 4.7, "level_mm": 81.6, "after": 1}))
    return tmp_path


def told(client):
    answer = client.get("/pit/shown/after", query_string={"event": EVENT})
    assert answer.status_code == 200
    return answer.get_data(as_text=True)


@freeze_time("2026-05-16T18:00:00+00:00")
def test_the_page_s_part_comes_from_the_routes_and_follows_what_was_kept(folder):
    client = create_app(folder).server.test_client()
    before = told(client)
    assert "Forecast against what happened" in before
    assert "data-keep" in before
    assert "1 logged day" in before
    shown = client.get("/pit/after", query_string={"event": EVENT}).json["keep"]
    body = {"event": EVENT, "id": "k1", "mean": shown["mean"], "sd": shown["sd"]}
    assert client.post("/pit/keep", json=body, headers={"X-Fillmark": "pit"}).status_code == 200
    after = told(client)
    assert "data-keep" not in after
    assert "kept for the car" in after


@freeze_time("2026-05-16T18:00:00+00:00")
def test_an_event_that_is_none_is_refused(folder):
    client = create_app(folder).server.test_client()
    answer = client.get("/pit/shown/after", query_string={"event": "nope.toml"})
    assert answer.status_code == 404
    assert "nope.toml" in answer.json["error"]


def test_a_device_that_may_only_look_is_not_asked_to_keep(day):
    view = after_view(*day, "other.toml", METRIC)
    parts = [
        json.dumps([part.to_plotly_json() for part in after_parts(view, narrow=True, can_write=can)], default=str)
        for can in (True, False)
    ]
    assert "data-keep" in parts[0]
    assert "data-keep" not in parts[1]

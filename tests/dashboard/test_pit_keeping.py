"""Looking back and keeping a day's result through the routes: asked before, once, and taken back by undo."""

from __future__ import annotations

import pytest
from freezegun import freeze_time

from dashboard.app import create_app
from planner.files.car_file import read_car
from planner.files.pit_log import PitLog
from tests.dashboard.days import write_workspace
from tests.dashboard.test_pit_routes import EVENT, SEND, note, said, send

NOON = "2026-05-16T12:30:00+01:00"


@pytest.fixture
def folder(tmp_path):
    write_workspace(tmp_path)
    return tmp_path


@pytest.fixture
def client(folder):
    with freeze_time(NOON):
        yield create_app(folder).server.test_client()


@pytest.fixture
def day(client):
    send(
        client,
        said("f", "fill", "2026-05-16T08:30:00+01:00", add="6 L"),
        said("l1", "level", "2026-05-16T09:22:00+01:00", level="3.4 L", after="1"),
        said("l2", "level", "2026-05-16T10:22:00+01:00", level="0.9 L", after="2"),
    )
    return client


def after(client):
    return client.get("/pit/after", query_string={"event": EVENT}).get_json()


def keep(client, name="k", **changed):
    told = after(client)["keep"]
    body = {"event": EVENT, "id": name, "mean": told["mean"], "sd": told["sd"]} | changed
    return client.post("/pit/keep", json=body, headers=SEND)


def test_the_day_is_looked_back_at_as_the_command_line_does(day, folder, capsys):
    import json

    from planner.cli.main import main

    assert main(["pit", str(folder / EVENT), "after", "--json"]) == 0
    assert after(day) == json.loads(capsys.readouterr().out)


def test_a_result_is_kept_once_and_taken_back(day, folder):
    car = folder / "cars" / "plum.toml"
    before = car.read_text()
    shown = after(day)["keep"]
    answer = keep(day)
    assert answer.status_code == 200
    assert "Undo the entry to take it back" in answer.get_json()["text"]
    assert keep(day).status_code == 200
    assert [row.factor for row in read_car(car).kept] == [shown["mean"]]
    assert [entry.kind for entry in PitLog(folder / EVENT).entries()].count("kept") == 1
    send(day, said("u", "undo", undoes="k"))
    assert car.read_text().rstrip() == before.rstrip()


def test_a_result_that_has_changed_since_it_was_shown_is_not_kept(day, folder):
    shown = after(day)["keep"]
    assert keep(day, mean=shown["mean"] + 0.01).status_code == 409
    assert "look at the result again" in keep(day, sd=0.5).get_json()["error"]
    assert read_car(folder / "cars" / "plum.toml").kept == ()


@pytest.mark.parametrize("body", [{}, {"id": 5, "mean": 1, "sd": 1}, {"id": "k", "mean": "1", "sd": 1}])
def test_keeping_needs_what_was_shown(day, body):
    answer = day.post("/pit/keep", json={"event": EVENT, **body}, headers=SEND)
    assert answer.status_code == 400
    assert "as they were shown" in answer.get_json()["error"]


def test_nothing_is_kept_of_an_empty_day_or_without_the_header(client, folder):
    assert after(client)["keep"] is None
    body = {"event": EVENT, "id": "k", "mean": 1.0, "sd": 0.1}
    assert client.post("/pit/keep", json=body, headers=SEND).status_code == 400
    assert client.post("/pit/keep", json=body).status_code == 403
    assert read_car(folder / "cars" / "plum.toml").kept == ()


def test_a_car_outside_the_workspace_is_not_written(day, folder, tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside") / "plum.toml"
    outside.write_text((folder / "cars" / "plum.toml").read_text())
    path = folder / EVENT
    path.write_text(path.read_text().replace("../cars/plum.toml", str(outside)))
    shown = after(day)
    answer = day.post(
        "/pit/keep",
        json={"event": EVENT, "id": "k", "mean": shown["keep"]["mean"], "sd": shown["keep"]["sd"]},
        headers=SEND,
    )
    assert answer.status_code in (400, 422)
    assert read_car(outside).kept == ()


def test_a_car_s_days_are_listed_with_what_each_said(day, folder):
    keep(day)
    later = folder / "events" / "later.toml"
    later.write_text((folder / EVENT).read_text().replace("2026-05-16", "2026-05-30").replace("Moth", "Newt"))
    send(day, note("n"), event="events/later.toml")
    told = day.get("/pit/history?car=cars/plum.toml").get_json()
    assert [row["event"] for row in told["days"]] == [EVENT, "events/later.toml"]
    first, second = told["days"]
    assert first["kept"] is True
    assert (first["before_mean"], first["before_sd"]) == (1.0, 0.1)
    assert second["before_mean"] == pytest.approx(told["prior"]["mean"]) != 1.0
    assert told["car"] == "Plum hatch"
    assert day.get("/pit/history", query_string={"event": EVENT}).get_json() == told
    assert day.get("/pit/history?car=../x.toml").status_code == 404
    assert day.get("/pit/history").status_code == 400

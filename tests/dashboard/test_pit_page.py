"""What the pit page's route answers: parts of the board in the units asked for, nothing while it stands, refusals."""

from __future__ import annotations

import json

import pytest

from dashboard.access_codes import new_access
from dashboard.app import create_app
from planner.files.pit_log import PitLog
from tests.dashboard.days import write_workspace
from tests.dashboard.test_app import router

EVENT = "events/moth.toml"
PADDOCK = {"REMOTE_ADDR": "10.0.0.9"}


@pytest.fixture
def folder(tmp_path):
    write_workspace(tmp_path)
    return tmp_path


@pytest.fixture
def client(folder):
    return create_app(folder).server.test_client()


def shown(client, since="", **more):
    return client.get("/pit/shown", query_string={"event": EVENT, "since": since}, **more)


def test_the_parts_come_once_and_then_nothing_until_something_is_logged(client, folder):
    first = shown(client)
    assert first.status_code == 200
    assert first.headers["Cache-Control"] == "no-store"
    assert "Session 1" in json.dumps(first.json["children"])
    assert shown(client, first.json["version"]).status_code == 204
    entry = {"id": "a1", "at": "2026-05-16T09:30:00+01:00", "kind": "note", "words": {"text": "Windy"}}
    sent = client.post("/pit/entries", json={"event": EVENT, "entries": [entry]}, headers={"X-Fillmark": "pit"})
    assert sent.json["accepted"] == ["a1"]
    assert "Windy" in shown(client, first.json["version"]).get_data(as_text=True)
    assert [one.kind for one in PitLog(folder / EVENT).entries()] == ["note"]


def test_parts_are_what_the_page_first_shows(client):
    page = router(client, "/pit", f"?event={EVENT}", {"units": "metric", "screen": "wide"}).json
    frame = page["response"]["page"]["children"]["props"]
    board = next(part["props"] for part in frame["children"] if part["props"].get("id") == "pit-board")
    assert board["children"] == shown(client).json["children"]
    assert frame["data-event"] == EVENT
    assert frame["data-zone"] == "Europe/Lisbon"


def test_the_cookie_chooses_units_and_screen(client):
    client.set_cookie("fillmark-settings", "us.light.narrow")
    text = shown(client).get_data(as_text=True)
    assert "gal" in text
    assert (
        client.get("/pit/shown", query_string={"event": EVENT, "since": shown(client).json["version"]}).status_code
        == 204
    )


@pytest.mark.parametrize("event", ["", "nope.toml", "../moth.toml", "/etc/passwd", "cars/plum.toml"])
def test_an_event_that_is_none_is_refused_in_a_sentence(client, event):
    answer = client.get("/pit/shown", query_string={"event": event})
    assert answer.status_code == 422
    assert len(answer.json["error"]) > 10
    assert "Traceback" not in answer.get_data(as_text=True)


def test_a_file_that_breaks_during_the_day_is_told(client, folder):
    version = shown(client).json["version"]
    (folder / EVENT).write_text("name = 3", encoding="utf-8")
    answer = shown(client, version)
    assert answer.status_code == 422
    assert "name" in answer.json["error"]


def test_a_folder_without_an_event_says_what_to_do(tmp_path):
    page = router(create_app(tmp_path).server.test_client(), "/pit").get_data(as_text=True)
    assert "No event yet" in page


def signed_in(folder, right):
    access = new_access()
    client = create_app(folder, hosts=None, access=access).server.test_client()
    if right:
        client.post("/sign-in", data={"code": getattr(access, right)}, environ_overrides=PADDOCK)
    return client


@pytest.mark.parametrize(("right", "keys"), [("crew", True), ("look", False)])
def test_a_device_that_may_only_look_sees_everything_and_has_no_keys(folder, right, keys):
    answer = shown(signed_in(folder, right), environ_overrides=PADDOCK)
    assert answer.status_code == 200
    text = answer.get_data(as_text=True)
    assert "Forecast" in text
    assert ("data-panel" in text) is keys


def test_a_lost_session_is_told_so_that_the_page_can_go_to_sign_in(folder):
    answer = shown(signed_in(folder, None), environ_overrides=PADDOCK)
    assert answer.status_code == 401
    assert answer.json["sign_in"] == "/sign-in"

"""The pit board's routes: what is stored, what is refused, and that nothing leads out of the workspace."""

from __future__ import annotations

import json
import sqlite3
from datetime import datetime, timedelta

import pytest
from freezegun import freeze_time

from dashboard.app import create_app
from planner.files.pit_log import PitLog
from tests.dashboard.days import write_workspace

EVENT = "events/moth.toml"
SEND = {"X-Fillmark": "pit"}
MORNING = "2026-05-16T08:30:00+01:00"


@pytest.fixture
def folder(tmp_path):
    write_workspace(tmp_path)
    return tmp_path


@pytest.fixture
def client(folder):
    return create_app(folder).server.test_client()


@pytest.fixture
def log(folder):
    return PitLog(folder / EVENT)


def note(name, text="a note"):
    return {"id": name, "at": MORNING, "kind": "note", "value": {"text": text}}


def said(name, kind, at=MORNING, **words):
    return {"id": name, "at": at, "kind": kind, "words": words}


def send(client, *entries, event=EVENT, headers=SEND):
    return client.post("/pit/entries", json={"event": event, "entries": list(entries)}, headers=headers)


def board(client, since=None):
    return client.get("/pit/board", query_string={"event": EVENT} | ({"since": since} if since else {}))


@freeze_time(MORNING)
def test_the_board_is_the_command_line_s(client, folder, capsys):
    from planner.cli.main import main

    answer = board(client).get_json()
    assert main(["pit", str(folder / EVENT), "show", "--json"]) == 0
    assert answer["board"] == json.loads(capsys.readouterr().out)
    assert answer["event"] == EVENT
    assert answer["can_write"] is True
    assert answer["now"] == answer["board"]["now"]
    assert datetime.fromisoformat(answer["server_time"]) == datetime.fromisoformat(MORNING)


def test_an_unchanged_board_is_not_sent_again(client):
    with freeze_time(MORNING) as clock:
        version = board(client).get_json()["version"]
        assert board(client, version).status_code == 204
        clock.tick(timedelta(seconds=25))
        assert board(client, version).status_code == 200


@freeze_time(MORNING)
def test_a_board_changes_with_an_entry_the_event_and_the_car(client, folder):
    version = board(client).get_json()["version"]
    send(client, note("a"))
    logged = board(client, version)
    assert [entry["id"] for entry in logged.get_json()["board"]["entries"]] == ["a"]
    for name, old, new in ((EVENT, "Moth Meadow", "Newt Meadow"), ("cars/plum.toml", "Plum hatch", "Damson hatch")):
        path = folder / name
        path.write_text(path.read_text().replace(old, new))
    changed = board(client, logged.get_json()["version"]).get_json()["board"]
    assert (changed["event"], changed["car"]) == ("Newt Meadow", "Damson hatch")


def test_one_spelling_of_a_path_is_one_board(client):
    answers = [client.get("/pit/board", query_string={"event": key}) for key in (EVENT, "events/./moth.toml")]
    assert [answer.get_json()["event"] for answer in answers] == [EVENT, EVENT]


def test_entries_are_stored_in_the_order_sent_and_each_id_once(client, log):
    answer = send(client, note("c"), note("a"), note("c", "other"), note("b")).get_json()
    assert answer["accepted"] == ["c", "a", "b"]
    assert answer["doubled"] == ["c"]
    assert [entry.id for entry in log.entries()] == ["c", "a", "b"]
    assert log.entries()[0].value["text"] == "a note"
    again = send(client, note("a"), note("d")).get_json()
    assert (again["accepted"], again["doubled"]) == (["d"], ["a"])


@freeze_time(MORNING)
def test_words_are_worked_out_as_the_command_line_does(client, log):
    answer = send(
        client,
        said("a", "fill", add="6 L"),
        said("b", "done", session="1", runs="9"),
        said("c", "level", "2026-05-16T09:25:00+01:00", level="62 %", after="Session 1"),
        said("d", "late", late="10 min"),
        said("e", "cancelled", session="4"),
        said("f", "stock", left="8 L"),
        said("g", "note", text="windy"),
    ).get_json()
    assert answer["refused"] == []
    values = {entry.id: entry.value for entry in log.entries()}
    assert values["a"] == {"to_mark": False, "add_L": 6.0, "typed": "6 L"}
    assert values["b"]["runs"] == 9
    assert values["c"]["after"] == 1
    assert values["d"] == {"minutes": 10}
    assert values["e"]["session_name"] == "Session 4"


@freeze_time(MORNING)
def test_a_fill_to_the_mark_gets_the_plan_s_mark_or_keeps_the_one_that_was_seen(client, log):
    mark = board(client).get_json()["board"]["next"]["mark_L"]
    send(client, said("a", "fill", to_mark=True))
    send(client, {"id": "b", "at": MORNING, "kind": "fill", "value": {"to_mark": True, "mark_L": 4.2, "before": 1}})
    assert [entry.value["mark_L"] for entry in log.entries()] == [pytest.approx(mark), 4.2]


def test_a_faulty_entry_does_not_keep_the_others_out(client, log):
    answer = send(
        client,
        note("a"),
        said("b", "level", level="900 mm"),
        note("b b"),
        {"id": "c", "at": "noon", "kind": "note", "value": {"text": "x"}},
        {"id": "d", "at": MORNING, "kind": "note"},
        {"id": "e", "at": MORNING, "kind": "kept", "value": {"mean": 1.0, "variation": 0.1}},
        {"id": "f", "at": MORNING, "kind": "late", "value": {"minutes": float("1e300")}},
        {"id": "g", "at": MORNING, "kind": "undo", "words": {"undoes": "nothing"}},
        note("h"),
    ).get_json()
    assert answer["accepted"] == ["a", "h"] == [entry.id for entry in log.entries()]
    texts = {refused["id"]: refused["text"] for refused in answer["refused"]}
    assert "outside the tank" in texts["b"]
    assert "an id has 1 to 64 letters" in texts["b b"]
    assert "not a time" in texts["c"]
    assert "either words" in texts["d"]
    assert "/pit/keep" in texts["e"]
    assert "a number from -1440 to 1440" in texts["f"]
    assert "no such entry to take back" in texts["g"]


def test_undo_takes_back_the_entry_named_or_the_last(client, log):
    send(client, note("a"), note("b"), said("u", "undo", undoes="a"), said("v", "undo"), said("w", "undo"))
    assert [entry.undone for entry in log.entries() if entry.kind == "note"] == [True, True]
    assert [entry.id for entry in log.entries()] == ["a", "b", "u", "v"]


@pytest.mark.parametrize(
    ("body", "text"),
    [
        (b"{", "no JSON"),
        (b"[]", "no JSON object"),
        (b'{"event": "events/moth.toml"}', "a list of 1 to 200"),
        (b'{"event": "events/moth.toml", "entries": []}', "a list of 1 to 200"),
        (b'{"event": "events/moth.toml", "entries": [1]}', "an object with an id"),
        (b'{"event": 5, "entries": [{"id": "a"}]}', "Name the event"),
        (b"[" * 100_000, "no JSON"),
    ],
)
def test_another_form_is_refused_with_what_is_right(client, body, text):
    answer = client.post("/pit/entries", data=body, headers=SEND, content_type="application/json")
    assert answer.status_code == 400
    assert text in answer.get_json()["error"]


@pytest.mark.parametrize(
    ("headers", "kind", "status"),
    [
        ({}, "application/json", 403),
        ({**SEND, "Origin": "http://elsewhere.example"}, "application/json", 403),
        ({**SEND, "Sec-Fetch-Site": "same-site"}, "application/json", 403),
        (SEND, "text/plain", 415),
        (SEND, "application/x-www-form-urlencoded", 415),
        ({**SEND, "Origin": "http://localhost", "Sec-Fetch-Site": "same-origin"}, "application/json", 200),
    ],
)
def test_only_the_board_s_own_page_may_send(client, log, headers, kind, status):
    body = json.dumps({"event": EVENT, "entries": [note("a")]})
    assert client.post("/pit/entries", data=body, headers=headers, content_type=kind).status_code == status
    assert len(log.entries()) == (status == 200)


def test_bodies_are_bounded(client, log):
    big = json.dumps({"event": EVENT, "entries": [note("a", "x" * 300_000)]})
    assert client.post("/pit/entries", data=big, headers=SEND, content_type="application/json").status_code == 413
    table = b"x" * 4_100_000
    path = f"/pit/log.csv?event={EVENT}"
    assert client.post(path, data=table, headers=SEND, content_type="text/csv").status_code == 413
    assert log.entries() == ()


@pytest.mark.parametrize(
    "key", ["../outside.toml", "/etc/passwd", "events/none.toml", "events/../../x.toml", "C:\\x.toml", ".fillmark/x"]
)
def test_no_path_leads_out_of_the_workspace(client, key):
    answers = [client.get(f"/pit/{name}", query_string={"event": key}) for name in ("board", "log.csv")]
    answers.append(send(client, note("a"), event=key))
    assert [answer.status_code for answer in answers] == [404, 404, 404]
    assert all("workspace" in answer.get_json()["error"] for answer in answers)


def test_a_link_out_of_the_workspace_is_no_way_out(client, folder, tmp_path_factory):
    outside = write_workspace(tmp_path_factory.mktemp("outside"))
    (folder / "events" / "linked.toml").symlink_to(outside)
    assert client.get("/pit/board?event=events/linked.toml").status_code == 404


def test_a_broken_event_is_told_with_every_fault(client, folder):
    path = folder / EVENT
    path.write_text(path.read_text().replace('"14 psi"', '"14 gal"'))
    answer = board(client)
    assert answer.status_code == 422
    assert any("not a unit of pressure" in fault["remedy"] for fault in answer.get_json()["faults"])
    assert {fault["file"] for fault in answer.get_json()["faults"]} == {EVENT}
    assert str(folder) not in answer.get_data(as_text=True)
    assert send(client, note("a")).status_code == 422


def test_a_folder_that_cannot_be_written_keeps_the_entry_with_the_sender(client, folder, log, monkeypatch):
    def full(*_, **__):
        raise sqlite3.OperationalError("database or disk is full")

    send(client, note("a"))
    monkeypatch.setattr("planner.files.pit_log._stored", full)
    answer = send(client, note("b"), said("c", "level", level="none"))
    assert answer.status_code == 503
    told = answer.get_json()
    assert "the disk is full" in told["error"]
    assert str(folder) not in told["error"]
    assert told["accepted"] == []
    assert [refused["id"] for refused in told["refused"]] == ["c"]
    monkeypatch.undo()
    assert [entry.id for entry in log.entries()] == ["a"]
    assert send(client, note("b")).get_json()["accepted"] == ["b"]


def test_a_damaged_log_is_set_aside_and_the_board_says_so(client, folder, log):
    send(client, *(note(f"n{k}") for k in range(150)))
    log.path.with_name("pit.sqlite-wal").unlink(missing_ok=True)
    content = bytearray(log.path.read_bytes())
    content[4096 : 4096 + 600] = bytes(600)
    log.path.write_bytes(content)
    told = board(client).get_json()["board"]["entries"]
    assert "The log file was damaged. It was set aside as" in told[-1]["text"]
    assert len(told) > 50
    assert list(log.path.parent.glob("pit*damaged*"))


@freeze_time(MORNING)
def test_the_log_goes_out_as_a_table_and_comes_back_without_loss(client, folder, log, tmp_path_factory):
    send(client, said("a", "fill", add="6 L"), note("b", 'ü "quoted", two\nlines'), said("u", "undo", undoes="a"))
    table = client.get(f"/pit/log.csv?event={EVENT}")
    assert table.mimetype == "text/csv"
    assert 'filename="moth-log.csv"' in table.headers["Content-Disposition"]
    other = tmp_path_factory.mktemp("other")
    write_workspace(other)
    elsewhere = create_app(other).server.test_client()
    path = f"/pit/log.csv?event={EVENT}"
    for told in ({"added": 3, "doubled": 0}, {"added": 0, "doubled": 3}):
        answer = elsewhere.post(path, data=table.data, headers=SEND, content_type="text/csv").get_json()
        assert told.items() <= answer.items()
    assert [(e.id, e.at, e.kind, dict(e.value), e.written, e.undone) for e in PitLog(other / EVENT).entries()] == [
        (e.id, e.at, e.kind, dict(e.value), e.written, e.undone) for e in log.entries()
    ]
    assert elsewhere.get(path).data == table.data


def test_a_table_of_another_kind_is_refused(client, log):
    path = f"/pit/log.csv?event={EVENT}"
    for data, text in ((b"a,b\r\n1,2\r\n", "is missing"), (b"\xff\xfe", "not text in UTF-8")):
        answer = client.post(path, data=data, headers=SEND, content_type="text/csv")
        assert answer.status_code == 400
        assert text in answer.get_json()["error"]
    assert client.post(path, data=b"id\r\n", content_type="text/csv").status_code == 403
    assert log.entries() == ()


def test_no_failure_shows_its_insides(client, monkeypatch):
    def breaks(*_, **__):
        raise RuntimeError("secret path /somewhere")

    monkeypatch.setattr("dashboard.pit_boards.follow_day", breaks)
    answer = board(client)
    assert answer.status_code == 500
    assert "secret" not in answer.get_data(as_text=True)
    assert answer.headers["X-Frame-Options"] == "DENY"


def test_every_answer_carries_the_headers(client):
    version = board(client).get_json()["version"]
    answers = [board(client, version), send(client, note("a")), send(client, headers={}), client.get("/pit/none")]
    for answer in answers:
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert "default-src 'self'" in answer.headers["Content-Security-Policy"]

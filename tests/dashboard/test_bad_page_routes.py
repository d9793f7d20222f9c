"""Requests that no route can answer: the right status, a sentence, nothing given away or written."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from dashboard.app import create_app
from dashboard.pack_routes import NO_SUCH_LINE
from tests.dashboard.bad_requests import CAR, EVENT, LOG, hold, sentences, tree, workspace

JSON, SEND = "application/json", {"X-Fillmark": "pit"}
ELSEWHERE = {"Origin": "http://elsewhere.example"}
OUT, NONE = "leads out of the workspace", "no such file in the workspace"
LINES = b"time_s,boost_kPa\n" + b"".join(b"%d.0,%d.0\n" % (i, i % 90 - 20) for i in range(300))
KEPT = b"id,at,kind,value,written,undone\r\n"

READ = [
    # the route, what is broken in its address, the status, and a word or two that the answer must hold
    ("/pit/board", "", 400, "Name the event"),
    ("/pit/board", "event=../x.toml", 404, OUT),
    ("/pit/board", f"event={CAR}", 422, "this is the file of a car"),
    ("/pit/shown", "", 422, "no file is named"),
    ("/pit/shown", "event=../x.toml", 422, OUT),
    ("/pit/shown/after", "event=events/none.toml", 404, NONE),
    ("/pit/after", f"event={LOG}", 422, "not TOML"),
    ("/pit/log.csv", "event=/etc/passwd", 404, "/etc/passwd"),
    ("/pit/history", "car=cars/none.toml", 404, NONE),
    ("/pit/history", f"car={EVENT}", 422, "this is the file of an event"),
    ("/pack/papers.html", "", 400, "names no event"),
    ("/pack/papers.html", f"event={EVENT}&event=events/none.toml", 400, "events/none.toml is not in the workspace"),
    ("/pack/papers.html", f"event={EVENT}&night_low=3", 400, "night low: no unit"),
    ("/pack/papers.html", f"event={EVENT}&night_low=-900+degC", 400, "night low: must be from -60"),
    ("/pack/papers.html", f"event={EVENT}&night_low=2+degC&boot=80+degC", 400, "outside the blend model"),
    ("/pack/papers.html", f"event={EVENT}&night_low=9+degC&day_high=2+degC", 400, "day high: lies below"),
    ("/pack/sheet.html", f"event={EVENT}&package_mass=NaN+kg", 400, "package mass: not a number"),
    ("/pack/labels.html", f"event={EVENT}&label_sheet=a4-99", 400, "label sheet: no such one"),
    ("/pack/dipstick.html", f"event={EVENT}&strip=m", 400, "strip: no such one"),
    ("/pack/dipstick.html", f"event={EVENT}&paper=a0", 400, "paper: no such one"),
    ("/pack/list.csv", f"event={EVENT}&vehicles=two", 400, "vehicles: a whole number"),
    ("/pack/list.csv", f"event={EVENT}&mix_there=maybe", 400, "mix there: no such one"),
    ("/pack/calendar.ics", f"event={EVENT}&mixed_on=May", 400, "mixed on: not a date"),
    ("/pack/calendar.ics", f"event={CAR}", 400, "this is the file of a car"),
    ("/pack/ticks", "", 400, "names no event"),
    ("/pack/ticks", "event=../x.toml", 409, OUT),
    ("/tank-choice/table.csv", "", 404, "no comparison yet"),
    ("/tank-choice/picture.svg", "", 404, "no comparison yet"),
    ("/tank-choice/picture.png", "", 404, "no comparison yet"),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound workspace."""
    return workspace(tmp_path_factory.mktemp("routes"))


@pytest.fixture(scope="module")
def spare(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Another one, in which sound requests may write."""
    return workspace(tmp_path_factory.mktemp("spare"))


@cache
def client_of(folder: Path) -> FlaskClient:
    """A client of a workspace's dashboard."""
    return create_app(folder).server.test_client()


@cache
def sound_read(spare: Path, route: str) -> list[str]:
    """What a route says to a sound address."""
    return sentences(client_of(spare).get(f"{route}?event={EVENT}"))


@pytest.mark.parametrize(("route", "query", "status", "named"), READ)
def test_a_route_asked_for_what_there_is_not_says_so(
    route: str, query: str, status: int, named: str, folder: Path, spare: Path
) -> None:
    before = tree(folder)
    hold(client_of(folder).get(f"{route}?{query}"), named, folder, status)
    assert tree(folder) == before
    if not route.startswith("/tank-choice"):
        assert not any(named in one for one in sound_read(spare, route))


def entry(kind: str, at: str = "2026-05-16T09:30:00+01:00", name: str = "a", **words: Any) -> dict[str, Any]:
    """An entry as a phone sends it."""
    return {"id": name, "at": at, "kind": kind, "words": words}


ENTRIES = [
    # an entry, and a word or two that its refusal must hold
    (entry("level", level="900 mm"), "outside the tank, which is 140 mm high"),
    (entry("level", level="9 L"), "outside the tank, which holds"),
    (entry("level", level="150 %"), "outside the tank, which holds"),
    (entry("level", level="-1 L"), "outside the tank, which holds"),
    (entry("level", level="NaN L"), "a level is a length, a volume or a percentage"),
    (entry("level", level="104 kPa"), "a level is a length, a volume or a percentage"),
    (entry("level", level=5), "level = 5: write it as text"),
    (entry("level", level="3 L", after="99"), "after = 99: no session"),
    (entry("level", level="3 L", error="9 L"), "is not a unit of length"),
    (entry("fill"), "fill to the mark, or say how much"),
    (entry("fill", add="99 L"), "the 8.06 L that the tank holds"),
    (entry("fill", add="-1 L"), "an amount between 0"),
    (entry("fill", add="NaN L"), "not a number and a unit"),
    (entry("done", session="99"), "session = 99: no session"),
    (entry("done", session="1", runs="-2"), "runs = -2: a number of runs"),
    (entry("done", session="1", runs="nan"), "runs = nan: a number of runs"),
    (entry("late", late="10 L"), "is not a unit of time"),
    (entry("late", late="99 h"), "at most a day"),
    (entry("stock", left="-1 L"), "left = -1 L: between 0 L"),
    (entry("note", text=" "), "text = ' ': is empty"),
    (entry("dance"), "kind = dance: the kinds are"),
    (entry("kept"), "which asks before"),
    (entry("undo", undoes="zz"), "no such entry to take back"),
    (entry("note", at="yesterday", text="x"), "at = yesterday: not a time"),
    (entry("note", at="9999-12-31T23:59:59+00:00", text="x"), "a time needs a sensible date"),
    (entry("note", name="b b", text="x"), "an id has 1 to 64 letters"),
    ({"id": "v", "at": "2026-05-16T09:30:00+01:00", "kind": "level", "value": {"level_L": 3}}, "level_mm: missing"),
    ({"id": "v", "at": "2026-05-16T09:30:00+01:00", "kind": "level"}, "give either words"),
]


def logged(client: FlaskClient, item: dict[str, Any]) -> TestResponse:
    """The answer to one entry sent."""
    return client.post("/pit/entries", json={"event": EVENT, "entries": [item]}, headers=SEND)


@pytest.mark.parametrize(("item", "named"), ENTRIES, ids=lambda value: json.dumps(value)[:90])
def test_an_entry_that_cannot_be_is_given_back_with_a_sentence_and_not_logged(
    item: dict[str, Any], named: str, folder: Path, spare: Path
) -> None:
    before = tree(folder)
    answer = logged(client_of(folder), item)
    hold(answer, named, folder)
    assert answer.get_json()["accepted"] == []
    assert [one["id"] for one in answer.get_json()["refused"]] == [item["id"]]
    assert tree(folder) == before
    sound = logged(client_of(spare), entry("level", level="3 L"))
    assert sound.get_json()["refused"] == []
    assert not any(named in one for one in sentences(sound))


def body(**more: Any) -> bytes:
    """A body of entries, with something else in it."""
    return json.dumps({"event": EVENT, "entries": [entry("note", text="x")], **more}).encode()


LEDGER, TICKS, CALLBACK = f"/pit/log.csv?event={EVENT}", f"/pack/ticks?event={EVENT}", "/_dash-update-component"
AGAIN = "This page is not of the program that runs here now"
SENT = [
    # where something is sent, the body, how, the status, and a word or two that the answer must hold
    ("/pit/entries", b"{", {}, 400, "The body is no JSON"),
    ("/pit/entries", b"[]", {}, 400, "no JSON object"),
    ("/pit/entries", b"[" * 100_000, {}, 400, "The body is no JSON"),
    ("/pit/entries", body(entries=[]), {}, 400, "a list of 1 to 200"),
    ("/pit/entries", body(entries=[1]), {}, 400, "each entry is an object"),
    ("/pit/entries", body(event=5), {}, 400, "Name the event"),
    ("/pit/entries", body(event="../x.toml"), {}, 404, OUT),
    ("/pit/entries", body(event=CAR), {}, 422, "this is the file of a car"),
    ("/pit/entries", body(more="x" * 300_000), {}, 413, "larger than 0.256 MB"),
    ("/pit/entries", body(), {"content_type": "text/plain"}, 415, "Send it as application/json"),
    ("/pit/entries", body(), {"headers": {}}, 403, "X-Fillmark: pit is missing"),
    ("/pit/entries", body(), {"headers": {**SEND, **ELSEWHERE}}, 403, "another site's page"),
    ("/pit/keep", b'{"event": "events/moth.toml"}', {}, 400, "give id, and mean and sd"),
    ("/pit/keep", b'{"event": "events/moth.toml", "id": "k", "mean": 1, "sd": 0.1}', {}, 400, "no reading has taught"),
    ("/pit/keep", b'{"event": "events/none.toml", "id": "k", "mean": 1, "sd": 0.1}', {}, 404, NONE),
    (LEDGER, b"a,b\r\n1,2\r\n", {"content_type": "text/csv"}, 400, "is missing; export one"),
    (LEDGER, b"\xff\xfe", {"content_type": "text/csv"}, 400, "not text in UTF-8"),
    (LEDGER, KEPT + b"x,y,z,w,v,u\r\n", {"content_type": "text/csv"}, 400, "the row cannot be read"),
    (LEDGER, KEPT, {}, 415, "Send it as text/csv"),
    (LEDGER, b"x" * 4_100_000, {"content_type": "text/csv"}, 413, "larger than 4 MB"),
    (TICKS, b"null", {}, 400, "a line's id"),
    (TICKS, b"x", {"content_type": "text/plain"}, 400, "a line's id"),
    (TICKS, b'{"set": {"a": 1}}', {}, 400, "a line's id"),
    (TICKS, b'{"set": ["a"]}', {}, 400, "a line's id"),
    (TICKS, b'{"clear": "yes"}', {}, 400, "a line's id"),
    (TICKS, b'{"set": {"tool/anvil": true}}', {}, 200, f"tool/anvil: {NO_SUCH_LINE}"),
    (TICKS, b'{"set": {"": true}}', {}, 200, NO_SUCH_LINE),
    (TICKS, b"x" * 9_000_000, {}, 413, "larger than 8 MB"),
    (TICKS, b'{"set": {"tool/funnel": true}}', {"headers": ELSEWHERE}, 403, "another site's page"),
    ("/pack/ticks?event=../x.toml", b'{"set": {"tool/funnel": true}}', {}, 409, OUT),
    ("/upload?name=a.csv", b"", {}, 422, "a.csv: the file is empty"),
    ("/upload?name=a.csv", b"\0" * 5000, {}, 422, "a.csv: holds no table of numbers"),
    ("/upload?name=../../evil.csv", b"hello world", {}, 422, "evil.csv: holds no table of numbers"),
    ("/upload?name=a.zip", b"PK\x03\x04junk", {}, 422, "a.zip: the zip file is damaged"),
    ("/upload?name=a.gz", b"no gzip", {}, 422, "a.gz: holds no table of numbers"),
    ("/upload?name=a.xlsx", b"junk", {}, 422, "a.xlsx: holds no table of numbers"),
    ("/upload?name=moth.toml", b'name = "x"', {}, 422, "moth.toml: holds no table of numbers"),
    ("/upload?name=a.csv", LINES, {"headers": ELSEWHERE}, 403, "another site's page"),
    ("/tank-choice/stop", b"", {"headers": ELSEWHERE}, 403, "another site's page"),
    (CALLBACK, b"{", {}, 400, AGAIN),
    (CALLBACK, b"[]", {}, 400, AGAIN),
    (CALLBACK, b"null", {}, 400, AGAIN),
    (CALLBACK, b'{"output": "no.such", "inputs": []}', {}, 400, AGAIN),
    (CALLBACK, b'{"output": ["page.children"], "inputs": []}', {}, 400, AGAIN),
    (CALLBACK, b'{"output": "page.children"}', {}, 400, AGAIN),
    (CALLBACK, b"{}", {"headers": {"Host": "paddock.example"}}, 421, "answers on this machine only"),
    (CALLBACK, b"x" * 9_000_000, {}, 413, "larger than 8 MB"),
]
SOUND = {
    "/pit/entries": {"data": body(), "headers": SEND, "content_type": JSON},
    "/pit/log.csv": {"data": KEPT, "headers": SEND, "content_type": "text/csv"},
    "/pack/ticks": {"data": b'{"set": {"tool/funnel": true}}', "content_type": JSON},
    "/upload": {"data": LINES},
    "/tank-choice/stop": {},
}


@cache
def sound_sent(spare: Path, route: str) -> list[str]:
    """What a route says to what is sent soundly; nothing for the one that keeps a day's result, and for callbacks."""
    query = {"event": EVENT, "name": "a.csv"}
    answer = client_of(spare).post(route, query_string=query, **SOUND[route]) if route in SOUND else None
    assert answer is None or answer.status_code in (200, 201), sentences(answer)
    return sentences(answer) if answer else []


@pytest.mark.parametrize(
    ("route", "data", "how", "status", "named"), SENT, ids=[f"{row[0]} {row[1][:40]!r} {row[3]}" for row in SENT]
)
def test_what_cannot_be_taken_is_refused_with_a_sentence_and_leaves_nothing(
    route: str, data: bytes, how: dict[str, Any], status: int, named: str, folder: Path, spare: Path
) -> None:
    before = tree(folder)
    usual = {"content_type": JSON, "headers": SEND if route.startswith("/pit") else {}}
    hold(client_of(folder).post(route, data=data, **{**usual, **how}), named, folder, status)
    assert tree(folder) == before
    assert not any(named in one for one in sound_sent(spare, route.partition("?")[0]))


@pytest.mark.parametrize("route", ["/", "/day", "/_dash-layout", "/pit/board", "/pack/list.csv", "/upload"])
def test_another_name_of_this_machine_is_answered_by_no_route(route: str, folder: Path) -> None:
    answer = client_of(folder).get(route, headers={"Host": "paddock.example"}, query_string={"event": EVENT})
    hold(answer, "answers on this machine only", folder, 421)
    assert client_of(folder).get(route, query_string={"event": EVENT}).status_code == 200

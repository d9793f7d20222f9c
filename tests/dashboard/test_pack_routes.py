"""What the page Pack hands out and takes in: papers as the command writes them, ticks, and refusals in words."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from dashboard.access_codes import Access
from dashboard.app import create_app
from planner.cli.main import main
from tests.dashboard.days import write_workspace

QUERY = "event=events/moth.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A workspace of one day."""
    write_workspace(tmp_path)
    return tmp_path


@pytest.fixture
def client(folder: Path) -> Any:
    """A client of its dashboard."""
    return create_app(folder).server.test_client()


@pytest.mark.parametrize(
    ("name", "option", "more", "query"),
    [
        ("papers.html", "html", ("--mixed-on", "2026-05-15", "--day-high", "31 degC"),
         "mixed_on=2026-05-15&day_high=31+degC"),
        ("labels.html", "labels", ("--label-sheet", "letter-6"), "label_sheet=letter-6"),
        ("dipstick.html", "dipstick", ("--paper", "letter"), "paper=letter"),
        ("dipstick.html", "dipstick", ("--dipstick-unit", "gal"), "strip=gal"),
        ("list.csv", "csv", ("--mix-there",), "mix_there=yes"),
    ],
)  # fmt: skip
def test_a_paper_is_the_one_that_the_command_writes(
    folder: Path, client: Any, tmp_path: Path, name: str, option: str, more: tuple[str, ...], query: str
) -> None:
    path = tmp_path / f"out-{name}"
    assert main(["pack", str(folder / "events" / "moth.toml"), f"--{option}", str(path), *more]) == 0
    answer = client.get(f"/pack/{name}?{QUERY}&{query}")
    assert answer.status_code == 200
    assert answer.data == path.read_bytes()


def test_the_days_sheet_is_one_page_for_each_day(client: Any) -> None:
    text = client.get(f"/pack/sheet.html?{QUERY}").get_data(as_text=True)
    assert text.count('class="page sheet"') == 1
    assert "Poison centre" in text


def test_the_list_downloads_under_its_name(client: Any) -> None:
    answer = client.get(f"/pack/list.csv?{QUERY}")
    assert 'filename="list.csv"' in answer.headers["Content-Disposition"]
    assert len(list(csv.DictReader(io.StringIO(answer.get_data(as_text=True))))) > 10


def test_a_calendar_asked_again_after_a_change_moves_its_entries_on(folder: Path, client: Any) -> None:
    first = Calendar.from_ical(client.get(f"/pack/calendar.ics?{QUERY}").data)
    assert {int(entry["SEQUENCE"]) for entry in first.events} == {0}
    same = Calendar.from_ical(client.get(f"/pack/calendar.ics?{QUERY}").data)
    assert {int(entry["SEQUENCE"]) for entry in same.events} == {0}
    path = folder / "events" / "moth.toml"
    path.write_text(path.read_text().replace('"14:00"', '"14:20"'))
    moved = {str(e["SUMMARY"]): int(e["SEQUENCE"]) for e in Calendar.from_ical(
        create_app(folder).server.test_client().get(f"/pack/calendar.ics?{QUERY}").data).events}  # fmt: skip
    assert moved["Session 4 (Plum hatch)"] == 1
    assert moved["Session 1 (Plum hatch)"] == 0


def test_ticks_are_set_read_and_cleared_and_the_command_line_sees_them(
    folder: Path, client: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    address = f"/pack/ticks?{QUERY}"
    assert client.get(address).get_json() == {"ticked": []}
    sent = {"set": {"tool/funnel": True, "tool/jug": True}}
    assert client.post(address, json=sent).get_json() == {"ticked": ["tool/funnel", "tool/jug"]}
    assert client.post(address, json={"set": {"tool/jug": False}}).get_json() == {"ticked": ["tool/funnel"]}
    other = create_app(folder).server.test_client()
    assert other.get(address).get_json() == {"ticked": ["tool/funnel"]}
    assert main(["pack", str(folder / "events" / "moth.toml")]) == 0
    assert "[x] Funnel" in capsys.readouterr().out
    assert client.post(address, json={"clear": True}).get_json() == {"ticked": []}


@pytest.mark.parametrize("sent", [None, [], {}, {"set": {"a": 1}}, {"set": {"a" * 700: True}}, {"set": ["a"]}, "x"])
def test_ticks_that_are_none_are_refused_in_words(client: Any, sent: Any) -> None:
    answer = client.post(f"/pack/ticks?{QUERY}", json=sent)
    assert answer.status_code == 400
    assert "send" in answer.get_json()["error"]


def test_another_sites_page_cannot_tick(client: Any) -> None:
    sent = {"set": {"tool/funnel": True}}
    assert client.post(f"/pack/ticks?{QUERY}", json=sent, headers={"Origin": "http://else.example"}).status_code == 403


@pytest.mark.parametrize("key", ["../outside.toml", "/etc/passwd", "events/none.toml", ""])
@pytest.mark.parametrize("name", ["ticks", "papers.html", "calendar.ics"])
def test_no_address_leads_out_of_the_workspace(client: Any, key: str, name: str) -> None:
    answer = client.get(f"/pack/{name}?event={key}")
    assert answer.status_code in (400, 409)
    assert "root:" not in answer.get_data(as_text=True)


def test_a_setting_that_cannot_be_read_is_refused_in_words(client: Any) -> None:
    answer = client.get(f"/pack/labels.html?{QUERY}&mixed_on=May")
    assert answer.status_code == 400
    assert "mixed on: not a date" in answer.get_data(as_text=True)


def test_an_address_without_an_event_says_where_to_begin(client: Any) -> None:
    assert "open the page Pack" in client.get("/pack/papers.html").get_data(as_text=True)
    assert "names no event" in client.get("/pack/ticks").get_json()["error"]


def test_a_device_that_may_only_look_changes_nothing(folder: Path) -> None:
    server = create_app(folder, hosts=None, access=Access("abcd2345", "wxyz6789", "s" * 64)).server
    phone = server.test_client()
    phone.environ_base |= {"REMOTE_ADDR": "10.1.2.3", "HTTP_HOST": "10.1.2.1:8050"}
    assert phone.get(f"/pack/ticks?{QUERY}").status_code == 401
    phone.post("/sign-in", data={"code": "wxyz6789", "next": "/pack"})
    assert phone.get(f"/pack/ticks?{QUERY}").get_json() == {"ticked": []}
    assert phone.post(f"/pack/ticks?{QUERY}", json={"set": {"tool/jug": True}}).status_code == 403
    assert phone.get(f"/pack/calendar.ics?{QUERY}").status_code == 200
    assert not (folder / "events" / "pack.sqlite").exists()
    crew = server.test_client()
    crew.environ_base |= {"REMOTE_ADDR": "10.1.2.3", "HTTP_HOST": "10.1.2.1:8050"}
    crew.post("/sign-in", data={"code": "abcd2345", "next": "/pack"})
    assert crew.post(f"/pack/ticks?{QUERY}", json={"set": {"tool/jug": True}}).get_json() == {"ticked": ["tool/jug"]}

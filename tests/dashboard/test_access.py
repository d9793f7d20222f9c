"""Access to a shared dashboard: who gets in, as what, and how often one may guess."""

from __future__ import annotations

import re
import stat

import pytest

from dashboard import access_codes
from dashboard.access import local_path
from dashboard.access_codes import Access, Tries, access_of, new_access, spoken
from dashboard.app import create_app
from dashboard.network import own_addresses, picture_code, picture_path, sign_in_address
from tests.dashboard.days import write_workspace
from tests.dashboard.test_app import router

ACCESS = Access("abcd2345", "wxyz6789", "s" * 64)
EVENT = "events/moth.toml"
PADDOCK = {"REMOTE_ADDR": "10.1.2.3"}
PAGE = {"Accept": "text/html,*/*"}
NOTE = {
    "event": EVENT,
    "entries": [{"id": "a", "at": "2026-05-16T08:00+01:00", "kind": "note", "value": {"text": "x"}}],
}


@pytest.fixture
def shared(tmp_path):
    write_workspace(tmp_path)
    return create_app(tmp_path, hosts=None, access=ACCESS).server


def phone(server, address="10.1.2.3"):
    """A device in the paddock, by the server's address there."""
    client = server.test_client()
    client.environ_base |= {"REMOTE_ADDR": address, "HTTP_HOST": "10.1.2.1:8050"}
    return client


def sign_in(client, code, target="/pit"):
    return client.post("/sign-in", data={"code": code, "next": target})


def log_note(client):
    return client.post("/pit/entries", json=NOTE, headers={"X-Fillmark": "pit"})


def test_a_page_asked_for_signed_out_leads_to_the_sign_in_page_and_back(shared):
    client = phone(shared)
    answer = client.get("/pit?event=events/moth.toml", headers=PAGE)
    assert answer.status_code == 303
    form = client.get(answer.headers["Location"]).get_data(as_text=True)
    assert 'value="/pit?event=events/moth.toml"' in form
    assert sign_in(client, "abcd2345", "/pit?event=events/moth.toml").headers["Location"] == (
        "/pit?event=events/moth.toml"
    )


@pytest.mark.parametrize("path", ["/pit/board?event=events/moth.toml", "/_dash-layout", "/nowhere", "/share"])
def test_a_script_signed_out_is_told_where_to_sign_in(shared, path):
    answer = phone(shared).get(path)
    assert answer.status_code == 401
    assert answer.get_json()["sign_in"] == "/sign-in"
    assert "Moth" not in answer.get_data(as_text=True)


def test_a_callback_signed_out_is_refused(shared):
    assert router(phone(shared), "/day").status_code == 401


def test_the_crew_reads_and_logs(shared):
    client = phone(shared)
    assert log_note(client).status_code == 401
    assert sign_in(client, " ABCD-2345 ").status_code == 303
    assert client.get(f"/pit/board?event={EVENT}").get_json()["can_write"] is True
    assert log_note(client).get_json()["accepted"] == ["a"]
    assert router(client, "/day").status_code == 200


def test_who_may_only_look_reads_and_changes_nothing(shared, tmp_path):
    client = phone(shared)
    sign_in(client, "wxyz6789")
    assert client.get(f"/pit/board?event={EVENT}").get_json()["can_write"] is False
    assert router(client, "/day").status_code == 200
    answer = log_note(client)
    assert answer.status_code == 403
    assert "may only look" in answer.get_json()["error"]
    assert client.post("/upload", data=b"x").status_code == 403
    assert client.get("/share", headers=PAGE).status_code == 403
    assert "abcd" not in client.get("/share", headers=PAGE).get_data(as_text=True)
    assert not (tmp_path / "events" / "pit.sqlite").exists()


def test_no_callback_writes_a_file_for_who_may_only_look(shared, tmp_path):
    """The refusal sits where files are written, whichever callback is asked."""
    from planner.errors import NotWritten
    from planner.files.looking import ONLY_LOOKING
    from planner.files.pit_connection import NotStored, writing
    from planner.files.saving import open_file, save

    opened = open_file(tmp_path / EVENT)
    opened.document["name"] = "Newt Meadow"
    token = ONLY_LOOKING.set(True)
    try:
        with pytest.raises(NotWritten, match="may only look"):
            save(opened)
        with pytest.raises(NotStored, match="may only look"), writing(tmp_path / "pit.sqlite"):
            pass
    finally:
        ONLY_LOOKING.reset(token)
    assert "Moth Meadow" in (tmp_path / EVENT).read_text()
    assert not (tmp_path / "pit.sqlite").exists()


def test_the_thread_of_one_who_looks_serves_the_crew_again(shared):
    looker, crew = phone(shared), phone(shared)
    sign_in(looker, "wxyz6789")
    sign_in(crew, "abcd2345")
    looker.get("/pit/board", query_string={"event": EVENT})
    assert log_note(crew).status_code == 200


def test_the_machine_that_serves_needs_no_code_but_another_name_for_it_does(shared):
    client = shared.test_client()
    assert client.get(f"/pit/board?event={EVENT}").status_code == 200
    answer = client.get(f"/pit/board?event={EVENT}", headers={"Host": "rebound.example"})
    assert answer.status_code == 401
    forged = phone(shared).get(
        f"/pit/board?event={EVENT}", headers={"Host": "127.0.0.1", "X-Forwarded-For": "127.0.0.1"}
    )
    assert forged.status_code == 401


def test_the_session_s_cookie_is_out_of_reach_of_scripts_and_other_sites(shared):
    cookie = sign_in(phone(shared), "abcd2345").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "abcd2345" not in cookie


def test_a_session_of_other_codes_is_worth_nothing(shared, tmp_path):
    client = phone(shared)
    sign_in(client, "abcd2345")
    name, value = re.match(r"([^=]+)=([^;]+)", sign_in(client, "abcd2345").headers["Set-Cookie"]).groups()
    renewed = phone(create_app(tmp_path, hosts=None, access=new_access()).server)
    renewed.set_cookie(name, value, domain="10.1.2.1")
    assert renewed.get(f"/pit/board?event={EVENT}").status_code == 401


def test_signing_out_ends_a_session(shared):
    client = phone(shared)
    sign_in(client, "abcd2345")
    assert client.post("/sign-out").status_code == 303
    assert client.get(f"/pit/board?event={EVENT}").status_code == 401


def test_wrong_codes_are_counted_by_address(shared, monkeypatch):
    client = phone(shared)
    for _ in range(access_codes.TRIES):
        answer = sign_in(client, "wrong")
        assert answer.status_code == 401
        assert "This is not the code" in answer.get_data(as_text=True)
    refused = sign_in(client, "abcd2345")
    assert refused.status_code == 429
    assert "Try again in 5 min" in refused.get_data(as_text=True)
    assert 0 < int(refused.headers["Retry-After"]) <= 301
    assert sign_in(phone(shared, "10.1.2.4"), "abcd2345").status_code == 303
    later = access_codes.time.monotonic() + access_codes.WINDOW + 1
    monkeypatch.setattr(access_codes.time, "monotonic", lambda: later)
    assert sign_in(client, "abcd2345").status_code == 303


def test_another_site_s_page_cannot_sign_a_device_in(shared):
    answer = phone(shared).post("/sign-in", data={"code": "abcd2345"}, headers={"Origin": "http://elsewhere.example"})
    assert answer.status_code == 403


def test_one_device_s_many_addresses_count_as_one_and_the_table_stays_small():
    tries = Tries()
    for k in range(access_codes.TRIES):
        tries.wrong(f"2001:db8::{k:x}")
    assert tries.wait("2001:db8::ffff") > 0
    assert tries.wait("2001:db8:0:1::1") == 0
    for k in range(access_codes.MOST_ADDRESSES + 50):
        tries.wrong(f"10.{k // 65536}.{k // 256 % 256}.{k % 256}")
    assert len(tries._wrong) == access_codes.MOST_ADDRESSES


@pytest.mark.parametrize(
    ("target", "path"),
    [
        ("/pit?event=a b", "/pit?event=a b"),
        ("//elsewhere.example", "/"),
        ("/\\elsewhere.example", "/"),
        ("http://elsewhere.example", "/"),
        ("", "/"),
        (None, "/"),
        ("/x\r\nSet-Cookie: a=b", "/"),
    ],
)
def test_signing_in_leads_nowhere_else(target, path):
    assert local_path(target) == path


def test_a_target_is_shown_as_text_alone(shared):
    page = phone(shared).get("/sign-in", query_string={"next": '/"><script>alert(1)</script>'}).get_data(as_text=True)
    assert "<script>alert" not in page


def test_codes_are_long_fresh_and_kept_for_their_folder_alone(tmp_path):
    home, folder = tmp_path / "home", tmp_path / "days"
    first = access_of(folder, home)
    assert access_of(folder, home) == first
    assert access_of(tmp_path / "others", home) != first
    assert access_of(folder, home, renew=True).crew != first.crew
    assert first.crew != first.look
    assert len(set(access_codes.LETTERS)) ** len(first.crew) > 5e11
    kept = list(home.iterdir())
    assert {stat.S_IMODE(path.stat().st_mode) for path in kept} == {0o600}
    kept[0].write_text("{")
    assert re.fullmatch(r"[a-z2-9]{4}-[a-z2-9]{4}", spoken(access_of(folder, home).crew))


def test_a_code_is_right_only_as_a_whole():
    assert ACCESS.right_of("ABCD 2345") == "crew"
    assert ACCESS.right_of("wxyz-6789") == "look"
    assert [ACCESS.right_of(code) for code in ("", "abcd234", "abcd23456", "äbcd2345", "a" * 10_000)] == [None] * 5


def test_the_host_s_page_shows_address_codes_and_pictures(shared, monkeypatch):
    monkeypatch.setattr("dashboard.access_pages.own_addresses", lambda: ("10.1.2.1", "10.9.9.9"))
    page = shared.test_client().get("/share", headers=PAGE).get_data(as_text=True)
    assert "abcd-2345" in page
    assert "wxyz-6789" in page
    assert page.count("<svg") == 2
    assert "http://10.1.2.1:80" in page
    assert "unencrypted" in page
    monkeypatch.setattr("dashboard.access_pages.own_addresses", lambda: ())
    assert "This machine is in no network" in shared.test_client().get("/share").get_data(as_text=True)


def test_without_sharing_the_page_says_how(tmp_path):
    page = create_app(tmp_path).server.test_client().get("/share").get_data(as_text=True)
    assert "fillmark serve --share" in page
    assert create_app(tmp_path).server.test_client().get("/sign-in").status_code != 500


def test_the_picture_is_drawn_true_to_its_code():
    text = sign_in_address("10.1.2.1", 8050, "abcd2345")
    assert text == "http://10.1.2.1:8050/sign-in#abcd2345"
    side, path = picture_path(text)
    rows = picture_code(text).get_matrix()
    assert side == len(rows)
    assert path.count("M") == sum(map(sum, rows))


def test_own_addresses_are_not_the_loopback():
    assert not [address for address in own_addresses() if address.startswith("127.")]

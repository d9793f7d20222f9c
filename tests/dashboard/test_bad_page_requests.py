"""Addresses and files that no page can show: a sentence that names what is wrong, nothing given away or written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from freezegun import freeze_time
from werkzeug.test import TestResponse

from dashboard.app import create_app
from tests.dashboard.bad_requests import CAR, EVENT, LOG, hold, sentences, tree, workspace
from tests.dashboard.test_app import router

OUT, NONE = "leads out of the workspace", "no such file in the workspace"
ADDRESSES = [
    # the page, the broken end of its address, and a word or two that the answer must hold
    ("/day", "?event=../x.toml", OUT),
    ("/day", "?event=/etc/passwd", "/etc/passwd"),
    ("/day", "?event=events/none.toml", "events/none.toml"),
    ("/day", "?event=events", NONE),
    ("/day", f"?event={CAR}", "this is the file of a car"),
    ("/car", "?car=cars/none.toml", "cars/none.toml"),
    ("/car", "?car=../x.toml", OUT),
    ("/car", "?car=cars", NONE),
    ("/car", f"?car={EVENT}", "this is the file of an event"),
    ("/car", "?event=../x.toml", OUT),
    ("/car", "?event=events/none.toml", "events/none.toml"),
    ("/courses", "?event=events/../../x.toml", OUT),
    ("/courses", "?event=C:/x.toml", "C:/x.toml"),
    ("/courses", "?event=events/none.toml", "events/none.toml"),
    ("/courses", f"?event={CAR}", "this is the file of a car"),
    ("/tank", "?event=../x.toml", OUT),
    ("/tank", "?event=events/none.toml", "events/none.toml"),
    ("/tank", f"?event={CAR}", "this is the file of a car"),
    ("/tank", "?course=nowhere", "no course of that name; the event has: meadow, loop"),
    ("/pack", "?event=../x.toml", OUT),
    ("/pack", "?event=events/.hidden.toml", ".hidden.toml"),
    ("/pack", f"?event={CAR}", "this is the file of a car"),
    ("/pit", "?event=//host/x.toml", "//host/x.toml"),
    ("/pit", "?event=events/none.toml", "events/none.toml"),
    ("/pit", f"?event={LOG}", "not TOML"),
    ("/pit", f"?event={CAR}", "this is the file of a car"),
    ("/new/x", "", "Nothing is at /new/x"),
    ("/method/../x", "", "Nothing is at /method/../x"),
]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound workspace."""
    return workspace(tmp_path_factory.mktemp("sound"))


@pytest.fixture(scope="module")
def client(sound: Path) -> FlaskClient:
    """Its dashboard's."""
    return create_app(sound).server.test_client()


@pytest.fixture(scope="module")
def first_answer(client: FlaskClient) -> Callable[[str], list[str]]:
    """What a page, or a route to be read, says where nothing is broken."""
    kept: dict[str, list[str]] = {}

    def said(path: str) -> list[str]:
        if path not in kept:
            kept[path] = sentences(asked(client, path))
        return kept[path]

    return said


def asked(client: FlaskClient, path: str) -> TestResponse:
    """A page by its router, or a route."""
    alone = path.count("/") == 1
    return router(client, path, f"?event={EVENT}") if alone else client.get(f"{path}?event={EVENT}")


@pytest.mark.parametrize(("path", "search", "named"), ADDRESSES)
def test_a_broken_address_is_answered_with_a_sentence_and_writes_nothing(
    path: str, search: str, named: str, sound: Path, client: FlaskClient, first_answer: Callable[[str], list[str]]
) -> None:
    before = tree(sound)
    hold(router(client, path, search), named, sound)
    assert tree(sound) == before
    page = f"/{path.split('/')[1]}"
    assert not any(named in one for one in first_answer(page))


def holding(name: str, content: bytes | None) -> Callable[[Path], None]:
    """Damage: a file holds other bytes, or with None is a folder."""

    def damage(folder: Path) -> None:
        (folder / name).unlink(missing_ok=True)
        if content is None:
            (folder / name).mkdir()
        else:
            (folder / name).write_bytes(content)

    return damage


def saying(name: str, old: str, new: str) -> Callable[[Path], None]:
    """Damage: a file says something else in one place."""

    def damage(folder: Path) -> None:
        text = (folder / name).read_text(encoding="utf-8")
        assert old in text
        (folder / name).write_text(text.replace(old, new, 1), encoding="utf-8")

    return damage


DAMAGES = {
    "event not TOML": holding(EVENT, b"name = = 3"),
    "event not UTF-8": holding(EVENT, b'name = "\xff\xfe"'),
    "event empty": holding(EVENT, b""),
    "event a folder": holding(EVENT, None),
    "unknown time zone": saying(EVENT, "Europe/Lisbon", "Mars/Olympus"),
    "no such car": saying(EVENT, "plum.toml", "pear.toml"),
    "car not TOML": holding(CAR, b"[[["),
    "car not UTF-8": holding(CAR, b"\xff"),
    "car a folder": holding(CAR, None),
    "car in no unit": saying(CAR, '"320 mm"', '"320 gal"'),
    "recording a folder": holding(LOG, None),
    "recording no table": holding(LOG, bytes(range(256)) * 20),
    "log a folder": holding("events/pit.sqlite", None),
    "ticks no database": holding("events/pack.sqlite", b"x" * 5000),
}
FILES = [
    # what is broken, the page or route, the status, and a word or two that the answer must hold
    ("event not TOML", "/day", 200, "moth.toml: not TOML"),
    ("event not TOML", "/courses", 200, "moth.toml: not TOML"),
    ("event not TOML", "/tank", 200, "events/moth.toml: line 1"),
    ("event not TOML", "/pack", 200, "events/moth.toml: line 1"),
    ("event not TOML", "/pit", 200, "events/moth.toml: line 1"),
    ("event not TOML", "/pit/shown", 422, "events/moth.toml: line 1"),
    ("event not TOML", "/pack/papers.html", 400, "events/moth.toml: line 1"),
    ("event not TOML", "/pack/ticks", 409, "events/moth.toml: line 1"),
    ("event not UTF-8", "/day", 200, "save it as UTF-8"),
    ("event not UTF-8", "/tank", 200, "save it as UTF-8"),
    ("event not UTF-8", "/pit/board", 422, "save it as UTF-8"),
    ("event not UTF-8", "/pack/list.csv", 400, "save it as UTF-8"),
    ("event empty", "/day", 200, "date: missing"),
    ("event empty", "/courses", 200, "This event has no course yet"),
    ("event empty", "/pit", 200, "events/moth.toml: timezone: missing"),
    ("event empty", "/pit/shown/after", 422, "events/moth.toml: timezone: missing"),
    ("event a folder", "/day", 200, "no such file in the workspace"),
    ("event a folder", "/pit/shown", 422, "no such file in the workspace"),
    ("event a folder", "/pack/calendar.ics", 400, "is not in the workspace any more"),
    ("unknown time zone", "/day", 200, "Mars/Olympus"),
    ("unknown time zone", "/pack/dipstick.html", 400, "Mars/Olympus"),
    ("no such car", "/day", 200, "pear.toml"),
    ("no such car", "/tank", 200, "pear.toml"),
    ("no such car", "/pack/labels.html", 400, "pear.toml"),
    ("car not TOML", "/car", 200, "plum.toml: not TOML"),
    ("car not TOML", "/courses", 200, "line 1"),
    ("car not TOML", "/pit/history", 422, "cars/plum.toml: line 1"),
    ("car not UTF-8", "/car", 200, "save it as UTF-8"),
    ("car not UTF-8", "/pit", 200, "cars/plum.toml: not UTF-8"),
    ("car a folder", "/car", 200, "This folder holds no car"),
    ("car a folder", "/pack/sheet.html", 400, "a folder, not a file"),
    ("car in no unit", "/car", 200, "'gal' is not a unit of length"),
    ("car in no unit", "/day", 200, "'gal' is not a unit of length"),
    ("car in no unit", "/pack", 200, "cars/plum.toml: tank.length"),
    ("recording a folder", "/courses", 200, "a folder, not a file"),
    ("recording a folder", "/pit/after", 422, "course[1].logs[1]"),
    ("recording no table", "/courses", 200, "Holds no table of numbers"),
    ("recording no table", "/tank", 200, "logs/meadow-1.csv: holds no table of numbers"),
    ("log a folder", "/pit", 200, "events/pit.sqlite: the folder or file cannot be written"),
    ("log a folder", "/pit/log.csv", 503, "the folder or file cannot be written"),
    ("ticks no database", "/pack", 200, "events/pack.sqlite: the ticks cannot be kept here"),
    ("ticks no database", "/pack/ticks", 409, "events/pack.sqlite: the ticks cannot be kept here"),
]


@pytest.mark.parametrize(("broken", "path", "status", "named"), FILES)
def test_a_broken_file_is_told_of_by_its_place_in_the_workspace_and_stays_as_it_is(
    broken: str, path: str, status: int, named: str, tmp_path: Path, first_answer: Callable[[str], list[str]]
) -> None:
    folder = workspace(tmp_path)
    DAMAGES[broken](folder)
    before = tree(folder)
    hold(asked(create_app(folder).server.test_client(), path), named, folder, status)
    assert tree(folder) == before
    assert not any(named in one for one in first_answer(path))


@freeze_time("2026-05-16T09:30:00+01:00")
@pytest.mark.parametrize("settings", [{"units": "parsec"}, {"units": ["us"]}, {"theme": "pink", "screen": 5}, "us"])
@pytest.mark.parametrize("path", ["/day", "/car", "/courses", "/tank", "/pack", "/pit"])
def test_settings_that_there_are_none_of_are_the_usual_ones(client: FlaskClient, path: str, settings: object) -> None:
    assert sentences(router(client, path, settings=settings)) == sentences(router(client, path))


@pytest.mark.parametrize("word", ["parsec", "", "us.us.us", "\x00", "m" * 3000])
def test_a_cookie_of_other_settings_still_opens_the_board(sound: Path, word: str) -> None:
    client = create_app(sound).server.test_client()
    client.set_cookie("fillmark-settings", word)
    assert client.get(f"/pit/shown?event={EVENT}").status_code == 200

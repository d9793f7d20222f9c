"""What is typed on a page and cannot be used: a sentence beside it and on saving, nothing given away or written."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from werkzeug.test import TestResponse

from dashboard.app import create_app
from dashboard.components.draft import part_id
from dashboard.presenters.tank_choice_job import Job
from tests.dashboard.bad_requests import EVENT, LOG, fault_at, gives_nothing_away, hold, sentences, tree, workspace
from tests.dashboard.open_page import OpenPage, name_of

NO_TIME, NO_LENGTH, FINITE = "is not a unit of time", "is not a unit of length", "not a finite number"
DRAFTS = [
    # the page, what is typed by field or cell, a word or two that the answer must hold, and which part is marked
    ("day", {"reserve.final": "5 parsec"}, NO_TIME, "reserve.final"),
    ("day", {"reserve.final": "NaN"}, FINITE, "reserve.final"),
    ("day", {"reserve.confidence": "NaN"}, FINITE, "reserve.confidence"),
    ("day", {"reserve.confidence": "99"}, "did you mean 0.99?", "reserve.confidence"),
    ("day", {"reserve.extra": "-1"}, "must be from 0 to 100", "reserve.extra"),
    ("day", {"timezone": "Mars/Olympus"}, "no such time zone", "timezone"),
    ("day", {"timezone": "../etc/passwd"}, "no such time zone", "timezone"),
    ("day", {"name": ""}, "missing; a name is a text", "name"),
    ("day", {"date": "2026-02-30"}, "not a date", "date"),
    ("day", {"car": "../cars/pear.toml"}, "no such file", "car"),
    ("day", {"car": "/etc/passwd"}, "lies outside the workspace", "car"),
    ("day", {"car": "../../../../../../../../etc/passwd"}, "lies outside the workspace", "car"),
    ("day", {"car": "moth.toml"}, "moth.toml: this is the file of an event", ""),
    ("day", {"refill.pour_rate": "0 L/min"}, "must be more than zero", "refill.pour_rate"),
    ("day", {"refill.priority": "fastest"}, "no such priority", "refill.priority"),
    ("day", {"stock.in_tank": "900 L"}, "which no volume here can be", "stock.in_tank"),
    ("day", {"stock.containers": "10 L, ten"}, "not a number and a unit", "stock.containers"),
    ("day", {"session[2].runs": "-4"}, "must be above 0", "session 1.runs"),
    ("day", {"session[2].runs": "NaN"}, FINITE, "session 1.runs"),
    ("day", {"session[2].start": "25:00"}, "not a time of day", "session 1.start"),
    ("day", {"session[2].start": "09:05"}, "is still under way until 09:20", "session 1.start"),
    ("day", {"date": "2026-03-29", "session[1].start": "01:30"}, "the clocks go forward", "session 0.start"),
    ("day", {"session[2].length": "20 L"}, NO_TIME, "session 1.length"),
    ("day", {"session[2].course": "nowhere"}, "no course of that name", "session 1.course"),
    ("day", {"session[2].name": ""}, "name: missing", "session 1.name"),
    ("day", {"session[2].refill": "maybe"}, "write true or false", "session 1.refill"),
    ("car", {"name": ""}, "missing; a name is a text", "name"),
    ("car", {"tank.length": "-3 mm"}, "must be more than zero", "tank.length"),
    ("car", {"tank.length": "NaN"}, FINITE, "tank.length"),
    ("car", {"tank.shape": "egg"}, "no such shape", "tank.shape"),
    ("car", {"tank.pickup.height": "2 m"}, "outside the tank", "tank.pickup.height"),
    ("car", {"blend.alcohol_share": "nan"}, FINITE, "blend.alcohol_share"),
    ("car", {"controller.kind": "magic"}, "no such kind", "controller.kind"),
    ("car", {"flow_test.volume": "1 L"}, "time: missing", "flow_test.time"),
    ("car", {"nozzle[1].rated_flow": "250 psi"}, "is not a unit of flow", "nozzle 0.rated_flow"),
    ("car", {"nozzle[1].count": "0"}, "a count must be a whole number", "nozzle 0.count"),
    ("car", {"nozzle[1].count": "NaN"}, "not a count", "nozzle 0.count"),
    ("car", {"nozzle[1].place": "roof"}, "no such place", "nozzle 0.place"),
    ("car", {"pump.curve[5].flow": "2 L/min", "pump.curve[5].pressure": "15 bar"}, "rises with", "pump.curve 4.flow"),
    ("car", {"pump.curve[2].flow": "NaN"}, FINITE, "pump.curve 1.flow"),
    ("courses", {"c1.name": ""}, "a name must be on one line", "c1.name"),
    ("courses", {"c1.per": "hour"}, "no such per", "c1.per"),
    ("courses", {"c1.logs": "../logs/none.csv"}, "no such file", ""),
    ("courses", {"c1.logs": "/etc/passwd"}, "lies outside the workspace", ""),
    ("courses", {"c1.ambient": "98"}, "no unit; write a pressure", "c1.ambient"),
    ("courses", {"c1.split": "windows", "c1.split.windows": "9 s to 3 s"}, "must end after", "c1.split.windows"),
    ("courses", {"c1.split": "stops", "c1.split.stops": "20 kPa"}, NO_TIME, "c1.split.stops"),
    ("courses", {"c2.name": "meadow"}, "course[1] has that name", "c2.name"),
    ("courses", {"c2.pieces[1].time": "-5 s"}, "must be more than zero", "c2.pieces 0.time"),
    ("courses", {"c2.pieces[1].lateral": "9"}, "write an acceleration", "c2.pieces 0.lateral"),
    ("courses", {"c2.source": "time_at_boost", "c2.time_at_boost[1].time": "-20 s"}, "must be more than zero",
     "c2.time_at_boost 0.boost"),
    ("courses", {"courses": ""}, "an event needs a course", ""),
    ("courses", {"map:unit.boost": "parsec"}, "is not a unit of pressure", ""),
    ("courses", {"map:rate": "fast"}, "write the rows a second", "map:rate"),
]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound workspace."""
    return workspace(tmp_path_factory.mktemp("drafts"))


@pytest.fixture(scope="module")
def spare(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Another one, in which sound requests may write."""
    return workspace(tmp_path_factory.mktemp("spare"))


@cache
def first_opened(folder: Path, page: str) -> OpenPage:
    """A page of a workspace, as it was before anyone typed."""
    return OpenPage(create_app(folder).server.test_client(), f"/{page}")


def opened(folder: Path, page: str) -> OpenPage:
    """A page of a workspace in a browser."""
    return first_opened(folder, page).again()


def draft_of(base: Mapping[str, Any], typed: Mapping[str, str]) -> dict[str, Any]:
    """The draft that typing makes: "session[2].runs" is a grid's cell, other keys are fields."""
    draft: dict[str, Any] = {"values": {}, "grids": {}, "past": [{}], "fingerprint": base["fingerprint"]}
    for key, text in typed.items():
        cell = re.fullmatch(r"(.+)\[(\d+)]\.(\w+)", key)
        if cell is None:
            draft["values"][key] = text
            continue
        rows = draft["grids"].setdefault(cell[1], deepcopy(base["grids"][cell[1]]))
        rows += [{}] * (int(cell[2]) - len(rows))
        rows[int(cell[2]) - 1] = {**rows[int(cell[2]) - 1], cell[3]: text}
    return draft


def answers_of(page: OpenPage, name: str, typed: Mapping[str, str]) -> tuple[list[TestResponse], TestResponse]:
    """What the page says to a draft, and what it says when that is saved."""
    page.type(f"{name}-draft", data=draft_of(page.parts[f"{name}-base"]["data"], typed))
    if name == "courses":
        page.type("courses-choice", data=next(iter(typed), "c1").split(".")[0])
    said = [page.ask(f"{name}-answer.children", f"{name}-draft.data")]
    if name == "day":
        page.type("day-shown", data=1)
        said.append(page.ask("day-tables.children", "day-shown.data"))
    page.type(f"{name}-save", n_clicks=1)
    return said, page.ask("toast.children", f"{name}-save.n_clicks")


def in_header(page: OpenPage, key: str) -> str:
    """A mapping's key with the header of the page's recordings in it."""
    values = page.parts["courses-base"]["data"]["values"] if key.startswith("map:") else {}
    header = next((known.split(":")[1] for known in values if known.startswith("map:")), "")
    return key.replace("map:", f"map:{header}:")


@pytest.fixture(scope="module")
def sound_words(spare: Path) -> dict[str, list[str]]:
    """What each page says to a draft of nothing, by page."""
    found = {}
    for name in ("day", "car", "courses"):
        page = opened(spare, name)
        said, saved = answers_of(page, name, {})
        found[name] = sentences(page.first, *said, saved)
    return found


@pytest.mark.parametrize(("name", "typed", "named", "marked"), DRAFTS)
def test_a_draft_that_cannot_be_used_is_marked_and_neither_saved_nor_anything_written(
    name: str, typed: dict[str, str], named: str, marked: str, folder: Path, sound_words: dict[str, list[str]]
) -> None:
    before, page = tree(folder), opened(folder, name)
    said, saved = answers_of(page, name, {in_header(page, key): text for key, text in typed.items()})
    for answer in said:
        assert answer.status_code == 200
        gives_nothing_away(answer, folder)
    assert any(named in one and len(one.split()) > 3 for one in sentences(*said)), sentences(*said)
    hold(saved, named, folder)
    part, _, cell = in_header(page, marked).partition(" ")
    fault = fault_at(said[-1], part_id(name, "grid" if cell else "field", part)) if marked else None
    assert bool(fault[cell] if cell else fault) == bool(marked), fault
    assert tree(folder) == before
    assert not any(named in one for one in sound_words[name])


def changed_of(kind: str, key: str) -> str:
    """The value of a field on the page Pack, as a browser names it."""
    return f"{name_of(part_id('pack', kind, key))}.value"


UNDONE = "the course does not offer it"
FORMS = [
    # the page, the part and what is typed in it, output and input of the callback, and what the answer must hold
    *[("new", f"new-{key}", text, "new-said.children", "new-make.n_clicks", named) for key, text, named in (
        ("power", "lots", 'such as "340 hp"'),
        ("power", "NaN hp", 'such as "340 hp"'),
        ("boost", "16", "no unit"),
        ("boost", "90 bar", "from 0.1 to 5 bar"),
        ("tank", "2 psi", "is not a unit of volume"),
        ("nozzle", "-3 mL/min", "must be more than zero"),
        ("kind", "rally", "choose one from the list"),
        ("date", "tomorrow", "Date = tomorrow"),
        ("date", "9999-12-31", "the year must be"),
        ("timezone", "Londn", "no such time zone"),
        ("at_boost", "2 h", "up to 60 s"),
        ("at_boost", "0.01 s", "0.1 s at least"),
        ("name", "a\nb", "a name must be on one line"),
    )],
    *[("tank", f"tank-choice-{key}", text, "tank-choice-job.data", "tank-choice-start.n_clicks", named)
      for key, text, named in (
        ("sizes", "6", "no unit"),
        ("sizes", "-6 L", "a tank holds 0.05 L to 500 L"),
        ("space", "wide", "write length x width x height"),
        ("space", "400 mm x 200 mm x 2 L", NO_LENGTH),
        ("space", "-4 mm x 5 mm x 5 mm", "every length must be more than zero"),
        ("gap", "45", "no unit"),
        ("gap", "-1 min", "must be at least zero"),
    )],
    *[("tank", f"tank-{key}", value, "tank-drawing.tree", f"tank-{key}.value", f"{key} = {shown}: {UNDONE}")
      for key, value, shown in (
        ("recording", "99", "99"), ("recording", "x", '"x"'), ("level", 9999, "9999"), ("level", None, "None"),
        ("surface", "ice", '"ice"'), ("mode", "magic", '"magic"'), ("lateral", "x", '"x"'), ("time", -1, "-1"),
    )],
    *[("pack", part_id("pack", kind, key), text, f"pack-{part}.children", changed_of(kind, key), named)
      for kind, key, text, part, named in (
        ("set", "vehicles", "two", "answer", "a whole number of vehicles"),
        ("set", "profile", "mars", "answer", "no such one; take one of none"),
        ("set", "package_volume", "-5 L", "answer", "a limit is above zero"),
        ("set", "package_mass", "5 L", "answer", "is not a unit of mass"),
        ("set", "night_low", "-900 degC", "answer", "must be from -60 to 100 degC"),
        ("set", "mixed_on", "tomorrow", "answer", "not a date"),
        ("set", "mix_there", "maybe", "answer", "no such one; take one of no, yes"),
        ("mix", "amount", "0 L", "mixed", "an amount above zero"),
        ("mix", "share", "nan", "mixed", "a share is 0 to 1"),
        ("mix", "temperature", "90 degC", "mixed", "the blend model holds from"),
        ("mix", "have", "6 L", "mixed", "amount and strength come together"),
        ("check", "density", "9 kg/m3", "checked", "is no blend's"),
        ("check", "temperature", "20", "checked", "no unit"),
    )],
    *[("day", f"day-tool-{tool}-{key}", text, "day-tools-said.children", f"day-tool-{tool}.n_clicks", named)
      for tool, key, text, named in (
        ("shift", "minutes", "x", "write a whole number"),
        ("repeat", "every", "0", "write a number from 1 to 720"),
        ("two", "first", "", "Write the two drivers' names"),
        ("heats", "starts", "25:00", "write times with commas"),
    )],
]  # fmt: skip


def told(folder: Path, page: str, part: Any, text: Any, *, output: str, changed: str) -> TestResponse:
    """What a page's callback says to something typed in a part of it."""
    shown = opened(folder, page)
    shown.type("new-timezone", value="Europe/London")
    if text is not ...:
        shown.type(part, value=text)
    if changed.endswith(".n_clicks"):
        shown.type(changed.removesuffix(".n_clicks"), n_clicks=1)
    return shown.ask(output, changed)


@cache
def sound_sentences(spare: Path, name: str, output: str, changed: str) -> list[str]:
    """What a page says at first, and its callback where nothing was typed."""
    sound = told(spare, name, None, ..., output=output, changed=changed)
    assert sound.status_code in (200, 204)
    return sentences(sound, opened(spare, name).first)


@pytest.fixture
def _no_comparison(monkeypatch: pytest.MonkeyPatch) -> None:
    """A comparison of tanks that is asked for ends at once."""
    monkeypatch.setattr(Job, "start", lambda _: None)


@pytest.mark.usefixtures("_no_comparison")
@pytest.mark.parametrize(("name", "part", "text", "output", "changed", "named"), FORMS)
def test_a_form_that_cannot_be_used_says_what_to_write_and_writes_nothing(
    name: str, part: Any, text: Any, output: str, changed: str, named: str, folder: Path, spare: Path
) -> None:
    before = tree(folder)
    hold(told(folder, name, part, text, output=output, changed=changed), named, folder)
    assert tree(folder) == before
    assert not any(named in one for one in sound_sentences(spare, name, output, changed))


@pytest.mark.usefixtures("_no_comparison")
@pytest.mark.parametrize(
    ("key", "named"), [("../x.toml", "leads out of"), ("events/none.toml", "no such file"), ("", "at least one")]
)
def test_a_day_to_compare_that_there_is_none_of_is_refused_by_its_path(folder: Path, key: str, named: str) -> None:
    before, page = tree(folder), opened(folder, "tank")
    page.parts = {name: part for name, part in page.parts.items() if '"kind":"day"' not in name}
    page.type(part_id("tank-choice", "day", key), value=bool(key))
    page.type("tank-choice-start", n_clicks=1)
    hold(page.ask("tank-choice-job.data", "tank-choice-start.n_clicks"), named, folder)
    assert tree(folder) == before
    assert named not in json.dumps(sentences(page.first))


def test_a_recording_that_cannot_be_read_ends_a_comparison_with_its_place_in_the_workspace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Job, "start", Job.work)
    path = workspace(tmp_path) / EVENT
    path.write_text(path.read_text(encoding="utf-8").replace('course = "loop"', 'course = "meadow"'), encoding="utf-8")
    (tmp_path / LOG).write_bytes(bytes(range(256)) * 20)
    before, page = tree(tmp_path), opened(tmp_path, "tank")
    page.type("tank-choice-start", n_clicks=1)
    assert page.ask("tank-choice-job.data", "tank-choice-start.n_clicks").status_code == 200
    hold(page.ask("tank-choice-outcome.children", "tank-choice-ended.data"), f"{LOG}: holds no table", tmp_path)
    assert tree(tmp_path) == before

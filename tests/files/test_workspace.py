"""The folder that the dashboard works in: what it lists, and that no path leads out of it."""
# ruff: noqa: E501

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import BadInput
from planner.files import workspace as files
from planner.files.saving import open_file, save
from planner.files.workspace import Listing, Workspace
from tests.files.samples import CAR, workspace


@pytest.fixture
def place(tmp_path: Path) -> Workspace:
    workspace(tmp_path / "plums")
    return Workspace(tmp_path / "plums")


def test_cars_events_and_logs_are_found_with_their_names(place: Workspace) -> None:
    assert place.cars() == (Listing("cars/plum.toml", "Plum hatch"),)
    assert place.events() == (Listing("events/day.toml", "Thistle Down sprint", date=date(2026, 5, 16)),)
    assert place.logs() == ("logs/hill-1.csv", "logs/hill-2.csv")
    assert place.broken() == ()


def test_a_file_is_known_by_what_it_holds_not_by_its_folder(place: Workspace) -> None:
    (place.folder / "events" / "sloe.toml").write_text(CAR.replace("Plum hatch", "Sloe"))
    assert [car.name for car in place.cars()] == ["Plum hatch", "Sloe"]
    assert len(place.events()) == 1


@pytest.mark.parametrize(
    ("text", "fault"),
    [("a = ", "not TOML"), ("a = 1", "neither a car nor an event"), ("a = " + "[" * 9999, "not TOML")],
)
def test_a_broken_file_is_listed_with_its_fault(place: Workspace, text: str, fault: str) -> None:
    (place.folder / "cars" / "odd.toml").write_text(text)
    (listing,) = place.broken()
    assert (listing.path, listing.name) == ("cars/odd.toml", "odd")
    assert listing.fault is not None
    assert fault in listing.fault


def test_a_file_is_read_again_only_when_it_changed(place: Workspace, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []
    plain = files.read_text
    monkeypatch.setattr(files, "read_text", lambda path, shown: read.append(shown) or plain(path, shown))
    assert place.cars() == place.cars()
    assert read == ["cars/plum.toml", "events/day.toml"]
    (place.folder / "cars" / "plum.toml").write_text(CAR.replace("Plum hatch", "Sloe saloon"))
    assert [car.name for car in place.cars()] == ["Sloe saloon"]
    assert read[2:] == ["cars/plum.toml"]


def test_a_file_with_faults_of_its_keys_is_listed_all_the_same(place: Workspace) -> None:
    (place.folder / "cars" / "plum.toml").write_text(CAR.replace("0.50", "50"))
    assert [car.path for car in place.cars()] == ["cars/plum.toml"]


def test_hidden_folders_and_the_undo_history_are_not_listed(place: Workspace) -> None:
    opened = open_file(place.folder / "events" / "day.toml")
    opened.document["name"] = "Other"
    save(opened)
    (place.folder / ".git").mkdir()
    (place.folder / ".git" / "x.csv").write_text("")
    assert [event.name for event in place.events()] == ["Other"]
    assert len(place.logs()) == 2


def test_an_empty_or_missing_folder_lists_nothing(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "none"):
        assert Workspace(folder).cars() == Workspace(folder).events() == Workspace(folder).logs() == ()


@pytest.mark.parametrize("path", ["events/day.toml", "events/./day.toml", "logs/hill-1.csv"])
def test_a_path_inside_is_resolved(place: Workspace, path: str) -> None:
    assert place.resolve(path).is_file()


@pytest.mark.parametrize(
    "path",
    [
        "../plums/events/day.toml", "events/../../secret.txt", "/etc/passwd", "..", "events\\..\\..\\secret.txt", "C:/x.toml",
        "C:x.toml", "//host/share/x.toml", "events/day.toml\0", "", " ", ".git/config", "events/.hidden.toml", "\n",
        "events/..", "~/../../x",
    ],
)  # fmt: skip
def test_a_path_that_leads_out_is_refused(place: Workspace, path: str) -> None:
    (place.folder.parent / "secret.txt").write_text("")
    with pytest.raises(BadInput, match="leads out of the workspace"):
        place.resolve(path, exists=False)


def test_a_link_that_leads_out_is_refused_and_not_listed(place: Workspace) -> None:
    outside = place.folder.parent / "outside"
    outside.mkdir()
    (outside / "x.csv").write_text("")
    (place.folder / "logs" / "out").symlink_to(outside)
    (place.folder / "logs" / "out.csv").symlink_to(outside / "x.csv")
    for path in ("logs/out/x.csv", "logs/out.csv"):
        with pytest.raises(BadInput, match="through a link"):
            place.resolve(path)
    assert len(place.logs()) == 2


@given(st.lists(st.sampled_from(["..", ".", "events", "day.toml", "/", "\\", "~", "C:", "", "a"]), max_size=6))
def test_whatever_is_resolved_lies_inside(parts: list[str]) -> None:
    place = Workspace(Path("/nowhere/plums"))
    try:
        found = place.resolve("/".join(parts), exists=False)
    except BadInput:
        return
    assert found.resolve().is_relative_to(place.folder)


def test_a_file_that_is_not_there_is_refused(place: Workspace) -> None:
    with pytest.raises(BadInput, match="no such file in the workspace; choose one from its list"):
        place.resolve("events/night.toml")
    assert place.resolve("events/night.toml", exists=False).name == "night.toml"


def test_path_of_is_the_inverse_of_resolve(place: Workspace) -> None:
    assert place.path_of(place.resolve("events/day.toml")) == "events/day.toml"
    assert place.path_of(place.folder / "events" / ".." / "cars" / "plum.toml") == "cars/plum.toml"
    with pytest.raises(BadInput, match="lies outside the workspace"):
        place.path_of(place.folder.parent / "x.toml")


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("Plum hatch", "cars/plum-hatch.toml"), ("Plum", "cars/plum-2.toml"), ("Żółć / ..\\x", "cars/zoc-x.toml"),
        ("車", "cars/unnamed.toml"), ("con", "cars/con-file.toml"), ("../../etc", "cars/etc.toml"), ("é" * 200, f"cars/{'e' * 60}.toml"),
    ],
)  # fmt: skip
def test_a_free_path_is_plain_and_new(place: Workspace, name: str, path: str) -> None:
    assert place.free_path("cars", name, ".toml") == path


@pytest.mark.parametrize("name", ["a.csv.gz", "b.ZIP", "c.parquet", "d.xlsx"])
def test_a_packed_recording_is_a_recording(place: Workspace, name: str) -> None:
    (place.folder / "logs" / name).write_bytes(b"x")
    assert f"logs/{name}" in place.logs()

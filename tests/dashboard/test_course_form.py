"""An event's courses as a form: what is not touched stays as it is, what is touched is written as it was typed."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from dashboard.presenters import course_draft as drafting
from dashboard.presenters.course_form import apply_courses, drafted_rows, slots_of, windows_of
from planner.errors import BadInput
from planner.files.event_file import parse_courses, read_event
from tests.dashboard.course_days import Page, recorded_day, write_log

EVERY = """
[[course]]
name = "hill"
per = "run"
logs = ["../logs/meadow-1.csv"]
columns = { boost = "boost_kPa" }
ambient = "98 kPa"
split = { windows = [["0 s", "10 s"], ["12 s", "30 s"]] }
"""


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(recorded_day(tmp_path))


def text_of(page: Page) -> str:
    """The text that the file would have."""
    document = tomlkit.parse(page.path.read_text())
    apply_courses(document, page.draft, page.base, page.path.parent)
    return tomlkit.dumps(document)


def test_a_form_that_is_not_touched_leaves_the_file_as_it_is(page: Page) -> None:
    assert text_of(page) == page.path.read_text()


@pytest.mark.parametrize("slot", ["c1", "c2", "c3"])
def test_a_touched_course_keeps_all_that_was_not_changed(page: Page, slot: str) -> None:
    page.path.write_text(page.path.read_text().replace("\n[[course]]", f"{EVERY}\n[[course]]", 1))
    page = Page(page.path)
    before = tomllib.loads(page.path.read_text())["course"]
    page.type(f"{slot}.unknown", "x")
    data = tomllib.loads(text_of(page))
    assert data["course"] == before


def test_comments_and_the_rest_of_the_file_are_kept(page: Page) -> None:
    page.type("c1.per", "run")
    text = text_of(page)
    assert "# the loop, as driven in spring" in text
    assert "# kept with the name" in text
    assert text.replace('per = "run"', 'per = "lap"', 1) == page.path.read_text()


def test_sessions_follow_a_course_to_its_new_name(page: Page) -> None:
    page.type("c2.name", "short loop")
    page.save()
    assert {session.course for session in read_event(page.path).sessions} == {"short loop"}
    assert "# kept too" in page.path.read_text()


def test_a_sketch_is_written_as_it_is_typed_and_empty_cells_are_left_out(page: Page) -> None:
    rows = [{"time": "3 s", "boost": "12 psi", "longitudinal": "", "lateral": "0.5 g"}]
    page.give({"grids": {"c2.pieces": rows}, "values": {"c2.spool": "0.4 s"}})
    course = tomllib.loads(text_of(page))["course"][1]
    assert course["pieces"] == [{"time": "3 s", "boost": "12 psi", "lateral": "0.5 g"}]
    assert course["spool"] == "0.4 s"


def test_another_source_takes_the_place_of_the_old_one(page: Page) -> None:
    page.type("c1.source", "time_at_boost")
    course = tomllib.loads(text_of(page))["course"][0]
    assert course == {"name": "meadow", "per": "lap", "time_at_boost": [["1 bar", "20 s"]]}


@pytest.mark.parametrize(
    ("kind", "text", "split"),
    [
        ("column", "lap", {"column": "lap"}),
        ("stops", "20 s", {"stops_longer": "20 s"}),
        ("windows", "0 s to 9 s; 10 s to 20 s", {"windows": [["0 s", "9 s"], ["10 s", "20 s"]]}),
        ("", "", None),
    ],
)
def test_the_split_is_written_as_the_file_wants_it(page: Page, kind: str, text: str, split: object) -> None:
    page.give({"values": {"c1.split": kind, f"c1.split.{kind}": text}})
    assert tomllib.loads(text_of(page))["course"][0].get("split") == split


@given(st.lists(st.tuples(st.integers(0, 900), st.integers(0, 900)), max_size=5))
def test_windows_are_read_as_they_are_shown(windows: list[tuple[int, int]]) -> None:
    texts = [[f"{start} s", f"{end} s"] for start, end in windows]
    assert windows_of("; ".join(f"{start} to {end}" for start, end in texts)) == texts


def test_courses_come_and_go(page: Page) -> None:
    slot, given_ = drafting.course_added(page.draft, page.base)
    page.give(given_)
    assert slots_of(page.draft, page.base) == ["c1", "c2", slot]
    assert tomllib.loads(text_of(page))["course"][2]["name"] == "New course"
    again, given_ = drafting.course_added(page.draft, page.base)
    page.give(given_)
    assert page.made.names[again] == "New course 2"
    neighbour, given_ = drafting.course_dropped(page.draft, page.base, "c1")
    page.give(given_)
    assert neighbour == "c2"
    page.save()
    assert [course.name for course in read_event(page.path).courses] == ["loop", "New course", "New course 2"]


def test_a_course_that_is_driven_cannot_be_taken_away(page: Page) -> None:
    assert drafting.why_not_dropped(page.made, "c2").startswith("Session 1, Session 2, Session 3 and 1 more drive it;")
    assert drafting.why_not_dropped(page.made, "c1") == ""


def test_an_event_keeps_a_course(page: Page) -> None:
    page.give({"values": {"courses": ""}})
    with pytest.raises(BadInput, match="an event needs a course; keep one"):
        text_of(page)


def test_recordings_are_attached_once_and_detached_by_their_place(page: Page) -> None:
    page.give(drafting.logs_attached(page.draft, page.base, "c1", ["../logs/x.csv", "../logs/meadow-1.csv"]))
    page.give(drafting.log_detached(page.draft, page.base, "c1", 0))
    rows = drafted_rows(tomllib.loads(page.path.read_text()), page.draft, page.base, page.path.parent)
    assert rows[0]["logs"] == ["../logs/meadow-2.csv", "../logs/x.csv"]


def test_recordings_take_the_place_of_a_sketch(page: Page) -> None:
    write_log(page.path.parents[1] / "logs/new.csv")
    page.give(drafting.logs_attached(page.draft, page.base, "c2", ["../logs/new.csv"]))
    course = tomllib.loads(text_of(page))["course"][1]
    assert course["logs"] == ["../logs/new.csv"]
    assert "pieces" not in course


def test_a_new_course_is_named_after_its_recordings(page: Page) -> None:
    _, given_ = drafting.course_added(page.draft, page.base, ["../logs/fog-lane-12.csv.gz"])
    assert given_["values"]["n1.name"] == "Fog lane"


def test_faults_stand_at_their_fields_and_cells(page: Page) -> None:
    pieces = [{"time": "3 s", "boost": "1 bar"}, {"time": "3 gal", "boost": ""}]
    page.give(
        {"values": {"c1.name": "", "c1.split": "stops", "c1.split.stops": "soon"}, "grids": {"c2.pieces": pieces}}
    )
    made = page.made
    assert "name" in made.fields["c1.name"]
    assert "not a number and a unit" in made.fields["c1.split.stops"]
    assert "not a unit of time" in made.cells["c2.pieces"]["1.time"]
    assert "1.boost" in made.cells["c2.pieces"]
    assert made.courses["c1"] is None


def test_a_missing_recording_is_named_and_leaves_the_other_courses_alone(page: Page) -> None:
    page.type("c1.logs", "../logs/none.csv")
    view = page.view("c1")
    assert view.use is None
    assert any("no such file" in text for text in view.sentences)
    assert page.view("c2").use is not None


def test_courses_are_read_alone_where_the_rest_of_the_event_has_faults(page: Page) -> None:
    text = page.path.read_text().replace('start = "09:00"', 'start = "nine"').replace('"14 psi"', '"14 gal"')
    courses, faults = parse_courses(text, page.path)
    assert [course and course.name for course in courses] == ["meadow", None]
    assert {fault.key for fault in faults} == {"course[2].pieces[1].boost"}


@pytest.mark.parametrize(
    "row", ["logs = 5", "time_at_boost = 7", 'split = { windows = 3 }\nlogs = ["a.csv"]', 'pieces = "x"', "name = 4"]
)
def test_a_file_of_another_shape_still_opens(page: Page, row: str) -> None:
    page.path.write_text(page.path.read_text().replace("\n[[course]]", f"\n[[course]]\n{row}\n\n[[course]]", 1))
    again = Page(page.path)
    assert len(again.made.names) == 3
    assert text_of(again) == page.path.read_text()


def test_a_course_with_faults_keeps_its_measure(page: Page) -> None:
    page.give({"values": {"c1.split": "column"}})
    assert page.view("c1").course is None
    assert page.view("c1").per == "lap"
    page.type("c1.per", "parsec")
    assert page.view("c1").per == "run"


@pytest.mark.parametrize("kind", ["stops", "windows"])
def test_a_split_that_is_chosen_begins_with_an_example(page: Page, kind: str) -> None:
    page.type("c1.split", kind)
    assert "split" in tomllib.loads(text_of(page))["course"][0]
    assert page.view("c1").course is not None


def test_where_recordings_were_put_is_said(page: Page) -> None:
    given_ = drafting.logs_attached(page.draft, page.base, "c1", ["../logs/x.csv"])
    assert drafting.said_attached(given_, "c1", page.draft, page.base, 1).startswith(
        "1 recording is in the course meadow"
    )
    slot, given_ = drafting.course_added(page.draft, page.base, ["../logs/fog-1.csv", "../logs/fog-2.csv"])
    assert drafting.said_attached(given_, slot, page.draft, page.base, 2).startswith(
        "2 recordings are in the course Fog"
    )


def test_a_course_without_recordings_says_what_to_do(page: Page) -> None:
    page.type("c1.logs", "")
    assert page.view("c1").sentences == (
        "It says nothing of the driving yet: add recordings below, or change what it comes from to a sketch.",
    )


@pytest.mark.parametrize("log", ["../../elsewhere.csv", "/etc/hostname", "../logs/link.csv", "a\0b"])
def test_no_recording_from_outside_the_workspace_is_shown_or_saved(tmp_path: Path, log: str) -> None:
    folder = tmp_path / "workspace"
    page = Page(recorded_day(folder))
    write_log(tmp_path / "elsewhere.csv")
    (folder / "logs/link.csv").symlink_to(tmp_path / "elsewhere.csv")
    page.give(drafting.logs_attached(page.draft, page.base, "c1", [log]))
    assert page.view("c1").logs == ()
    assert "lies outside the workspace; copy the recording into its folder first" in page.made.others[0]
    with pytest.raises(BadInput, match="lies outside the workspace"):
        page.save()


def test_a_recording_outside_that_the_file_itself_names_is_read(tmp_path: Path) -> None:
    path = recorded_day(tmp_path / "workspace")
    write_log(tmp_path / "elsewhere.csv")
    path.write_text(path.read_text().replace("../logs/meadow-2.csv", "../../elsewhere.csv"))
    page = Page(path)
    page.type("c1.per", "run")
    assert len(page.view("c1").traces) == 2

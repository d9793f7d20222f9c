"""Columns mapped on the page: tried at once, saved with the course, remembered by header, and used by the plan."""

from __future__ import annotations

import contextlib
import io
import json
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.presenters import course_draft as drafting
from dashboard.presenters.course_form import all_values
from dashboard.presenters.course_mapping import (
    MAPPED,
    field_key,
    header_of,
    mapping_values,
    outline,
    rate_of,
    reading_keys,
    reading_of,
)
from dashboard.presenters.course_options import column_options, header_groups, split_columns
from dashboard.presenters.course_report import question_of
from planner.cli.main import main
from planner.day import use_of_course
from planner.driving.remembered import memory_of, remember, remembered
from planner.event import Reading
from planner.files.event_file import read_day
from tests.dashboard.course_days import Page, recorded_day, undecided, write_log

NAMES = st.sampled_from(["MAP", "-Lat G", "none", "3", "Druck (bar)"])
READINGS = st.builds(
    Reading,
    columns=st.dictionaries(st.sampled_from([one.meaning for one in MAPPED]), NAMES).map(
        lambda found: tuple((one.meaning, found[one.meaning]) for one in MAPPED if one.meaning in found)
    ),
    units=st.sampled_from([(), (("boost", "psi"),), (("time", "ms"), ("boost", "bar"))]),
    absolute=st.sampled_from([None, True, False]),
    rate=st.sampled_from([None, 50.0, 12.5]),
)


@given(READINGS)
def test_a_reading_is_the_same_after_its_form(reading: Reading) -> None:
    assert reading_of("h", mapping_values("h", reading)) == reading


@pytest.mark.parametrize(("text", "rate"), [("50 Hz", 50), ("12,5", 12.5), ("", None), ("fast", None), ("-1", None)])
def test_a_rate_is_read_with_or_without_its_unit(text: str, rate: float | None) -> None:
    assert rate_of(text) == rate


def test_what_is_left_open_leaves_no_key() -> None:
    assert set(reading_keys(Reading()).values()) == {None}


def asking(tmp_path: Path) -> Page:
    """A page with a course of one recording that must be asked about."""
    path = recorded_day(tmp_path)
    undecided(tmp_path / "logs" / "fog.csv")
    page = Page(path)
    page.give(drafting.logs_attached(page.draft, page.base, "c1", ["../logs/fog.csv"]))
    page.give(drafting.log_detached(page.draft, page.base, "c1", 0))
    page.give(drafting.log_detached(page.draft, page.base, "c1", 0))
    return page


def test_what_the_data_do_not_settle_is_asked_and_the_answer_settles_it(tmp_path: Path) -> None:
    page = asking(tmp_path)
    view = page.view("c1")
    question = question_of(view.logs[0])
    assert view.use is None
    assert question is not None
    assert "100.0 to 160.0 kPa" in question.text
    used = {}
    for text, name, value in question.answers:
        page.give(drafting.settled(question.header, name, value))
        answered = page.view("c1")
        assert answered.use is not None, text
        used[value] = answered.use.drawn
    assert used["gauge"] > 2 * used["absolute"]


def test_a_pressure_without_a_unit_is_asked_for_its_unit(tmp_path: Path) -> None:
    page = asking(tmp_path)
    log = tmp_path / "logs" / "fog.csv"
    rows = "".join(f"{0.1 * i:.1f},{1 + (i % 30) / 20:.2f}\n" for i in range(300))
    log.write_text("Time (s),Boost\n" + rows)
    question = question_of(page.view("c1").logs[0])
    assert question is not None
    assert question.answers[0] == ("kPa", "unit.boost", "kPa")


def test_a_saved_answer_is_in_the_file_is_remembered_and_is_what_the_plan_uses(tmp_path: Path) -> None:
    page = asking(tmp_path)
    header = page.view("c1").logs[0].header
    assert header is not None
    page.give(drafting.settled(header, "kind", "absolute"))
    shown = page.view("c1").use
    assert page.save().endswith("remembered for files with the same header.")
    assert tomllib.loads(page.path.read_text())["course"][0]["absolute"] is True
    assert remembered(memory_of(tmp_path / "logs/fog.csv"), header) == Reading(absolute=True)
    event, car = read_day(page.path)
    assert use_of_course(car, event.course("meadow")) == shown


def test_another_file_with_that_header_is_read_so_at_once(tmp_path: Path) -> None:
    page = asking(tmp_path)
    page.give(drafting.settled(str(page.view("c1").logs[0].header), "kind", "absolute"))
    page.save()
    undecided(tmp_path / "logs" / "fog-2.csv", seed=2)
    slot, given_ = drafting.course_added(page.draft, page.base, ["../logs/fog-2.csv"])
    page.give(given_)
    assert page.view(slot).use is not None
    assert page.view(slot).logs[0].reading.absolute is True
    page.save()
    event, car = read_day(page.path)
    assert use_of_course(car, event.course("Fog")).drawn > 0
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["use", str(tmp_path / "cars/plum.toml"), str(tmp_path / "logs/fog-2.csv"), "--json"]) == 0
    assert json.loads(out.getvalue())["use_L"] == pytest.approx(1e3 * page.view("c3").use.injected)


def test_recordings_with_two_headers_are_mapped_each_for_itself(tmp_path: Path) -> None:
    page = asking(tmp_path)
    header = str(page.view("c1").logs[0].header)
    page.give(drafting.logs_attached(page.draft, page.base, "c1", ["../logs/meadow-1.csv"]))
    page.give(drafting.settled(header, "kind", "absolute"))
    assert [log.reading.absolute for log in page.view("c1").logs] == [True, None]
    page.save()
    assert "absolute" not in tomllib.loads(page.path.read_text())["course"][0]
    assert [log.reading.absolute for log in page.view("c1").logs] == [True, None]
    event, car = read_day(page.path)
    assert use_of_course(car, event.course("meadow")) == page.view("c1").use


def test_a_column_can_be_chosen_by_hand_and_left_to_itself_again(tmp_path: Path) -> None:
    path, log = recorded_day(tmp_path), tmp_path / "logs/meadow-1.csv"
    rows = log.read_text().splitlines()
    log.write_text(
        "\n".join(
            [f"{rows[0]},other boost_kPa", *(f"{row},{30 - abs(n % 120 - 60) / 2}" for n, row in enumerate(rows[1:]))]
        )
        + "\n"
    )
    page, header = Page(path), str(header_of(log))
    page.type(field_key(header, "column.boost"), "other boost_kPa")
    recording = page.view("c1").logs[0].recording
    assert recording is not None
    assert recording.trace.boost.max() == pytest.approx(30e3)
    page.save()
    assert remembered(memory_of(log), header) == Reading(columns=(("boost", "other boost_kPa"),))
    page.give(drafting.unmapped(header))
    page.save()
    assert remembered(memory_of(log), header) == Reading()
    assert page.view("c1").logs[0].reading == Reading()


def test_what_is_remembered_shows_in_the_form(tmp_path: Path) -> None:
    path = recorded_day(tmp_path)
    log = tmp_path / "logs/meadow-1.csv"
    header = str(header_of(log))
    remember(memory_of(log), header, Reading(units=(("boost", "psi"),)))
    page = Page(path)
    assert page.base["values"][field_key(header, "unit.boost")] == "psi"
    assert page.view("c1").logs[0].reading.units == (("boost", "psi"),)


def test_the_choices_offer_every_column_and_signed_ones_both_ways(tmp_path: Path) -> None:
    log = write_log(tmp_path / "logs/x.csv")
    log.write_text(log.read_text().replace("time_s,boost_kPa", "Time,Boost (kPa)"))
    found = outline(log)
    assert found is not None
    by_meaning = {one.meaning: one for one in MAPPED}
    boost = [option["value"] for option in column_options(found, by_meaning["boost"], "")]
    assert boost == ["", "none", "Time", "Boost (kPa)"]
    lateral = [option["value"] for option in column_options(found, by_meaning["lateral"], "7")]
    assert lateral == ["", "Time", "Boost (kPa)", "-Time", "-Boost (kPa)", "7"]


def test_wide_files_are_offered_in_full_for_time_and_boost_alone(tmp_path: Path) -> None:
    path = recorded_day(tmp_path)
    more = [f"extra {number}" for number in range(100)]
    rows = "".join(f"{0.1 * i:.1f},{i % 90}" + ",1" * 100 + "\n" for i in range(200))
    (tmp_path / "logs/meadow-1.csv").write_text(",".join(["time_s", "boost_kPa", *more]) + "\n" + rows)
    page = Page(path)
    view = page.view("c1")
    group = header_groups(view, all_values(page.draft, page.base))[0]
    offered = {one.label: one.options for one in group.fields}
    assert len(offered["Time"] or []) > 100
    assert offered["Barometer"] is None
    assert split_columns(view, "")[1]["value"] == "time_s"


def test_a_folder_that_cannot_be_written_is_told_and_the_event_is_saved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = asking(tmp_path)
    page.give(drafting.settled(str(page.view("c1").logs[0].header), "kind", "gauge"))

    def refused(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(drafting, "remember", refused)
    assert "could not be remembered (Permission denied); mend the folder's permissions" in page.save()
    assert tomllib.loads(page.path.read_text())["course"][0]["absolute"] is False

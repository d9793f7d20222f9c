"""What the page Courses says and draws: the command line's use, no peak lost, gaps open, every word the page's own."""

from __future__ import annotations

import contextlib
import io
import json
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.figures.course_figure import STEPS, bands_figure, line_style, time_figure
from dashboard.figures.template import DARK, LIGHT
from dashboard.presenters.course_answer import (
    answer_note,
    answer_parts,
    courses_table,
    own_variation,
    runs_table,
    seconds,
)
from dashboard.presenters.course_options import picture_key, shape_of
from dashboard.presenters.course_picture import (
    MOST_RUNS,
    band_edges,
    bands_table,
    below_said,
    course_picture,
    places_kept,
    roles,
    time_table,
)
from dashboard.presenters.course_report import (
    fault_words,
    files_table,
    merged_notices,
    outline_table,
    report_of,
)
from dashboard.presenters.display import Display
from dashboard.presenters.planner_words import page_words
from dashboard.presenters.whence import words
from planner.cli.main import main
from planner.driving.trace import Trace
from planner.errors import Fault
from tests.dashboard.course_days import Page, recorded_day, write_log

METRIC = Display("metric")
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def page(tmp_path: Path) -> Page:
    return Page(recorded_day(tmp_path))


def printed(*arguments: str) -> dict:
    """What a command prints as JSON."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main([*arguments, "--json"]) == 0
    return json.loads(out.getvalue())


def test_the_answer_is_the_mean_of_what_the_command_line_prints(page: Page) -> None:
    folder = page.path.parents[1]
    logs = [str(folder / f"logs/meadow-{n}.csv") for n in (1, 2)]
    used = printed("use", str(folder / "cars/plum.toml"), *logs)
    mean = (used["use_L"] + used["siphon_L"]) / 2
    assert words(answer_parts(page.view("c1"), METRIC)).startswith(f"A lap of meadow takes {mean:.3f}\u202fL, give or")
    runs = runs_table(page.view("c1"), METRIC)
    assert [words(row.cells[0]) for row in runs.rows] == [f"{run['use_L']:.3f}\u202fL" for run in used["runs"]]


def test_the_note_says_how_much_the_day_asks_of_the_course(page: Page) -> None:
    view = page.view("c2")
    planned = printed("plan", str(page.path))
    assert view.use is not None
    assert answer_note(view, METRIC).endswith(
        f"4 sessions drive 40 laps of it: about {planned['mean_use_L']:.1f}\u202fL in all."
    )
    assert "No session drives it yet" in answer_note(page.view("c1"), METRIC)


def test_a_course_below_the_start_of_injection_takes_none(page: Page) -> None:
    for seed in (1, 2):
        write_log(page.path.parents[1] / f"logs/meadow-{seed}.csv", lift=-30, swing=25, seed=seed)
    assert words(answer_parts(page.view("c1"), METRIC)).startswith("A lap of meadow takes no fluid")
    assert own_variation(page.view("c1")) is None


def test_the_list_marks_the_course_shown(page: Page) -> None:
    rows = courses_table([page.view(slot) for slot in ("c1", "c2")], "c2", METRIC).rows
    assert [row.look for row in rows] == ["", "chosen"]
    assert [words(row.cells[0]) for row in rows] == ["2 recordings", "a sketch"]


def test_a_course_without_a_car_still_shows_its_boost(page: Page) -> None:
    (page.path.parents[1] / "cars/plum.toml").write_text("name = 5\n")
    view = page.view("c1")
    assert view.use is None
    assert page.made.others
    picture = course_picture(view, METRIC)
    assert picture is not None
    assert max(picture.lines[0].boost) > 0.9


@pytest.mark.parametrize(("value", "text"), [(0.04, "0.0\u202fs"), (62.4, "62\u202fs"), (4000.0, "67\u202fmin")])
def test_times_have_the_digits_that_they_deserve(value: float, text: str) -> None:
    assert seconds(value) == text


@given(
    st.lists(st.floats(-1e5, 3e5), min_size=2, max_size=400).map(np.array),
    st.integers(1, 40),
    st.sets(st.integers(0, 398), max_size=8),
)
def test_thinning_keeps_the_ends_the_peaks_and_both_sides_of_gaps(boost: np.ndarray, bins: int, gaps: set[int]) -> None:
    covered = np.ones(boost.size - 1, dtype=bool)
    here = [gap for gap in gaps if gap < covered.size]
    covered[here] = False
    kept = places_kept(boost, covered, bins)
    assert np.all(np.diff(kept) > 0)
    assert {0, boost.size - 1} <= set(kept.tolist())
    assert boost[kept].max() == boost.max()
    assert boost[kept].min() == boost.min()
    assert {place for gap in here for place in (gap, gap + 1)} <= set(kept.tolist())
    assert kept.size <= max(2 * bins + 2, 2 * bins + 6 + 2 * len(here))


def test_a_gap_breaks_the_line(page: Page) -> None:
    log = page.path.parents[1] / "logs/meadow-1.csv"
    rows = log.read_text().splitlines()
    log.write_text("\n".join([*rows[:100], *rows[200:]]) + "\n")
    picture = course_picture(page.view("c1"), METRIC)
    assert picture is not None
    line = next(line for line in picture.lines if line.label == "meadow-1")
    assert np.isnan(line.boost).sum() == np.isnan(line.time).sum() == 1
    assert report_of(page.view("c1").logs[0], METRIC).gaps is not None
    assert "1 gap of 10" in report_of(page.view("c1").logs[0], METRIC).says


@pytest.mark.parametrize("system", ["metric", "us", "imperial"])
def test_the_bands_hold_all_the_time_and_have_round_edges(page: Page, system: str) -> None:
    display = Display(system)
    for slot in ("c1", "c2"):
        view = page.view(slot)
        picture = course_picture(view, display)
        assert picture is not None
        bands = picture.bands
        recorded = sum(trace.recorded for trace in view.traces) / len(view.traces)
        assert sum(bands.seconds) + bands.seconds_below == pytest.approx(recorded, abs=0.01 * len(bands.seconds))
        edges = np.array([display.number(edge / 1e3, "pressure") for edge in band_edges(view.traces, display)])
        assert np.allclose(edges / bands.width, np.round(edges / bands.width), atol=1e-6)
        assert len(bands_table(picture, display).rows) == len(bands.seconds) + (bands.seconds_below >= 0.05)


def test_a_course_in_vacuum_alone_is_drawn_too(page: Page) -> None:
    page.give({"grids": {"c2.pieces": [{"time": "9 s", "boost": "-8 psi"}]}})
    picture = course_picture(page.view("c2"), METRIC)
    assert picture is not None
    assert sum(picture.bands.seconds) == pytest.approx(9)
    assert below_said(picture) == ""


def test_per_minute_the_bands_add_up_to_a_minute(page: Page) -> None:
    page.give({"values": {"c2.per": "minute"}})
    picture = course_picture(page.view("c2"), METRIC)
    assert picture is not None
    assert sum(picture.bands.seconds) + picture.bands.seconds_below == pytest.approx(60, abs=0.05)


def test_the_run_that_takes_most_and_the_one_that_takes_least_stand_out(page: Page) -> None:
    for seed, lift in ((1, 5.0), (2, 15.0), (3, -5.0)):
        write_log(page.path.parents[1] / f"logs/meadow-{seed}.csv", seed=seed, lift=lift)
    page.type("c1.logs", "\n".join(f"../logs/meadow-{seed}.csv" for seed in (1, 2, 3)))
    view = page.view("c1")
    assert roles(view) == ["other", "most", "least"]
    assert "of meadow-2 at" in time_table(view, METRIC).caption


def test_many_runs_stay_small_and_none_is_passed_over_in_silence(page: Page) -> None:
    write_log(page.path.parents[1] / "logs/meadow-1.csv", rows=60_000)
    windows = "; ".join(f"{150 * k} s to {150 * k + 140} s" for k in range(40))
    page.give({"values": {"c1.logs": "../logs/meadow-1.csv", "c1.split": "windows", "c1.split.windows": windows}})
    view = page.view("c1")
    picture = course_picture(view, METRIC)
    assert picture is not None
    assert len(view.traces) == 40
    assert (len(picture.lines), picture.left_out) == (MOST_RUNS, 40 - MOST_RUNS)
    assert {"most", "least"} <= {line.role for line in picture.lines}
    assert len(time_figure(picture, "light").to_json()) + len(bands_figure(picture, "light").to_json()) < 200_000


def test_every_role_of_a_run_has_a_look_of_its_own() -> None:
    for palette in (LIGHT, DARK):
        looks = [tuple(line_style(role, palette).items()) for role in STEPS]
        assert len(set(looks)) == len(STEPS)
        assert line_style("most", palette)["dash"] != line_style("least", palette)["dash"]


def test_the_figures_have_boost_above_flow_on_one_axis(page: Page) -> None:
    picture = course_picture(page.view("c1"), METRIC)
    for figure in (time_figure(picture, "dark", zoom=True), bands_figure(picture, "light")):
        assert figure.layout.yaxis.domain[0] > figure.layout.yaxis2.domain[1]
        assert figure.layout.xaxis.anchor == "y2"
    assert time_figure(picture, "light").layout.xaxis.fixedrange
    assert "flow, mL/min" in bands_figure(picture, "light").layout.yaxis2.title.text


def test_pictures_are_drawn_anew_for_what_changes_them_alone(page: Page) -> None:
    settings = {"units": "metric", "theme": "light"}
    first, shape = picture_key(page.view("c2"), settings), shape_of(page.view("c2"), page.made, page.draft, page.base)
    assert picture_key(page.view("c2"), settings) == first
    assert picture_key(page.view("c2"), {**settings, "theme": "dark"}) != first
    page.give({"grids": {"c2.pieces": [{"time": "9 s", "boost": "8 psi"}]}})
    assert picture_key(page.view("c2"), settings) != first
    assert shape_of(page.view("c2"), page.made, page.draft, page.base) == shape
    page.type("c2.source", "time_at_boost")
    assert shape_of(page.view("c2"), page.made, page.draft, page.base) != shape


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        (
            'the other way round is --column lateral="-Lat G".',
            'the other way round is "Lat G, sign reversed" under Columns.',
        ),
        (
            'the other way round is --column "yaw rate=-Gyro.z".',
            'the other way round is "Gyro.z, sign reversed" under Columns.',
        ),
        ("say --column boost=NAME, one of: ", "say the column for boost under Columns, one of: "),
        ("this one with --column boost=MAP2.", 'this one with "MAP2" for boost under Columns.'),
        ("(--unit boost=kg/cm2 confirms it).", "(kg/cm2 as its unit under Columns confirms it)."),
        ("or its unit (--unit boost=)", "or its unit (its unit under Columns)"),
        ("or the rows a second with --rate", "or the rows a second with under Columns"),
    ],
)
def test_the_options_of_the_command_line_become_places_on_the_page(said: str, shown: str) -> None:
    assert page_words(said) == shown


def test_no_sentence_of_the_reader_keeps_an_option() -> None:
    options = re.compile(r"--(?:gauge|absolute|unit|column|ambient|rate|split)")
    lines = [line for path in (ROOT / "planner/driving").glob("*.py") for line in path.read_text("utf-8").splitlines()]
    told = [re.sub(r"\{(\w+)[^}]*\}", r"\1", line.strip()) for line in lines if options.search(line)]
    assert len(told) > 10
    assert [text for text in told if options.search(page_words(text))] == []


def test_a_fault_is_told_as_one_sentence() -> None:
    remedy = "no manifold holds that; choose another column with --column boost=NAME"
    fault = Fault("/somewhere/x.csv", 'column "MAP"', "900 kPa", remedy)
    assert fault_words(fault) == (
        'Column "MAP" (900 kPa): no manifold holds that; choose another column with the column for boost under Columns.'
    )


def test_every_file_has_a_row_and_a_notice_that_all_share_is_told_once(page: Page) -> None:
    reports = [report_of(log, METRIC) for log in page.view("c1").logs]
    assert [words(row.head) for row in files_table(reports).rows] == ["meadow-1.csv", "meadow-2.csv"]
    assert [words(cell) for cell in files_table(reports).rows[0].cells] == [
        "40\u202fs", "none", "0.1 s", "gauge", "none", "not recorded"
    ]  # fmt: skip
    outlined = outline_table(page.view("c1").logs[0])
    assert outlined is not None
    assert [(words(row.head), words(row.cells[0])) for row in outlined.rows] == [
        ("time_s", "time"),
        ("boost_kPa", "boost"),
    ]


def test_notices_name_their_files_where_not_all_share_them(page: Page) -> None:
    one, two = (report_of(log, METRIC) for log in page.view("c1").logs)
    shared = [_noticed(one, "Both."), _noticed(two, "Both.", "Alone.")]
    assert merged_notices(shared) == ["Both.", "meadow-2.csv: Alone."]


def _noticed(report: object, *notices: str) -> object:
    from dataclasses import replace  # the report's own class is not needed otherwise

    return replace(report, notices=notices)  # type: ignore[type-var]


def test_a_file_that_cannot_be_read_is_told_and_leaves_the_others(page: Page) -> None:
    (page.path.parents[1] / "logs/meadow-2.csv").write_text("soup, bread\n" * 30)
    view = page.view("c1")
    reports = [report_of(log, METRIC) for log in view.logs]
    assert view.use is None
    assert [report.broken for report in reports] == [False, True]
    assert "olds no table of numbers" in reports[1].says
    assert words(answer_parts(view, METRIC)) == "What a lap of meadow takes cannot be said yet."
    assert page.view("c2").use is not None


def test_boost_beyond_the_flow_curve_is_refused_in_words(page: Page) -> None:
    write_log(page.path.parents[1] / "logs/meadow-2.csv", lift=900)
    assert page.view("c1").use is None
    assert "kPa" in report_of(page.view("c1").logs[1], METRIC).says


def test_a_run_is_drawn_with_its_peak() -> None:
    boost = np.zeros(10_000)
    boost[7_321] = 150e3
    trace = Trace(np.arange(10_000) / 100, boost, None, None, np.ones(9_999, dtype=bool))
    assert 7_321 in places_kept(trace.boost, trace.covered, 50)

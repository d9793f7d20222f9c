"""The page Courses as the server gives it: small, in its own words, for recordings as people have them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import plotly.utils
import pytest

from dashboard.app import create_app
from dashboard.pages import courses
from dashboard.presenters.view import view_of
from dashboard.presenters.workspace import Workspace
from tests.dashboard.course_days import recorded_day, undecided, write_log
from tests.dashboard.test_app import router

SHARED = Path(__file__).resolve().parents[3] / "shared" / "data"
LARGEST = 300_000  # bytes of the whole page
FILES = (
    "kit-obd-2017-07-11-gaps.csv",
    "kit-obd-2017-08-01-time-step-back.csv",
    "kit-obd-2017-08-07-motorway.csv",
    "kit-obd-2018-02-23-bursts.csv",
    "obd-naturally-aspirated.csv",
    "track-acceleration-100hz.csv",
)


def shown(folder: Path, **settings: str) -> str:
    """The page as the browser gets it."""
    return str(router(create_app(folder).server.test_client(), "/courses", settings=settings).get_data(as_text=True))


@pytest.mark.parametrize("name", FILES)
def test_a_real_recording_is_shown_or_refused_in_the_pages_own_words(tmp_path: Path, name: str) -> None:
    if not SHARED.is_dir():
        pytest.skip("the shared recordings are not beside this checkout")
    path = recorded_day(tmp_path)
    shutil.copy(SHARED / name, tmp_path / "logs" / name)
    path.write_text(path.read_text().replace('"../logs/meadow-2.csv"', f'"../logs/{name}"'))
    text = shown(tmp_path)
    assert len(text) < LARGEST
    assert "could not be worked out" not in text
    assert not any(option in text for option in ("--column", "--unit", "--gauge", "--absolute", "--ambient", "--rate"))
    assert name in text


def test_an_hour_at_100_hz_is_a_small_page(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    for seed in (1, 2):
        write_log(tmp_path / "logs" / f"meadow-{seed}.csv", seed=seed, rows=360_000)
    text = shown(tmp_path, units="us", theme="dark", screen="narrow")
    assert len(text) < LARGEST


def test_the_answer_is_there_before_any_script_runs(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    text = shown(tmp_path)
    assert text.index("A lap of meadow takes") < text.index("courses-time") < text.index("Change this course")


def parts_of(folder: Path, draft: dict, choice: str | None = None, drawn: str = "") -> dict:
    """The page's parts for a draft."""
    view = view_of(Workspace(folder), "", {"units": "metric"})
    base = courses.course_file(view.workspace).form(courses.event_path(view))
    return courses._parts(view, draft, base, choice, drawn)


def as_text(part: object) -> str:
    return json.dumps(part, cls=plotly.utils.PlotlyJSONEncoder)


def test_pictures_that_stand_already_are_not_sent_again(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    first = parts_of(tmp_path, {})
    again = parts_of(tmp_path, {"values": {"c2.name": "other"}}, None, first["drawn"])
    assert "courses-time" in as_text(first["pictures"])
    assert "courses-time" not in as_text(again["pictures"])
    assert "other" in as_text(again["list"])


def test_a_question_stands_before_the_pictures_with_its_answers_as_buttons(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    undecided(tmp_path / "logs" / "meadow-2.csv")
    text = as_text(parts_of(tmp_path, {})["answer"])
    assert "count from?" in text
    assert "From vacuum (absolute)" in text
    assert "kind|absolute" in text


def test_a_course_with_a_broken_recording_opens_its_columns(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    undecided(tmp_path / "logs" / "meadow-2.csv")
    groups = [json.loads(as_text(part)) for part in parts_of(tmp_path, {})["mapping"]]
    assert [group["props"]["open"] for group in groups] == [False, True]


def test_an_event_without_a_sound_car_says_so_and_keeps_the_fields(tmp_path: Path) -> None:
    recorded_day(tmp_path)
    (tmp_path / "cars/plum.toml").write_text("name = 3\n")
    parts = parts_of(tmp_path, {})
    assert "The car: " in as_text(parts["answer"])
    assert "Counted per" in as_text(parts["editing"])

"""The part of the page Tank that compares tanks: what is asked, what is shown, how it runs and what it hands out."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from dashboard.components import tank_choice_parts as parts
from dashboard.figures.tank_choice_figure import choice_figure, tornado_figure
from dashboard.pages import tank_choice as page
from dashboard.presenters import tank_choice as shown
from dashboard.presenters import tank_choice_changes as changes
from dashboard.presenters.display import Display
from dashboard.presenters.tank_choice_form import asked, form_of
from dashboard.presenters.tank_choice_job import _JOBS, Job, job_of, start_job
from dashboard.presenters.view import View
from dashboard.presenters.whence import Whence, words
from dashboard.presenters.workspace import Workspace
from dashboard.tank_choice_routes import register_tank_choice_routes
from planner.compare_tanks import Days
from planner.compare_tanks.pool import Stopped, Workers
from planner.compare_tanks.run import Question, answered
from planner.errors import BadInput, Fault
from planner.files.looking import ONLY_LOOKING, REFUSAL
from tests.dashboard.days import CAR as CAR_TEXT
from tests.dashboard.days import event_text, write_workspace
from tests.tank_days import DRAWS, days

METRIC, US = Display("metric"), Display("us")


@lru_cache(maxsize=1)
def result() -> dict[str, Any]:
    """A comparison over three days, with other choices."""
    question = Question(Days(days()), tuple(size * 1e-3 for size in (3, 5, 7, 12, 30)), changes=True)
    return answered(question, workers=Workers(1), draws=DRAWS)


@pytest.fixture
def workspace(tmp_path: Path) -> Workspace:
    """Two days of one car and one of another."""
    write_workspace(tmp_path)
    (tmp_path / "cars" / "fig.toml").write_text(CAR_TEXT.replace("Plum hatch", "Fig van"), encoding="utf-8")
    second = event_text().replace('"Moth Meadow"', '"Ant Hill"')
    (tmp_path / "events" / "ant.toml").write_text(second, encoding="utf-8")
    other = second.replace("plum.toml", "fig.toml").replace("Ant Hill", "Wasp Way")
    (tmp_path / "events" / "wasp.toml").write_text(other, encoding="utf-8")
    return Workspace(tmp_path)


@pytest.fixture
def finished(workspace: Workspace) -> Workspace:
    """A workspace whose last comparison is done."""
    job = Job(Question(Days(days())))
    job.result = result()
    _JOBS[workspace.folder] = job
    return workspace


def test_days_of_the_chosen_events_car_are_ticked_and_other_cars_tanks_offered(workspace: Workspace) -> None:
    form = form_of(View(workspace, "events/moth.toml"))
    assert {day.key: day.ticked for day in form.days} == {
        "events/ant.toml": True,
        "events/moth.toml": True,
        "events/wasp.toml": False,
    }
    assert [(tank.label, tank.ticked) for tank in form.tanks] == [("the tank of Fig van", False)]


def _fields(part: Any) -> list[Any]:
    """The components of a part whose ids are plain text."""
    return [one for one in part._traverse() if isinstance(getattr(one, "id", None), str)]


def test_the_form_stands_as_it_was_asked_last(workspace: Workspace) -> None:
    view = View(workspace, "events/moth.toml")
    fresh = form_of(view)
    assert fresh.typed == {"sizes": "", "space": "", "gap": "45 min", "turn": False, "changes": False}
    values = {"days": ["events/wasp.toml"], "tanks": ["cars/fig.toml"], "sizes": "5 L", "gap": "1 h", "turn": True}
    again = form_of(view, asked(workspace, values).values)
    assert [day.key for day in again.days if day.ticked] == ["events/wasp.toml"]
    assert [tank.ticked for tank in again.tanks] == [True]
    assert again.typed == {**fresh.typed, "sizes": "5 L", "gap": "1 h", "turn": True}
    shown_values = {getattr(one, "id", None): getattr(one, "value", None) for one in _fields(parts.settings(again))}
    assert (shown_values["tank-choice-sizes"], shown_values["tank-choice-turn"]) == ("5 L", True)


def test_a_question_is_made_of_what_is_typed(workspace: Workspace) -> None:
    values = {
        "days": ["events/ant.toml", "events/wasp.toml"],
        "tanks": ["cars/fig.toml"],
        "sizes": "1 gal, 8 L",
        "space": "400 mm x 20 cm x 0.2 m",
        "gap": "1 h",
        "turn": True,
        "changes": True,
    }
    question = asked(workspace, values, "events/wasp.toml").question
    assert question is not None
    assert [event.name for event, _ in question.days.events] == ["Wasp Way", "Ant Hill"]
    assert question.days.car.name == "Fig van"
    assert question.capacities == pytest.approx((3.785411784e-3, 8e-3))
    assert question.days.space == pytest.approx((0.4, 0.2, 0.2))
    assert (question.days.long_gap, question.days.may_turn, question.changes) == (60.0, True, True)
    assert [tank.name for tank in question.tanks] == ["Fig van"]


@pytest.mark.parametrize(
    ("values", "name", "words_"),
    [
        ({"sizes": "8"}, "sizes", "no unit"),
        ({"sizes": "900 L"}, "sizes", "0.05 L to 500 L"),
        ({"space": "1 m"}, "space", "length x width x height"),
        ({"space": "1 m x 0 m x 1 m"}, "space", "more than zero"),
        ({"gap": "-3 min"}, "gap", "at least zero"),
        ({"days": []}, "days", "at least one day"),
        ({"days": ["events/none.toml"]}, "days", "none.toml"),
        ({"tanks": ["cars/none.toml"]}, "tanks", "none.toml"),
    ],
)
def test_a_fault_says_what_would_be_right(workspace: Workspace, values: dict, name: str, words_: str) -> None:
    found = asked(workspace, {"days": ["events/moth.toml"], **values})
    assert found.question is None
    assert words_ in found.faults[name]


def test_the_answer_is_the_command_lines_with_each_tank_opening() -> None:
    said = shown.choice_answer(result(), METRIC)
    plain = words(said).replace("\u202f", " ").replace("’", "'")
    assert plain.startswith("For three days ")
    opened = [part for part in said if isinstance(part, Whence)]
    worth = {row["name"] for row in result()["worth"]}
    assert worth <= {one.text.replace("\u202f", " ").replace("’", "'") for one in opened}
    assert all(one.title and one.formula and one.source for one in opened)
    assert f"{result()['smallest_without_stops_L']:.1f} L without a stop" in plain


def test_sizes_are_named_in_the_units_shown() -> None:
    us = words(shown.choice_answer(result(), US))
    assert "gal" in us
    assert "L " not in us.replace("\u202f", " ")
    assert shown.size_text(16.0, METRIC) == "16\u202fL"
    assert shown.size_text(9.24, METRIC) == "9.24\u202fL"
    names = {dot.name for dot in shown.choice_picture(result(), US).dots}
    assert {name for name, _ in shown.trades(result(), US)} <= names


def test_every_tank_has_a_row_and_every_driven_one_a_dot() -> None:
    table = shown.tanks_table(result(), METRIC)
    assert len(table.rows) == len(result()["tanks"])
    assert all(len(row.cells) == len(table.columns) for row in table.rows)
    picture = shown.choice_picture(result(), METRIC)
    driven = [tank for tank in result()["tanks"] if tank["mean_carried_kg"] is not None]
    assert sorted(dot.mass for dot in picture.dots) == pytest.approx(sorted(tank["mean_carried_kg"] for tank in driven))
    assert {dot.look for dot in picture.dots} >= {"worth", "worse", "broken"}
    chosen = [row for row in table.rows if row.look == "chosen"]
    assert len(chosen) == len(result()["worth"])


def test_days_are_told_for_the_tanks_worth_considering() -> None:
    table = shown.days_table(result(), METRIC)
    assert len(table.rows) == len(result()["worth"]) * (1 + len(result()["events"]))
    assert {"suffice", "none needed"} & {words(row.cells[-1]).split(",")[0] for row in table.rows}


def test_a_day_without_a_plan_says_whether_gaps_would_mend_it() -> None:
    day = {**result()["tanks"][0]["events"][0], "feasible": False, "spare_time_min": None}
    assert shown._gaps({**day, "gaps_suffice": False}) == "too few or too short"
    assert shown._gaps({**day, "gaps_suffice": True}) == "no gap would mend it"


def test_what_may_flip_is_a_table_or_nothing() -> None:
    flip: dict[str, Any] = {
        "tank": result()["tanks"][1]["name"],
        "event": "Fern Hill",
        "stops_low": 1,
        "stops_planned": 2,
        "stops_high": None,
        "factor": 1.041,
        "chance": 0.3,
        "settled": [0.7, 0.2],
    }
    sure: dict[str, Any] = {**result()["sureness"], "flips": [flip]}
    table = shown.flips_table({**result(), "sureness": sure}, METRIC)
    assert table is not None
    assert table.rows[0].cells[:4] == ("1", "2", "no plan", "× 1.04")
    assert shown.flips_table({**result(), "sureness": {**sure, "flips": []}}, METRIC) is None


def test_the_tornado_holds_what_moves_use_and_names_what_moves_stops_alone() -> None:
    bars = changes.tornado(result(), METRIC)
    longest = [abs(bar.more) for bar in bars.bars]
    assert longest == sorted(longest, reverse=True)
    assert all(size > 0 for size in longest)
    assert any("second tank" in text and "stop" in text for text in bars.beside)
    assert len(changes.changes_table(result(), METRIC).rows) == len(result()["changes"])
    figure = tornado_figure(bars, "light")
    assert list(figure.data[0].x) == [bar.more for bar in bars.bars]
    assert {note.text for note in figure.layout.annotations} >= {
        text for bar in bars.bars for text in (bar.name, bar.said)
    }
    narrow = tornado_figure(bars, "light", narrow=True)
    assert any("<br>" in note.text for note in narrow.layout.annotations)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_picture_draws_each_dot_once_and_names_those_worth_considering(theme: str) -> None:
    picture = shown.choice_picture(result(), METRIC)
    figure = choice_figure(picture, theme)
    assert sum(len(trace.x) for trace in figure.data) == len(picture.dots)
    named = [text for trace in figure.data for text in trace.text or ()]
    assert named == [f"<b>{dot.name}</b>" for dot in picture.dots if dot.look == "worth"]


def test_a_picture_of_no_driven_tank_is_empty_and_whole() -> None:
    none = replace(shown.choice_picture(result(), METRIC), dots=())
    assert [len(trace.x) for trace in choice_figure(none, "light").data] == [0, 0, 0, 0]


def _quick(question: Question, *, progress: Any, stop: Any, **more: Any) -> dict[str, Any]:
    """A comparison that ends when it is stopped."""
    progress(1, 8)
    for _ in range(400):
        if stop():
            raise Stopped("stopped")
        time.sleep(0.01)
    raise AssertionError("never stopped")


def test_a_job_tells_how_far_it_is_and_stops_on_request(workspace: Workspace, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("dashboard.presenters.tank_choice_job.answered", _quick)
    job, refused = start_job(workspace.folder, asked(workspace, {"days": ["events/moth.toml"]}))
    assert job is not None
    assert refused == ""
    assert job_of(workspace.folder) is job
    assert job.state()["running"]
    job.stop()
    assert (job.stopped, job.running, job.state()["total"]) == (True, False, 8)
    assert "Stopped" in str(parts.outcome(job, View(workspace, None))[0])


def test_a_new_comparison_ends_the_last(workspace: Workspace, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("dashboard.presenters.tank_choice_job.answered", _quick)
    question = asked(workspace, {"days": ["events/moth.toml"]})
    first, second = (start_job(workspace.folder, question)[0] for _ in range(2))
    assert first is not None
    assert second is not None
    assert (first.running, second.running) == (False, True)
    second.stop()


def test_faults_and_a_looking_device_start_nothing(workspace: Workspace) -> None:
    _JOBS.pop(workspace.folder, None)
    assert start_job(workspace.folder, asked(workspace, {"days": []}))[1].startswith("Mend what is marked")
    token = ONLY_LOOKING.set(True)
    try:
        assert start_job(workspace.folder, asked(workspace, {"days": ["events/moth.toml"]})) == (None, REFUSAL)
    finally:
        ONLY_LOOKING.reset(token)
    assert job_of(workspace.folder) is None


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        (BadInput([Fault("a.csv", "boost", "", "holds no pressure")]), "a.csv: boost: holds no pressure"),
        (ValueError(), "details"),
    ],
)
def test_a_failure_becomes_a_card(
    reason: Exception, said: str, workspace: Workspace, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(*_: Any, **__: Any) -> dict[str, Any]:
        raise reason

    monkeypatch.setattr("dashboard.presenters.tank_choice_job.answered", failing)
    job = Job(Question(Days(days())))
    job.work()
    assert said in str(parts.outcome(job, View(workspace, None))[0])


def test_the_part_shows_the_last_comparison_at_once(finished: Workspace) -> None:
    text = str(page.layout(View(finished, "events/moth.toml")).to_plotly_json())
    for word in ("tank-choice-picture", "tank-choice-tornado", "/tank-choice/table.csv", "Compare"):
        assert word in text


def test_everything_that_the_callbacks_read_stands_in_the_part(finished: Workspace) -> None:
    ids = {str(getattr(one, "id", "")) for one in page.layout(View(finished, "events/moth.toml"))._traverse()}
    assert {f"tank-choice-{name}" for name in page.FIELDS} <= ids
    for name in ("start", "job", "ended", "progress", "outcome", "days-fault"):
        assert f"tank-choice-{name}" in ids


def test_the_part_says_what_to_do_before_any_comparison(workspace: Workspace) -> None:
    _JOBS.pop(workspace.folder, None)
    text = str(page.layout(View(workspace, "events/moth.toml")).to_plotly_json())
    assert "Compare sizes over your own days" in text
    assert "tank-choice-picture" not in text


def test_the_table_and_the_picture_are_handed_out(finished: Workspace) -> None:
    server = Flask("tanks")
    register_tank_choice_routes(server, finished)
    client = server.test_client()
    table = client.get("/tank-choice/table.csv")
    assert len(table.get_data(as_text=True).splitlines()) == 1 + 3 * len(result()["tanks"])
    assert "tanks-table.csv" in table.headers["Content-Disposition"]
    assert client.get("/tank-choice/picture.svg").get_data(as_text=True).startswith("<svg")
    assert client.get("/tank-choice/picture.png").data.startswith(b"\x89PNG")
    assert json.loads(client.get("/tank-choice/state").data) == {"running": False, "done": 0, "total": 0}


def test_nothing_is_handed_out_before_a_comparison(workspace: Workspace) -> None:
    _JOBS.pop(workspace.folder, None)
    server = Flask("tanks")
    register_tank_choice_routes(server, workspace)
    client = server.test_client()
    assert client.get("/tank-choice/table.csv").status_code == 404
    assert client.post("/tank-choice/stop").get_json()["running"] is False
    token = ONLY_LOOKING.set(True)
    try:
        assert client.post("/tank-choice/stop").status_code == 403
    finally:
        ONLY_LOOKING.reset(token)

"""The comparison of tanks on the page Tank in a real browser: run, stopped, shown again, and taken away."""

from __future__ import annotations

import json

import pytest
from playwright.sync_api import expect

from tests.browser.served import Served

TANK = "/tank?event=events/teapot-ring-open-day.toml"
PART = "#tank-choice"


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A server of this test alone, that keeps its results beside the test's files."""
    monkeypatch.setattr("dashboard.presenters.tank_choice_job.usual_folder", lambda: tmp_path)
    with Served() as served:
        yield served


def test_sizes_are_compared_shown_again_and_taken_away(visit, own) -> None:
    page = visit(served=own).open(TANK, PART)
    page.get_by_label("Sizes of its own shape").fill("9")
    page.get_by_role("button", name="Compare").click()
    expect(page.locator(PART)).to_contain_text("no unit")
    page.get_by_label("Sizes of its own shape").fill("5 L, 16 L")
    page.get_by_role("button", name="Compare").click()
    expect(page.locator(f"{PART} .answer")).to_contain_text("worth considering", timeout=120_000)
    expect(page.locator("#tank-choice-picture .main-svg").first).to_be_visible()
    expect(page.locator("#tank-choice-bar")).to_have_count(0)
    said = page.locator(f"{PART} .answer").inner_text()
    with page.expect_download() as taken:
        page.get_by_role("link", name="Table, CSV").click()
    assert taken.value.suggested_filename == "tanks-table.csv"
    page.reload()
    expect(page.locator(f"{PART} .answer")).to_have_text(said)


def test_a_comparison_is_stopped(visit, own) -> None:
    page = visit(served=own).open(TANK, PART)
    for tick in page.locator(f"{PART} .tank-choice-set").first.get_by_role("checkbox").all():
        tick.check()
    page.get_by_role("button", name="Compare").click()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator(f"{PART} .answer")).to_contain_text("Stopped", timeout=60_000)
    state = page.evaluate("fetch('/tank-choice/state').then((answer) => answer.text())")
    assert json.loads(state)["running"] is False

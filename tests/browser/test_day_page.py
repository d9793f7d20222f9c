"""The page Day in a real browser: the plan, editing it, and what must not get lost."""

from __future__ import annotations

import contextlib
import io
import json
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from planner.cli.main import main
from tests.browser.served import Served

EVENT = "events/teapot-ring-open-day.toml"
DAY = f"/day?event={EVENT}"
DRAWN = ".js-plotly-plot .main-svg"


@pytest.fixture
def own():
    """A server and folder of this test alone, for what writes files."""
    with Served() as served:
        yield served


def printed(path: Path) -> dict:
    """The plan as the command line prints it."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["plan", str(path), "--json"]) == 0
    return json.loads(out.getvalue())


def plain(text: str) -> str:
    """Text with ordinary spaces."""
    return text.replace("\u202f", " ").replace("\u00a0", " ")


def runs(page: Page, number: int):
    """The cell of a session's runs."""
    return page.get_by_label(f"Runs, session {number}", exact=True)


def type_runs(page: Page, number: int, text: str) -> None:
    """Write a session's runs and leave the cell; the bar says so then."""
    runs(page, number).fill(text)
    runs(page, number).press("Enter")
    expect(page.locator("#day-changes")).to_contain_text("Edited, not saved")


@pytest.mark.parametrize("size", [(390, 844), (1366, 768)], ids=["phone", "laptop"])
def test_the_page_shows_the_command_lines_figures(visit, demo, size) -> None:
    page = visit(size=size).open(DAY, DRAWN)
    text, plan = plain(page.inner_text("#page")), printed(demo.folder / EVENT)
    for fill in plan["refills"]:
        assert f"{fill['mark_mm']:.0f} mm" in text
    assert plan["sessions"][0]["name"] in text
    assert f"bring {plan['bring']['blend_L']:.1f} L" in plain(page.inner_text("#day-answer"))


def test_an_edit_changes_the_answer_at_once_and_the_file_when_saved(own, visit) -> None:
    page = visit(own).open(DAY, DRAWN)
    file, before = own.folder / EVENT, page.inner_text("#day-answer .answer")
    text = file.read_text()
    type_runs(page, 7, "9")
    expect(page.locator("#day-answer .answer")).not_to_have_text(before)
    assert file.read_text() == text
    page.click("#day-save")
    expect(page.locator("#toast")).to_contain_text("Saved to teapot-ring-open-day.toml")
    assert "runs = 9" in file.read_text()
    assert file.read_text().count("\n") == text.count("\n")
    page.click("#day-undo")
    expect(runs(page, 7)).to_have_value("5")
    page.click("#day-save")
    expect(page.locator("#day-changes")).to_contain_text("Nothing to save")
    assert file.read_text() == text


def test_a_reload_loses_nothing_typed(visit) -> None:
    page = visit().open(DAY, DRAWN)
    type_runs(page, 2, "8")
    page.get_by_label("Boost", exact=True).press("ArrowRight")
    expect(page.locator("#day-changes")).to_contain_text("tried only: boost")
    answer = page.inner_text("#day-answer .answer")
    page.reload()
    expect(runs(page, 2)).to_have_value("8")
    expect(page.locator("#day-answer .answer")).to_have_text(answer, use_inner_text=True)
    expect(page.locator("#day-changes")).to_contain_text("tried only: boost")
    page.click("#day-drop")
    expect(runs(page, 2)).to_have_value("5")
    page.click("#day-undo")
    expect(runs(page, 2)).to_have_value("8")


def test_a_reload_right_after_a_key_loses_nothing_typed(visit) -> None:
    page = visit().open(DAY, DRAWN)
    runs(page, 3).fill("2")
    page.reload()
    expect(runs(page, 3)).to_have_value("2")
    expect(page.locator("#day-changes")).to_contain_text("Edited, not saved")


def test_two_tabs_on_one_event_show_one_draft_and_on_two_events_two(visit) -> None:
    visitor = visit()
    one, two, other = (
        visitor.open(DAY, DRAWN),
        visitor.open(DAY, DRAWN),
        visitor.open("/day?event=events/goose-bank-sprint.toml"),
    )
    type_runs(one, 3, "2")
    expect(runs(two, 3)).to_have_value("2")
    type_runs(two, 1, "1")
    expect(runs(one, 1)).to_have_value("1")
    expect(runs(one, 3)).to_have_value("2")
    expect(other.locator("#day-bar")).to_be_hidden()


def test_a_save_in_one_tab_reaches_the_other(own, visit) -> None:
    visitor = visit(own)
    one, two = visitor.open(DAY, DRAWN), visitor.open(DAY, DRAWN)
    type_runs(one, 3, "2")
    one.click("#day-save")
    expect(one.locator("#toast")).to_contain_text("Saved")
    expect(two.locator("#day-changes")).to_contain_text("Nothing to save")
    expect(runs(two, 3)).to_have_value("2")
    type_runs(two, 4, "3")
    two.click("#day-save")
    expect(two.locator("#toast")).to_contain_text("Saved")
    assert [f"runs = {count}" in (own.folder / EVENT).read_text() for count in (2, 3)] == [True, True]


@pytest.mark.parametrize("way", ["mine", "theirs"])
def test_a_change_of_the_file_outside_is_told_and_both_ways_lead_on(own, visit, way: str) -> None:
    page, file = visit(own).open(DAY, DRAWN), own.folder / EVENT
    type_runs(page, 2, "8")
    file.write_text(file.read_text().replace("Teapot Ring open day", "Teapot Ring late day", 1))
    page.click("#day-save")
    expect(page.locator("#day-outside")).to_contain_text("was changed outside since you began")
    expect(page.locator("#day-outside table")).to_contain_text("Teapot Ring late day")
    assert "runs = 8" not in file.read_text()
    page.click(f"#day-{way}")
    expect(page.locator("#day-outside")).to_be_empty()
    expect(runs(page, 2)).to_have_value("8" if way == "mine" else "5")
    if way == "mine":
        page.click("#day-save")
        expect(page.locator("#toast")).to_contain_text("Saved")
        assert "runs = 8" in file.read_text()
    assert "Teapot Ring late day" in file.read_text()


def test_an_open_page_follows_a_change_of_its_file(own, visit) -> None:
    page, file = visit(own).open(DAY, DRAWN), own.folder / EVENT
    file.write_text(file.read_text().replace("runs = 4", "runs = 3", 1))
    page.evaluate("window.dispatchEvent(new Event('focus'))")
    expect(runs(page, 1)).to_have_value("3")


def test_a_restart_of_the_server_in_the_middle_of_editing_loses_nothing(own, visit) -> None:
    visitor = visit(own)
    page = visitor.open(DAY, DRAWN)
    type_runs(page, 7, "6")
    page.wait_for_load_state("networkidle")
    answer = page.inner_text("#day-answer .answer")
    visitor.without_server()
    own.stop()
    runs(page, 7).fill("9")
    runs(page, 7).press("Enter")
    expect(page.locator(".link-lost")).to_be_visible()
    expect(page.locator(".link-lost")).to_contain_text("What you type stays in this browser")
    own.start()
    expect(page.locator(".link-lost")).to_be_hidden()
    expect(page.locator("#day-answer .answer")).not_to_have_text(answer, use_inner_text=True)
    expect(runs(page, 7)).to_have_value("9")
    visitor.without_server(False)
    page.click("#day-save")
    expect(page.locator("#toast")).to_contain_text("Saved")
    assert "runs = 9" in (own.folder / EVENT).read_text()


def test_a_lost_connection_is_told_and_typing_goes_on(visit) -> None:
    visitor = visit()
    page = visitor.open(DAY, DRAWN)
    visitor.without_server()
    visitor.context.set_offline(True)
    runs(page, 1).fill("7")
    runs(page, 1).press("Enter")
    expect(page.locator(".link-lost")).to_be_visible()
    visitor.context.set_offline(False)
    expect(page.locator(".link-lost")).to_be_hidden()
    expect(page.locator("#day-tables tbody tr", has_text="Session 1").first).to_contain_text("7")


def test_the_keyboard_alone_edits_and_opens_a_numbers_source(visit) -> None:
    page = visit().open(DAY, DRAWN)
    number = page.locator("#day-answer .numeral-button").first
    number.focus()
    page.keyboard.press("Enter")
    panel = page.get_by_role("dialog")
    expect(panel).to_be_focused()
    expect(panel).to_contain_text("Highest floor")
    page.keyboard.press("Escape")
    expect(panel).to_have_count(0)
    expect(number).to_be_focused()
    runs(page, 1).focus()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type("3")
    page.keyboard.press("Enter")
    expect(runs(page, 2)).to_be_focused()
    expect(page.locator("#day-changes")).to_contain_text("Edited")
    page.locator("#day-undo").focus()
    page.keyboard.press("Enter")
    expect(runs(page, 1)).to_have_value("4")


def test_units_change_at_once_and_nowhere_in_the_file(visit, demo) -> None:
    page, text = visit().open(DAY, DRAWN), (demo.folder / EVENT).read_text()
    page.get_by_label("Units shown").select_option("us")
    expect(page.locator("#day-answer .answer")).to_contain_text("gal")
    expect(page.locator("#day-picture .ytitle").first).to_have_text("gal")
    expect(page.locator("#day-bar")).to_be_hidden()
    assert (demo.folder / EVENT).read_text() == text


@pytest.mark.parametrize("zone", ["America/Los_Angeles", "Asia/Tokyo"])
def test_times_are_the_events_also_where_the_browser_is_elsewhere(visit, demo, zone: str) -> None:
    page = visit(timezone_id=zone).open(DAY, DRAWN)
    plan = printed(demo.folder / EVENT)
    stop = plan["refills"][1]["by"][11:16]
    expect(page.locator("#day-answer .answer")).to_contain_text(stop)
    ticks = page.locator("#day-picture .xtick text").all_text_contents()
    assert "10:00" in ticks
    expect(page.locator("#day-tables tbody")).not_to_have_count(0)
    assert plan["sessions"][0]["start"][11:16] in page.inner_text("#day-tables")


def test_a_day_without_a_plan_says_why_and_one_click_mends_it(visit, demo) -> None:
    page = visit().open("/day?event=events/gherkin-hour.toml")
    expect(page.locator("#day-answer")).to_contain_text("Stint")
    page.locator("#day-answer .mends button").first.click()
    expect(page.locator("#day-answer .answer")).to_contain_text("Fill to")
    expect(page.locator("#day-changes")).to_contain_text("Tried only: tank")


def test_a_bad_cell_is_marked_and_the_rest_works(visit) -> None:
    page = visit().open(DAY, DRAWN)
    cell = page.get_by_label("Start, session 2", exact=True)
    cell.fill("half past ten")
    cell.press("Enter")
    expect(cell).to_have_attribute("aria-invalid", "true")
    expect(page.locator(".grid .fault")).to_contain_text("not a time of day")
    expect(page.locator("#day-answer")).to_contain_text("cannot be planned as it stands")
    cell.fill("10:05")
    cell.press("Enter")
    expect(page.locator("#day-answer .answer")).to_contain_text("Fill to")


def test_the_tools_change_many_sessions_and_one_undo_takes_it_back(visit) -> None:
    page = visit().open(DAY, DRAWN)
    page.get_by_text("Change many at once").click()
    page.locator("#day-tool-shift-minutes-field").fill("25")
    page.click("#day-tool-shift")
    expect(page.get_by_label("Start, session 1", exact=True)).to_have_value("09:25")
    expect(page.locator("#day-tools-said")).to_contain_text("25 min later")
    page.click("#day-undo")
    expect(page.get_by_label("Start, session 1", exact=True)).to_have_value("09:00")

"""The page Pack in a real browser: the list is ticked off and stays so, settings reach it, the calculators answer."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from planner.cli.main import main
from tests.browser.conftest import Visitor
from tests.browser.served import Served

RING, SPRINT = "events/teapot-ring-open-day.toml", "events/goose-bank-sprint.toml"
ADDRESS = f"/pack?event={RING}"
READY = "#pack-ticks input"


@pytest.fixture
def served() -> Iterator[Served]:
    """A server of its own for each test, since ticks and settings are kept."""
    with Served() as running:
        yield running


def printed(*argv: str | Path) -> dict[str, Any]:
    """The list as the command line prints it."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["pack", *map(str, argv), "--json"]) == 0
    data: dict[str, Any] = json.loads(out.getvalue())
    return data


def line(page: Page, text: str) -> Any:
    """The checkbox of a line of the list."""
    return page.locator("#pack-ticks").get_by_label(text)


def words(page: Page, place: str) -> str:
    return page.inner_text(place).replace("\u202f", " ").replace("\u00a0", " ")


def test_ticks_survive_a_reload_a_restart_and_are_seen_elsewhere(chromium: Browser, served: Served) -> None:
    visitor, other = Visitor(chromium, served), Visitor(chromium, served, size=(390, 844))
    page = visitor.open(ADDRESS, READY)
    data = printed(served.folder / RING)
    expect(page.locator(".pack-count")).to_have_text(f"0 of {len(data['items'])} packed.")
    line(page, "Funnel with a fine strainer").check()
    line(page, "Goggles").check()
    expect(page.locator(".pack-count")).to_have_text(f"2 of {len(data['items'])} packed.")
    expect(page.locator("#pack-ticks")).to_have_attribute("data-waiting", "0")
    page.reload()
    page.wait_for_selector(READY)
    expect(line(page, "Goggles")).to_be_checked()
    phone = other.open(ADDRESS, READY)
    expect(line(phone, "Funnel")).to_be_checked()
    line(phone, "Extinguisher").check()
    expect(line(page, "Extinguisher")).to_be_checked(timeout=9000)
    visitor.without_server()
    other.without_server()
    served.stop()
    line(phone, "Spill kit").check()
    expect(phone.locator(".pack-count")).to_contain_text("not sent yet", timeout=9000)
    served.start()
    expect(line(page, "Spill kit")).to_be_checked(timeout=15000)
    page.goto(f"{served.address}{ADDRESS}")
    page.wait_for_selector(READY)
    assert {item["id"] for item in printed(served.folder / RING)["items"] if item["ticked"]} == {
        "tool/funnel", "safety/goggles", "safety/extinguisher", "safety/spill",
    }  # fmt: skip
    assert visitor.faults + other.faults == []


def test_clearing_asks_nothing_but_can_be_undone(chromium: Browser, served: Served) -> None:
    visitor = Visitor(chromium, served)
    page = visitor.open(ADDRESS, READY)
    line(page, "Funnel").check()
    page.get_by_label("Hide what is packed").check()
    expect(line(page, "Funnel")).to_have_count(0)
    page.get_by_role("button", name="Clear all ticks").click()
    expect(line(page, "Funnel")).not_to_be_checked()
    page.get_by_role("button", name="Undo").click()
    expect(page.locator(".pack-count")).to_contain_text("1 of ")
    expect(page.locator("#pack-ticks")).to_have_attribute("data-waiting", "0")
    assert [item["id"] for item in printed(served.folder / RING)["items"] if item["ticked"]] == ["tool/funnel"]
    assert visitor.faults == []


def test_the_page_is_the_command_lines_list_for_one_event_and_for_two(chromium: Browser, served: Served) -> None:
    visitor = Visitor(chromium, served)
    page = visitor.open(ADDRESS, READY)
    for names in ((RING,), (RING, SPRINT)):
        if len(names) > 1:
            page.locator(".pack-events").get_by_label("Goose Bank").check()
            expect(page.locator("#pack-answer")).to_contain_text("Goose")
        data = printed(*(served.folder / name for name in names))
        said, listed = words(page, "#pack-answer"), words(page, "#pack-ticks")
        assert f"{data['fluid_mass_kg']:.1f} kg" in said
        for item in data["items"]:
            assert item["text"].replace("degC", "°C") in listed
    page.reload()
    page.wait_for_selector(READY)
    expect(page.locator(".pack-events").get_by_label("Goose Bank")).to_be_checked()
    page.get_by_label("Limits", exact=True).select_option("canada")
    expect(page.locator(".carriage")).to_contain_text("150 kg")
    page.get_by_label("Day's high").fill("31 degC")
    expect(page.locator("#pack-densities")).to_contain_text("the day's")
    page.get_by_label("Night's low").fill("-50 degC")
    expect(page.locator("#pack-answer")).to_contain_text("starts to freeze")
    page.get_by_label("Vehicles").fill("0")
    expect(page.locator(".pack-choice .fault")).to_contain_text("a whole number of vehicles")
    with page.expect_popup() as opened:
        page.get_by_role("link", name="All papers").click()
    assert "take" in opened.value.inner_text("body") or "vehicles" in opened.value.inner_text("body")
    page.get_by_label("Vehicles").fill("2")
    expect(page.locator(".pack-choice .fault")).to_have_count(0)
    page.wait_for_timeout(300)
    with page.expect_popup() as opened:
        page.get_by_role("link", name="All papers").click()
    assert "For the trailer" in opened.value.inner_text("body")
    assert visitor.faults == []


def test_the_calculators_answer_also_without_an_event(chromium: Browser) -> None:
    with Served(empty=True) as served:
        visitor = Visitor(chromium, served)
        page = visitor.open("/pack", "#pack-mixed")
        page.get_by_label("Finished blend").fill("20 L")
        expect(page.locator("#pack-mixed")).to_contain_text("10.36")
        page.get_by_label("Strength", exact=True).fill("fifty")
        expect(page.locator(".pack-mix .fault")).to_contain_text("not a share")
        page.get_by_label("Strength", exact=True).fill("50 %")
        page.get_by_label("Hydrometer reads").fill("926.7 kg/m3")
        expect(page.locator("#pack-checked")).to_contain_text("50.0")
        page.reload()
        page.wait_for_selector("#pack-mixed")
        expect(page.get_by_label("Finished blend")).to_have_value("20 L")
        assert visitor.faults == []


@pytest.mark.parametrize("settings", ["metric.light", "us.dark"])
@pytest.mark.parametrize("size", [(360, 800), (1366, 768)], ids=["phone", "laptop"])
def test_axe_finds_nothing_and_nothing_scrolls_sideways(
    chromium: Browser, demo: Served, size: tuple[int, int], settings: str
) -> None:
    visitor = Visitor(chromium, demo, size=size, settings=settings)
    page = visitor.open(ADDRESS, READY)
    page.eval_on_selector_all("details", "all => all.forEach((one) => { one.open = true; })")
    found = Axe().run(page).response["violations"]
    assert [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in found] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    small = page.evaluate(
        "[...document.querySelectorAll('#page :is(button:not(.numeral-button), select, input:not([type=checkbox]),"
        " .pack-line, .tick, .download)')].filter((e) => e.offsetParent && e.getBoundingClientRect().height < 43.5)"
        ".map((e) => e.outerHTML.slice(0, 80))"
    )
    assert small == []
    assert visitor.faults == []

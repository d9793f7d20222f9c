"""The page Day in a real browser: its figures are the command line's, it fits, and it asks no other host."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from planner.cli.main import main
from tests.browser.served import LAUNCH, Served

EVENT = "events/teapot-ring-open-day.toml"
SIZES = [(390, 844), (1366, 768)]
THEMES = ["light", "dark"]


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    """A server over a private copy of the demo days."""
    with Served() as running:
        yield running


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """The Chromium on the path."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=found, args=LAUNCH)
        yield running
        running.close()


class Watch:
    """What a page must not do: complain on the console, ask another host, or get an error from the server."""

    def __init__(self, page: Page) -> None:
        self.faults: list[str] = []
        page.on("console", lambda said: self.faults.append(said.text) if said.type in ("error", "warning") else None)
        page.on("pageerror", lambda reason: self.faults.append(str(reason)))
        page.on("request", lambda asked: self._asked(asked.url))
        page.on("response", lambda got: self.faults.append(f"{got.status} {got.url}") if got.status >= 400 else None)

    def _asked(self, url: str) -> None:
        if not url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            self.faults.append(f"asked {url}")


def opened(context: BrowserContext, served: Served, event: str = EVENT) -> tuple[Page, Watch]:
    """The page Day of an event, fully drawn."""
    page = context.new_page()
    watch = Watch(page)
    page.goto(f"{served.address}/day?event={event}")
    page.wait_for_selector("#page > *")
    page.wait_for_selector(".js-plotly-plot .main-svg")
    page.wait_for_load_state("networkidle")
    return page, watch


def printed(path: Path) -> dict:
    """The plan as the command line prints it."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        assert main(["plan", str(path), "--json"]) == 0
    return json.loads(out.getvalue())


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("size", SIZES, ids=["phone", "laptop"])
def test_the_page_shows_the_command_lines_figures_without_a_complaint(
    browser: Browser, served: Served, size: tuple[int, int], theme: str
) -> None:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    context.add_cookies(
        [
            {
                "name": "fillmark-settings",
                "value": f"metric.{theme}.{'narrow' if size[0] < 700 else 'wide'}",
                "url": served.address,
            }
        ]
    )
    page, watch = opened(context, served)
    text = page.inner_text("#page").replace("\u202f", " ").replace("\u00a0", " ")
    plan = printed(served.folder / EVENT)
    for fill in plan["refills"]:
        assert f"{fill['mark_mm']:.0f} mm" in text
    assert plan["sessions"][0]["name"] in text
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert watch.faults == []
    context.close()


@pytest.mark.parametrize("theme", THEMES)
def test_axe_finds_nothing_serious(browser: Browser, served: Served, theme: str) -> None:
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    context.add_cookies([{"name": "fillmark-settings", "value": f"metric.{theme}.wide", "url": served.address}])
    page, _ = opened(context, served)
    found = Axe().run(page).response["violations"]
    assert [f"{v['id']}: {v['nodes'][0]['html'][:120]}" for v in found if v["impact"] in ("serious", "critical")] == []
    context.close()


def test_a_day_without_a_plan_says_which_session_and_what_would_mend_it(browser: Browser, served: Served) -> None:
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    page = context.new_page()
    page.goto(f"{served.address}/day?event=events/gherkin-hour.toml")
    page.wait_for_selector("#page > *")
    page.wait_for_function("document.querySelector('#page').innerText.includes('Stint')")
    assert "tank" in page.inner_text("#page").lower()
    context.close()

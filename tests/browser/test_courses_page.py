"""The page Courses in a real browser: the command line's use, uploads with progress, a question, a sketch, undo."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.csv as pa_csv
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from planner.cli.main import main
from tests.browser.served import LAUNCH, Served

EVENT = "events/teapot-ring-open-day.toml"
SIZES = {"phone": (390, 844), "laptop": (1366, 768)}
ROWS = 2_000_000


@pytest.fixture
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


def context_of(browser: Browser, served: Served, size: str = "laptop", theme: str = "light") -> BrowserContext:
    """A browser of a size and theme."""
    width, height = SIZES[size]
    context = browser.new_context(viewport={"width": width, "height": height})
    kept = f"metric.{theme}.{'narrow' if width < 700 else 'wide'}"
    context.add_cookies([{"name": "fillmark-settings", "value": kept, "url": served.address}])
    return context


def opened(context: BrowserContext, served: Served) -> tuple[Page, list[str]]:
    """The page, fully drawn, and the list that collects what it must not do."""
    page, faults = context.new_page(), []
    page.on("console", lambda said: faults.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda reason: faults.append(str(reason)))
    page.on("response", lambda got: faults.append(f"{got.status} {got.url}") if got.status >= 500 else None)
    page.on(
        "request",
        lambda asked: (
            faults.append(asked.url) if not asked.url.startswith((served.address, "data:", "blob:")) else None
        ),
    )
    page.goto(f"{served.address}/courses?event={EVENT}")
    page.wait_for_selector("#courses-time .main-svg")
    page.wait_for_load_state("networkidle")
    return page, faults


def said(page: Page, selector: str = "#courses-answer") -> str:
    """A part's text with plain blanks."""
    return page.inner_text(selector).replace("\u202f", " ").replace("\u00a0", " ")


def awaits(page: Page, text: str, selector: str = "#courses-answer") -> None:
    """Wait until a part holds a text."""
    page.wait_for_function(
        "([part, text]) => (document.querySelector(part)?.innerText || '').replace(/\\u202f/g, ' ').includes(text)",
        arg=[selector, text],
    )


def undecided(path: Path, seed: int) -> Path:
    """A recording whose pressure may be gauge or absolute."""
    time = 0.1 * np.arange(200)
    pressure = 130 + 30 * np.sin(time / 3 + seed)
    rows = "\n".join(f"{t:.1f},{p:.2f}" for t, p in zip(time, pressure, strict=True))
    path.write_text(f"Time (s),Pressure (kPa)\n{rows}\n")
    return path


@pytest.mark.parametrize(("size", "theme"), [("phone", "dark"), ("laptop", "light")])
def test_the_page_shows_the_command_lines_use_and_axe_finds_nothing(
    browser: Browser, served: Served, size: str, theme: str
) -> None:
    context = context_of(browser, served, size, theme)
    page, faults = opened(context, served)
    out, logs = io.StringIO(), sorted(str(log) for log in (served.folder / "logs").glob("teapot-ring-*.csv"))
    with contextlib.redirect_stdout(out):
        assert main(["use", str(served.folder / "cars/teapot.toml"), *logs, "--json"]) == 0
    used = json.loads(out.getvalue())
    assert f"{(used['use_L'] + used['siphon_L']) / len(logs):.3f} L" in said(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    for details in page.query_selector_all("details"):
        details.evaluate("node => { node.open = true; }")
    found = Axe().run(page).response["violations"]
    assert [f"{v['id']}: {v['nodes'][0]['html'][:160]}" for v in found] == []
    assert faults == []
    context.close()


def test_an_upload_asks_what_is_not_settled_and_the_answer_is_remembered(
    browser: Browser, served: Served, tmp_path: Path
) -> None:
    context = context_of(browser, served)
    page, faults = opened(context, served)
    page.select_option("[id='courses-into-field']", "new")
    page.set_input_files("#courses-upload-input", str(undecided(tmp_path / "Fog Lane 1.csv", 0)))
    awaits(page, 'what does "Pressure (kPa)" count from?')
    page.get_by_role("button", name="From vacuum (absolute)").click()
    awaits(page, " L", "#courses-answer .answer")
    page.click("#courses-save")
    awaits(page, "remembered for files with the same header", "#toast")
    text = (served.folder / EVENT).read_text()
    assert "../logs/fog-lane-1.csv" in text
    assert "absolute = true" in text
    page.select_option("[id='courses-into-field']", "new")
    more = [str(undecided(tmp_path / f"Fog Lane {number}.csv", number)) for number in (2, 3)]
    page.set_input_files("#courses-upload-input", more)
    awaits(page, "is in the workspace", "#courses-upload")
    awaits(page, "fog-lane-2.csv", "#courses-editing")
    awaits(page, "fog-lane-3.csv", "#courses-editing")
    awaits(page, " L", "#courses-answer .answer")
    assert "count from" not in said(page)
    assert faults == []
    context.close()


def test_a_file_that_is_no_table_says_so_and_leaves_nothing(browser: Browser, served: Served, tmp_path: Path) -> None:
    context = context_of(browser, served, "phone")
    page, _ = opened(context, served)
    before = sorted(path.name for path in (served.folder / "logs").iterdir())
    (tmp_path / "soup.txt").write_text("onions, broth\n" * 50)
    page.set_input_files("#courses-upload-input", str(tmp_path / "soup.txt"))
    awaits(page, "soup.txt: holds no table of numbers", "#courses-upload")
    assert sorted(path.name for path in (served.folder / "logs").iterdir()) == before
    context.close()


def test_a_sketch_answers_at_once_stays_over_a_reload_and_can_be_undone(browser: Browser, served: Served) -> None:
    context = context_of(browser, served)
    page, faults = opened(context, served)
    page.get_by_role("button", name="Add a course").click()
    awaits(page, "A lap of New course takes")
    first = said(page, "#courses-answer .answer")
    cell = page.get_by_role("textbox", name="Time, boost 1")
    cell.fill("40 s")
    cell.press("Enter")
    page.wait_for_function("text => document.querySelector('#courses-answer .answer').innerText !== text", arg=first)
    page.reload()
    awaits(page, "A lap of New course takes")
    assert page.get_by_role("textbox", name="Time, boost 1").input_value() == "40 s"
    page.click("#courses-undo")
    page.wait_for_function("() => document.querySelector('[aria-label=\"Time, boost 1\"]').value === '20 s'")
    page.get_by_role("button", name="Show Teapot Ring").press("Enter")
    awaits(page, "A lap of Teapot Ring takes")
    page.wait_for_function("() => document.activeElement.getAttribute('aria-label') === 'Shown Teapot Ring'")
    page.get_by_role("button", name="Show New course").press("Enter")
    awaits(page, "A lap of New course takes")
    page.click("#courses-save")
    awaits(page, "Saved to", "#toast")
    assert 'time_at_boost = [["1 bar", "20 s"]]' in (served.folder / EVENT).read_text()
    page.wait_for_load_state("networkidle")
    page.get_by_role("button", name="Delete this course").click()
    awaits(page, "A lap of Teapot Ring takes")
    assert faults == []
    context.close()


@pytest.fixture(scope="module")
def long_recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two million rows: five and a half hours at 100 Hz."""
    time = np.round(0.01 * np.arange(ROWS), 2)
    boost = np.round(50 + 80 * np.sin(time / 7) + 2 * np.sin(time * 3), 1)
    path = tmp_path_factory.mktemp("long") / "Long Night.csv"
    pa_csv.write_csv(pa.table({"time_s": time, "boost_kPa": boost}), path)
    return path


def test_two_million_rows_are_sent_with_progress(browser: Browser, served: Served, long_recording: Path) -> None:
    context = context_of(browser, served)
    page, faults = opened(context, served)
    network = context.new_cdp_session(page)
    network.send("Network.enable")
    rate = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": 12_000_000}
    network.send("Network.emulateNetworkConditions", rate)
    page.evaluate(
        """() => { window.seen = []; new MutationObserver(() => {
          const bar = document.querySelector('#courses-upload progress');
          if (bar) window.seen.push(bar.value);
        }).observe(document.querySelector('#courses-upload'), {subtree: true, childList: true, attributes: true}); }"""
    )
    page.select_option("[id='courses-into-field']", "new")
    page.set_input_files("#courses-upload-input", str(long_recording))
    awaits(page, "is in the workspace: 2 columns", "#courses-upload")
    awaits(page, " L", "#courses-answer .answer")
    seen = page.evaluate("window.seen")
    assert seen == sorted(seen)
    assert len(set(seen)) > 3
    assert (served.folder / "logs/long-night.csv").stat().st_size == long_recording.stat().st_size
    assert faults == []
    context.close()

"""The pages in a real browser: start, bytes on the wire, time to content, time of a click, and thirty clients.

Times hold for the machine they are measured on; a busy one shows its business in the spread.
"""

from __future__ import annotations

import shutil
import statistics
import time
from collections.abc import Iterator, Sequence
from typing import Any

from playwright.sync_api import Browser, BrowserContext, CDPSession, Page, sync_playwright

from dashboard.pages import page_modules
from tests.benchmarks.measure import Row
from tests.benchmarks.page_clients import thirty_clients
from tests.benchmarks.page_server import DEMO, LONG, Process
from tests.browser.served import LAUNCH

CHARTS = {"day", "car", "courses", "tank"}
READY = "#page > *"
DRAWN = ".js-plotly-plot .main-svg"
SLOW_CPU, SLOW_BYTES = 4, 10e6 / 8  # the processor slowed so many times; 10 Mbit/s [bytes/s]
CLICKS = 30
# Sets a control as a person would, and answers when `done` says that the page has followed [ms].
TIMED = """([find, value, done]) => new Promise((told) => {
  const node = document.querySelector(find);
  const proto = node.tagName === "SELECT" ? HTMLSelectElement.prototype : HTMLInputElement.prototype;
  const begin = performance.now();
  const watch = () => { told(performance.now() - begin); };
  if (done === "drawn") {
    const wait = () => {
      const plot = document.querySelector(".js-plotly-plot");
      plot.once ? plot.once("plotly_afterplot", watch) : setTimeout(wait, 5);
    };
    wait();
  } else {
    const target = document.querySelector(done);
    new MutationObserver((_, self) => { self.disconnect(); watch(); })
      .observe(target, { childList: true, subtree: true, characterData: true });
  }
  Object.getOwnPropertyDescriptor(proto, "value").set.call(node, value);
  node.dispatchEvent(new Event(node.tagName === "SELECT" ? "change" : "input", { bubbles: true }));
})"""
# How long the server took for both answers to a move [ms]: waiting and reading, without queueing; null before that.
ANSWERS = """() => {
  const found = performance.getEntriesByType("resource").filter((one) => one.name.includes("_dash-update-component"));
  return found.length < 2 ? null : found.map((one) => one.responseEnd - one.requestStart);
}"""


def p95(values: Sequence[float]) -> float:
    """The value that 95 of 100 stay below."""
    return statistics.quantiles(values, n=20)[-1]


def _context(browser: Browser, process: Process) -> BrowserContext:
    context = browser.new_context(viewport={"width": 1366, "height": 768})
    cookie = {"name": "fillmark-settings", "value": "metric.light.wide", "url": process.address}
    context.add_cookies([cookie])
    return context


class Wire:
    """Counts the bytes that come over the wire to a tab."""

    def __init__(self, page: Page) -> None:
        self.bytes = 0
        self.session: CDPSession = page.context.new_cdp_session(page)
        self.session.send("Network.enable")
        self.session.on("Network.loadingFinished", self._add)

    def _add(self, event: dict[str, Any]) -> None:
        self.bytes += int(event["encodedDataLength"])

    def slow(self) -> None:
        """The processor slowed and 10 Mbit/s from now on."""
        self.session.send("Emulation.setCPUThrottlingRate", {"rate": SLOW_CPU})
        limits = {"offline": False, "latency": 0, "downloadThroughput": SLOW_BYTES, "uploadThroughput": SLOW_BYTES}
        self.session.send("Network.emulateNetworkConditions", limits)


def _visited(page: Page, process: Process, name: str, event: str = DEMO) -> float:
    """Seconds from asking for a page until its content, and its first picture if it has one, is there."""
    begin = time.perf_counter()
    page.goto(f"{process.address}/{name}?event={event}", wait_until="commit")
    page.wait_for_selector(DRAWN if name in CHARTS else READY, state="attached", timeout=60_000)
    return time.perf_counter() - begin


def _goals(name: str) -> tuple[float, float, float]:
    """First visit [MB], content ready [s], and content ready when slowed [s]."""
    return (1.5, 2.5, 7.5) if name in CHARTS else (0.95, 1.5, 4.5) if name == "pit" else (1.2, 2.0, 5.5)


def _page_rows(browser: Browser, process: Process, name: str) -> Iterator[Row]:
    size, ready, slowed = _goals(name)
    first, later, times, slow_times = [], [], [], []
    for _ in range(3):
        context = _context(browser, process)
        page = context.new_page()
        wire = Wire(page)
        times.append(_visited(page, process, name))
        page.wait_for_load_state("networkidle")
        first.append(wire.bytes / 1e6)
        wire.bytes = 0
        _visited(page, process, name)
        page.wait_for_load_state("networkidle")
        later.append(wire.bytes / 1e3)
        context.close()
        context = _context(browser, process)
        page = context.new_page()
        Wire(page).slow()
        slow_times.append(_visited(page, process, name))
        context.close()
    yield Row(f"{name}: first visit on the wire", tuple(first), size, "MB")
    yield Row(f"{name}: later visit on the wire", tuple(later), 100.0, "kB")
    yield Row(f"{name}: content ready", tuple(times), ready, "s")
    yield Row(f"{name}: content ready, processor slowed 4 times, 10 Mbit/s", tuple(slow_times), slowed, "s")


def _click_rows(browser: Browser, process: Process) -> Iterator[Row]:
    context = _context(browser, process)
    page = context.new_page()
    _visited(page, process, "new")
    page.wait_for_load_state("networkidle")
    kinds = ["autocross", "sprint", "attack", "track"]
    spent = [page.evaluate(TIMED, ["#new-kind-field", kinds[turn % 4], "#new-assumed"]) for turn in range(CLICKS)]
    yield Row("click to DOM, all but empty callback, p95", (p95(spent[2:]),), 50.0, "ms")
    _visited(page, process, "day", LONG)
    page.wait_for_load_state("networkidle")
    drawn, answers, begun = [], [], process.processor
    for turn in range(CLICKS):
        page.evaluate("performance.clearResourceTimings()")
        drawn.append(page.evaluate(TIMED, [_slider(page), str(turn % 9), "drawn"]))
        answers.append(sum(page.wait_for_function(ANSWERS).json_value()))
        page.wait_for_timeout(100)  # the browser takes the tables in
        if turn == 8:
            spent_on_new = (process.processor - begun) / 9
    yield Row("day of 20 sessions, what-if moved to fan drawn, p95 (first of each)", (p95(drawn[:9]),), 250.0, "ms")
    yield Row("the same again, plan known, p95", (p95(drawn[9:]),), 250.0, "ms")
    yield Row("day of 20 sessions, one input to all figures and tables, server, p95", (p95(answers[:9]),), 150.0, "ms")
    yield Row("the same, processor time of the server, mean", (spent_on_new,), 150.0, "ms")
    context.close()


def _slider(page: Page) -> str:
    """The selector of the slider of boost, whose id is one of Dash's patterns."""
    found = page.evaluate(
        """[...document.querySelectorAll('.slider')].find((one) => one.textContent.startsWith('Boost')).id"""
    )
    return f"[id='{found}-field']"


def _client_rows(process: Process) -> Iterator[Row]:
    tally = thirty_clients(process.address)
    yield Row("30 clients: errors", (float(len(tally.errors)),), 0.0, "")
    yield Row("30 clients: poll p95", (p95(tally.polls),), 100.0, "ms")
    yield Row("30 clients: memory of the server", (process.memory,), 250.0, "MB")


def rows() -> Iterator[Row]:
    """Every goal of the pages."""
    starts = []
    for _ in range(3):
        with Process() as process:
            starts.append(process.started)
    yield Row("start to first served page", tuple(starts), 1.5, "s")
    with Process() as process, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=LAUNCH)
        for name in (module.PATH.strip("/") for module in page_modules()):
            yield from _page_rows(browser, process, name)
        yield from _click_rows(browser, process)
        browser.close()
    with Process() as process:
        yield from _client_rows(process)

"""What the browser tests of the pages share: one Chromium and one server a module, and tabs that must not complain."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from tests.browser.served import LAUNCH, Served

# What Chromium says of a request that found no server: expected only where a test takes the server away.
NETWORK = ("ERR_CONNECTION", "ERR_INTERNET_DISCONNECTED", "ERR_EMPTY_RESPONSE", "Failed to fetch", "did not respond")


PATIENCE = 15_000  # [ms]
expect.set_options(timeout=PATIENCE)


class Watch:
    """What a page must not do: complain on the console, ask another host, or get an error from the server."""

    def __init__(self, page: Page) -> None:
        self.faults: list[str] = []
        self.network = True
        page.on("console", lambda said: self._said(said.type, said.text))
        page.on("pageerror", lambda reason: self._said("error", str(reason)))
        page.on("request", lambda asked: self._asked(asked.url))
        page.on("response", lambda got: self.faults.append(f"{got.status} {got.url}") if got.status >= 400 else None)

    def _said(self, kind: str, text: str) -> None:
        expected = not self.network and any(word in text for word in NETWORK)
        if kind in ("error", "warning") and not expected:
            self.faults.append(text)

    def _asked(self, url: str) -> None:
        if not url.startswith(("http://127.0.0.1:", "data:", "blob:")):
            self.faults.append(f"asked {url}")


class Visitor:
    """A person with one browser: settings, window, time zone; every tab is watched, all tabs share the storage."""

    def __init__(self, browser: Browser, served: Served, **options: Any) -> None:
        size = options.pop("size", (1366, 768))
        settings = options.pop("settings", "metric.light")
        self.served = served
        self.context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        screen = "narrow" if size[0] < 700 else "wide"
        cookie = {"name": "fillmark-settings", "value": f"{settings}.{screen}", "url": served.address}
        self.context.add_cookies([cookie])
        self.watches: list[Watch] = []

    def open(self, path: str, ready: str = "#page > *") -> Page:
        """A new tab at a path, once `ready` is there and the network is quiet."""
        page = self.context.new_page()
        page.set_default_timeout(PATIENCE)
        self.watches.append(Watch(page))
        page.goto(f"{self.served.address}{path}")
        page.wait_for_selector(ready, state="attached")
        page.wait_for_load_state("networkidle")
        return page

    def without_server(self, lost: bool = True) -> None:
        """Let the tabs say that no server answers, or no longer."""
        for watch in self.watches:
            watch.network = not lost

    @property
    def faults(self) -> list[str]:
        """Everything that any tab complained of."""
        return [fault for watch in self.watches for fault in watch.faults]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """The Chromium on the path."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not found:
        pytest.skip("no Chromium on the path")
    with sync_playwright() as play:
        running = play.chromium.launch(executable_path=found, args=LAUNCH)
        yield running
        running.close()


@pytest.fixture(scope="module")
def demo() -> Iterator[Served]:
    """A server over a private copy of the demo days."""
    with Served() as running:
        yield running


@pytest.fixture
def visit(chromium: Browser, demo: Served) -> Iterator[Any]:
    """Makes visitors of the demo server; the test fails if any of their tabs complained."""
    made: list[Visitor] = []

    def make(served: Served | None = None, **options: Any) -> Visitor:
        made.append(Visitor(chromium, served or demo, **options))
        return made[-1]

    yield make
    for visitor in made:
        visitor.context.close()
    assert [fault for visitor in made for fault in visitor.faults] == []


@pytest.fixture(scope="module")
def empty() -> Iterator[Served]:
    """A server over an empty folder."""
    with Served(empty=True) as running:
        yield running

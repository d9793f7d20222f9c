"""Signing in and sharing in a real browser: a scanned code lets a phone in, an ended session leads to the code."""

from __future__ import annotations

import shutil
import threading

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright
from waitress import create_server

from dashboard.access_codes import Access
from dashboard.app import create_app
from dashboard.network import own_addresses
from tests.browser.served import LAUNCH
from tests.dashboard.days import write_workspace

ACCESS = Access("abcd2345", "wxyz6789", "s" * 64)
CHROMIUM = shutil.which("chromium")
pytestmark = pytest.mark.skipif(not CHROMIUM or not own_addresses(), reason="needs Chromium and a network")


@pytest.fixture(scope="module")
def port(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shared")
    write_workspace(folder)
    server = create_server(create_app(folder, hosts=None, access=ACCESS).server, host="0.0.0.0", port=0, threads=8)
    threading.Thread(target=server.run, daemon=True).start()
    yield server.effective_port
    server.close()


@pytest.fixture(scope="module")
def browser():
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=LAUNCH)
        yield browser
        browser.close()


@pytest.fixture
def tab(browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    tab = context.new_page()
    tab.complaints = []
    tab.on("console", lambda said: tab.complaints.append(said.text) if said.type == "error" else None)
    tab.on("pageerror", lambda reason: tab.complaints.append(str(reason)))
    yield tab
    context.close()


def test_a_scanned_code_lets_a_phone_in_and_an_ended_session_leads_back(tab, port):
    outside = f"http://{own_addresses()[0]}:{port}"
    tab.goto(f"{outside}/day")
    tab.wait_for_selector("#sign-in")
    tab.fill("#code", "ABCD-9999")
    tab.click("button[type=submit]")
    assert "This is not the code" in tab.inner_text("[role=alert]")
    tab.goto(f"{outside}/sign-in?next=/day#abcd-2345")
    tab.wait_for_selector("#page h1, #page .answer")
    assert tab.url == f"{outside}/day"
    tab.context.clear_cookies()
    tab.evaluate("fetch('/pit/board?event=events/moth.toml')")
    tab.wait_for_url("**/sign-in?next=%2Fday")
    assert not [text for text in tab.complaints if "401" not in text]


@pytest.mark.parametrize("size", [(390, 844), (1366, 768)], ids=["phone", "laptop"])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_pages_are_readable_for_everyone(browser, port, size, theme):
    context = browser.new_context(viewport={"width": size[0], "height": size[1]})
    local = f"http://127.0.0.1:{port}"
    context.add_cookies([{"name": "fillmark-settings", "value": f"metric.{theme}.narrow", "url": local}])
    tab = context.new_page()
    for path in ("/sign-in", "/share"):
        tab.goto(local + path)
        assert tab.evaluate("document.documentElement.dataset.theme") == theme
        found = Axe().run(tab).response["violations"]
        assert found == [], [fault["id"] for fault in found]
        assert tab.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        heights = tab.eval_on_selector_all("button, a, input:not([type=hidden])", "all => all.map(e => e.offsetHeight)")
        assert min(heights) >= 44
    context.close()

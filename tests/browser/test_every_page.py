"""Every page that there is, at a phone's and a laptop's size, light and dark: no axe finding, nothing cut."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from dashboard.pages import page_modules

EVENT = "events/teapot-ring-open-day.toml"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PATHS = [module.PATH for module in page_modules()]
# Elements smaller than a finger in both directions, but for links and numbers within a line of text (WCAG 2.5.8).
SMALL = """() => [...document.querySelectorAll('button, select, input, summary, [role=button]')]
  .filter((node) => node.checkVisibility() && !node.closest('p, td, dd, th, .answer, .whence'))
  .map((node) => [node, (node.closest('label') || node).getBoundingClientRect()])
  .filter(([node, box]) => box.width && box.height && box.height < 43.5 && !node.classList.contains('numeral-button'))
  .map(([node, box]) => `${node.outerHTML.slice(0, 90)} ${Math.round(box.width)}x${Math.round(box.height)}`)"""


def findings(page: Page, options: dict[str, Any]) -> list[str]:
    """What axe finds, a line for each element."""
    found = Axe().run(page, options=options).response["violations"]
    return [f"{one['id']}: {node['html'][:140]}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("size", [(390, 844), (1366, 768)], ids=["phone", "laptop"])
@pytest.mark.parametrize("path", PATHS)
def test_a_page_is_accessible_and_fits(visit, path: str, size: tuple[int, int]) -> None:
    page = visit(size=size, settings="metric.light").open(f"{path}?event={EVENT}")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
    assert findings(page, {"runOnly": {"type": "tag", "values": TAGS}}) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    if size[0] < 700:
        assert page.evaluate(SMALL) == []
    page.get_by_role("button", name="Dark theme").click()
    page.wait_for_function("() => document.documentElement.dataset.theme === 'dark'")
    page.wait_for_load_state("networkidle")
    assert findings(page, {"runOnly": {"type": "rule", "values": ["color-contrast"]}}) == []


def test_every_page_of_an_empty_workspace_says_what_to_do(visit, empty) -> None:
    visitor = visit(empty)
    for path in PATHS:
        page = visitor.open(path)
        assert "could not be worked out" not in page.inner_text("#page")
        assert page.inner_text("#page").strip()
        page.close()

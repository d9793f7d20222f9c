"""The page Tank in a real browser: its main path from the answer to a moment, a click, own accelerations, a change."""

from __future__ import annotations

import re

from playwright.sync_api import expect

TANK = "/tank?event=events/teapot-ring-open-day.toml"
DRAWN = "#tank-depth .main-svg"


def test_from_the_answer_to_a_moment_and_own_accelerations(visit) -> None:
    page = visit().open(TANK, DRAWN)
    expect(page.locator("#tank-body .answer")).to_contain_text("On Teapot Ring, starving threatens below")
    said = page.locator("#tank-said")
    expect(said).to_contain_text("Starving: the surface passes")
    expect(page.get_by_role("img", name=re.compile("Side view of the tank from the rear"))).to_be_visible()

    page.get_by_label("Moment", exact=True).press("Home")
    expect(said).to_contain_text("At 0.0 s")
    box = page.locator("#tank-depth .nsewdrag").first.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 0.5 * box["width"], box["y"] + 0.3 * box["height"])
    expect(said).not_to_contain_text("At 0.0 s")
    page.get_by_role("button", name="Worst moment").click()
    expect(said).to_contain_text("Starving: the surface passes")

    page.get_by_label("Fill", exact=True).press("End")
    expect(said).to_contain_text("stays covered while fluid flows")
    page.get_by_label("Seen", exact=True).select_option("from the left")
    expect(page.get_by_role("img", name=re.compile("Side view of the tank from the left"))).to_be_visible()
    page.get_by_label("Recording", exact=True).select_option(label="teapot-ring-2.csv")
    expect(said).to_contain_text(re.compile(r"At \d"))

    page.get_by_label("Accelerations from").select_option(label="two sliders, held steady")
    expect(page.get_by_label("Moment", exact=True)).to_be_hidden()
    page.get_by_label("Cornering", exact=True).press("Home")
    expect(said).to_contain_text("Held steady: a right-hand corner at 1.50 g")


def test_units_keep_the_moment_and_changes_come_with_sentences(visit) -> None:
    page = visit(settings="us.dark", size=(390, 844)).open(TANK, DRAWN)
    expect(page.locator("#tank-body .answer")).to_contain_text("gal")
    expect(page.locator("#tank-changes")).to_contain_text("Gains")
    expect(page.locator("#tank-changes")).to_contain_text("gal: the pickup at the best place")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

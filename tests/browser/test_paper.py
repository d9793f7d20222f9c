"""Papers as Chromium prints them: page by page, nothing cut, and true to size."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from planner.files.dipstick import dipstick_page
from planner.files.label import SHEETS, JugLabel, labels_page
from planner.files.pack_list import all_papers
from planner.files.paper import PAPERS, Paper
from planner.files.print_sheet import print_sheet
from planner.physics.tank import LyingCylinder, UprightCylinder
from planner.planning.packing import Outing, pack_list
from tests.browser.served import LAUNCH
from tests.cars import CAR
from tests.plans import event_of, plan_of

LONG_NAME = "The very long-named Moth Meadow and Lower Bottom open day of the Snail Society"
CYLINDER = replace(CAR, tank=replace(CAR.tank, shape=LyingCylinder(0.25, 0.3, "y")))
BELOW_THE_WORDS = 300  # rows of a strip's page, at 10 a millimetre, that hold its instructions
PX_PER_MM = 96 / 25.4
POINTS_PER_MM = 72 / 25.4

if not shutil.which("chromium"):
    pytest.skip("chromium is not installed", allow_module_level=True)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for all papers."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=LAUNCH)
        yield browser
        browser.close()


@pytest.fixture
def sheet(chromium: Browser) -> Iterator[Page]:
    """An empty page that refuses the network and any script error."""
    page = chromium.new_page()
    outside: list[str] = []
    page.on("request", lambda request: outside.append(request.url) if request.url.startswith("http") else None)
    yield page
    page.close()
    assert outside == []


def _printed(page: Page, html: str) -> bytes:
    page.set_content(html)
    return page.pdf(prefer_css_page_size=True, print_background=False)


def _pages(pdf: bytes) -> int:
    """Pages by the PDF's own page tree."""
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))


def _texts(pdf: bytes, folder: Path) -> list[str]:
    """The text of each page."""
    if not shutil.which("pdftotext"):
        pytest.skip("pdftotext (poppler-utils) is not installed")
    (folder / "paper.pdf").write_bytes(pdf)
    command = ["pdftotext", "-layout", str(folder / "paper.pdf"), "-"]
    text = subprocess.run(command, capture_output=True, check=True).stdout.decode()
    return [" ".join(page.split()) for page in text.split("\f")[:-1]]


@pytest.mark.parametrize("paper", PAPERS.values(), ids=PAPERS.keys())
@pytest.mark.parametrize(("sessions", "days"), [(1, 1), (7, 1), (13, 3), (14, 2), (15, 1), (24, 2), (36, 1)])
def test_a_day_is_one_page_to_its_last_word(
    sheet: Page, tmp_path: Path, sessions: int, days: int, paper: Paper
) -> None:
    event = event_of(sessions, name=LONG_NAME, spread_over=days)
    pdf = _printed(sheet, print_sheet(plan_of(event, CYLINDER), CYLINDER, paper))
    assert _pages(pdf) == 1
    (text,) = _texts(pdf, tmp_path)
    assert LONG_NAME in text
    assert f"{sessions}. Session {sessions}" in text
    assert text.count("Poison centre") == 1
    assert "thin it with much water" in text


def test_the_pages_have_the_papers_size(sheet: Page) -> None:
    for paper in PAPERS.values():
        pdf = _printed(sheet, print_sheet(plan_of(event_of(7)), CAR, paper))
        box = re.search(rb"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)", pdf)
        assert box
        size = [float(side) / POINTS_PER_MM for side in box.groups()]
        assert size == pytest.approx([paper.width, paper.height], abs=0.3)


def test_marks_are_large_enough_for_an_arms_length(sheet: Page) -> None:
    sheet.set_content(print_sheet(plan_of(event_of(10)), CAR))
    size = sheet.evaluate("parseFloat(getComputedStyle(document.querySelector('.day .fill b')).fontSize)")
    assert size / PX_PER_MM >= 4.0  # letters of 3 mm are read at 0.7 m: about 1/200 of the distance, common practice


def test_nothing_on_the_sheet_is_cut_off(sheet: Page) -> None:
    sheet.set_viewport_size({"width": round(PAPERS["a4"].inner_width * PX_PER_MM), "height": 1000})
    sheet.emulate_media(media="print")
    sheet.set_content(print_sheet(plan_of(event_of(12, spread_over=2), CYLINDER), CYLINDER))
    cut = sheet.evaluate(
        "[...document.querySelectorAll('.day td, .day th')].filter(c => c.scrollWidth > c.clientWidth + 1)"
        ".map(c => c.textContent)"
    )
    assert cut == []


def test_all_papers_come_page_by_page(sheet: Page, tmp_path: Path) -> None:
    events = [event_of(7), event_of(5, name="Newt Nook sprint")]
    outings = [Outing(plan_of(event), event, CAR) for event in events]
    texts = _texts(_printed(sheet, all_papers(outings, pack_list(outings))), tmp_path)
    heads = ["Moth Meadow open day", "Newt Nook sprint", "For the trailer", "How to mix", "Methanol 50 % in water"]
    for text, head in zip(texts, heads, strict=False):
        assert text.startswith(head)
    assert [text.count("100 mm from bar to bar") for text in texts[-2:]] == [1, 1]
    assert len(texts) == 7


@pytest.mark.parametrize("name", SHEETS)
def test_every_label_fits_its_place_and_every_sheet_its_page(sheet: Page, name: str) -> None:
    shares = (1.0, 0.7, 0.5, 0.08, 0.0) * 2
    html = labels_page([JugLabel(share, 0.010, "Wed 30 September 2026") for share in shares], SHEETS[name])
    assert _pages(_printed(sheet, html)) == -(-len(shares) // SHEETS[name].count)
    over = sheet.evaluate(
        "[...document.querySelectorAll('.label')].filter(l => l.scrollHeight > l.clientHeight + 1 ||"
        " l.scrollWidth > l.clientWidth + 1).map(l => l.textContent)"
    )
    assert over == []


def _dark_rows(pdf: bytes, folder: Path, columns: slice) -> list[int]:
    """Rows of the page, at 10 a millimetre, that are dark somewhere in these columns."""
    if not shutil.which("pdftoppm"):
        pytest.skip("pdftoppm (poppler-utils) is not installed")
    (folder / "strip.pdf").write_bytes(pdf)
    subprocess.run(
        ["pdftoppm", "-r", "254", "-gray", "-singlefile", str(folder / "strip.pdf"), str(folder / "strip")], check=True
    )
    _, size, _, pixels = (folder / "strip.pgm").read_bytes().split(b"\n", 3)
    width, height = map(int, size.split())
    rows = (pixels[row * width : (row + 1) * width] for row in range(height))
    return [number for number, row in enumerate(rows) if number > BELOW_THE_WORDS and min(row[columns]) < 100]


def test_the_control_line_is_100_mm_on_paper(sheet: Page, tmp_path: Path) -> None:
    pdf = _printed(sheet, dipstick_page(plan_of(event_of(3)), CAR))
    assert _pages(pdf) == 1
    left = 10 * (12 + 120) - 15  # the margin and the line's place; only its bars reach 1.5 mm to its left
    rows = _dark_rows(pdf, tmp_path, slice(left, left + 3))
    assert (rows[-1] - rows[0]) / 10 == pytest.approx(100.0, abs=0.5)


def test_a_mark_is_as_far_from_the_strips_foot_on_paper_as_in_the_tank(sheet: Page, tmp_path: Path) -> None:
    car = replace(CAR, tank=replace(CAR.tank, shape=UprightCylinder(0.2, 0.2)))
    plan = plan_of(event_of(3), car)
    pdf = _printed(sheet, dipstick_page(plan, car))
    outside = 10 * (12 + 4)  # left of the strip's outline, where only the marks reach
    rows = _dark_rows(pdf, tmp_path, slice(outside, outside + 5))
    floor = float(car.tank.shape.level_from_volume(0.6e-3)) * 1e3
    full = float(car.tank.shape.level_from_volume(car.tank.limit)) * 1e3
    assert (rows[-1] - rows[0]) / 10 == pytest.approx(full - floor, abs=1.0)


def test_a_tank_higher_than_the_page_comes_on_several(sheet: Page) -> None:
    car = replace(CAR, tank=replace(CAR.tank, shape=UprightCylinder(0.12, 0.75)))
    assert _pages(_printed(sheet, dipstick_page(plan_of(event_of(3), car), car, PAPERS["letter"]))) == 4

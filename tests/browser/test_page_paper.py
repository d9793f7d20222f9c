"""Pages as Chromium prints them: one or two sheets, vector, nothing cut, black on white from any screen and theme."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from dashboard.figures.template import DARK, LIGHT, on_paper
from dashboard.presenters.pack_choice import choice_of, keep_choice
from dashboard.presenters.workspace import Workspace
from tests.browser.conftest import Visitor
from tests.browser.served import Served
from tests.dashboard.days import EVENT, SESSION, write_workspace

if not all(shutil.which(name) for name in ("pdftotext", "pdfimages", "pdftoppm")):
    pytest.skip("poppler-utils is not installed", allow_module_level=True)

DAYS = {
    "teapot-ring-open-day": ("Teapot Ring open day", "7 Session 7", "▶ Refill to"),
    "goose-bank-sprint": ("Goose Bank two-day sprint", "11 Sun Timed 4", "▶ Refill to"),
}
SCREENS = {"dark phone": ((390, 844), "metric.dark"), "laptop": ((1366, 768), "us.light")}
LISTED = ("Load ", "Funnel with a fine strainer", "Extinguisher", "Spare filter", "Before you mix", "Recipe",
          "Before you refill", "never a drinks bottle")  # fmt: skip


def _run(*command: str) -> str:
    return subprocess.run(command, capture_output=True, check=True).stdout.decode()


def _printed(chromium: Browser, demo: Served, path: Path, *, address: str, screen: str, paper: str) -> list[str]:
    """Print a page to a file; the text of each of its sheets."""
    size, settings = SCREENS[screen]
    visitor = Visitor(chromium, demo, size=size, settings=settings)
    page = visitor.open(address)
    page.wait_for_selector("#page .answer")
    page.pdf(path=path, format=paper, print_background=False)
    visitor.context.close()
    assert visitor.faults == []
    texts = _run("pdftotext", "-layout", str(path), "-").split("\f")[:-1]
    return [" ".join(text.replace("\u202f", " ").split()) for text in texts]


def _assert_on_paper(path: Path, folder: Path) -> None:
    """Vector alone, every word within its sheet, white ground, and no colour."""
    assert len(_run("pdfimages", "-list", str(path)).splitlines()) <= 2  # a heading of two lines and no image
    for sheet in _run("pdftotext", "-bbox", str(path), "-").split("<page ")[1:]:
        width, height = (float(re.search(rf'{name}="([\d.]+)"', sheet)[1]) for name in ("width", "height"))  # type: ignore[index]
        words = re.findall(r'xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)"', sheet)
        assert len(words) > 10
        for left, top, right, bottom in (tuple(map(float, word)) for word in words):
            assert left >= 20
            assert top >= 15
            assert right <= width - 20
            assert bottom <= height - 15
    _run("pdftoppm", "-r", "40", str(path), str(folder / "sheet"))
    for image in sorted(folder.glob("sheet-*.ppm")):
        _, _, _, pixels = image.read_bytes().split(b"\n", 3)
        assert pixels[:3] == b"\xff\xff\xff"
        shades = [pixels[k : k + 3] for k in range(0, len(pixels), 3)]
        assert max(max(shade) - min(shade) for shade in set(shades)) <= 8
        assert sum(shade == b"\xff\xff\xff" for shade in shades) > 0.6 * len(shades)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("name", DAYS)
def test_a_day_prints_whole_on_two_sheets_at_most(
    chromium: Browser, demo: Served, tmp_path: Path, name: str, screen: str, paper: str
) -> None:
    path = tmp_path / "day.pdf"
    texts = _printed(chromium, demo, path, address=f"/day?event=events/{name}.toml", screen=screen, paper=paper)
    assert 1 <= len(texts) <= 2
    for words in (*DAYS[name], "Level over the day", "may starve", "Bring", "Methanol kills or blinds"):
        assert words in " ".join(texts)
    assert "Save" not in " ".join(texts)
    _assert_on_paper(path, tmp_path)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_day_of_twenty_sessions_prints_whole_on_two_sheets(chromium: Browser, tmp_path: Path, paper: str) -> None:
    write_workspace(tmp_path / "days")
    path = tmp_path / "days" / "events" / "moth.toml"
    starts = [(f"{8 + k // 2:02d}:{30 * (k % 2):02d}", k + 1) for k in range(20)]
    rows = [SESSION.format(number=number, start=start, gap="paddock", runs=2) for start, number in starts]
    path.write_text(EVENT + "".join(rows))
    with Served(tmp_path / "days") as served:
        printed = tmp_path / "day.pdf"
        texts = _printed(chromium, served, printed, address="/day", screen="dark phone", paper=paper)
    assert len(texts) == 2
    assert all(f"{number} Session {number} " in " ".join(texts) for number in range(1, 21))
    _assert_on_paper(printed, tmp_path)


SAID = {
    "tank": ("starving threatens below", "The tank at one moment", "washes hardest", "Limits"),
    "car": ("injects from", "Flow against boost", "Nozzles"),
    "courses": ("Teapot Ring", "time, s"),
}


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("name", SAID)
def test_a_page_of_pictures_prints_on_two_sheets_at_most(
    chromium: Browser, demo: Served, tmp_path: Path, name: str, screen: str
) -> None:
    address = f"/{name}?event=events/teapot-ring-open-day.toml"
    texts = _printed(chromium, demo, tmp_path / "page.pdf", address=address, screen=screen, paper="A4")
    assert 1 <= len(texts) <= 2
    for words in SAID[name]:
        assert words in " ".join(texts)
    assert "Which tank to buy" not in " ".join(texts)


def test_pictures_are_light_and_wide_on_paper_and_as_before_on_the_screen_after(
    chromium: Browser, demo: Served
) -> None:
    visitor = Visitor(chromium, demo, size=(390, 844), settings="metric.dark")
    page = visitor.open("/car?event=events/teapot-ring-open-day.toml")
    page.wait_for_selector(".js-plotly-plot .main-svg")
    shown = """(what) => {
      if (what) window.dispatchEvent(new Event(what));
      const plot = document.querySelector(".js-plotly-plot"), { width, template } = plot.layout;
      return [width ?? null, template.layout.font.color, plot.data.map((trace) => trace.line.color)];
    }"""
    before, printed, after = (page.evaluate(shown, what) for what in ("", "beforeprint", "afterprint"))
    visitor.context.close()
    assert before == after
    assert before[:2] == [None, DARK.ink]
    assert printed[:2] == [920, LIGHT.ink]
    assert printed[2] == [on_paper()[color] for color in before[2]]
    assert visitor.faults == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("screen", SCREENS)
def test_the_packing_list_prints_whole_on_two_sheets_at_most(
    chromium: Browser, demo: Served, tmp_path: Path, screen: str, paper: str
) -> None:
    path = tmp_path / "pack.pdf"
    address = "/pack?event=events/teapot-ring-open-day.toml"
    texts = _printed(chromium, demo, path, address=address, screen=screen, paper=paper)
    assert 1 <= len(texts) <= 2
    for words in (*LISTED, "Teapot Ring open day"):
        assert words in " ".join(texts)
    assert "Hide what is packed" not in " ".join(texts)
    _assert_on_paper(path, tmp_path)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_weekend_of_three_cars_prints_whole_on_two_sheets(chromium: Browser, tmp_path: Path, paper: str) -> None:
    events = [f"events/{name}.toml" for name in (*DAYS, "snail-society-autocross")]
    with Served() as served:
        weather = {"day_high": "31 degC", "night_low": "4 degC", "boot": "45 degC", "profile": "canada"}
        keep_choice(Workspace(served.folder), events[0], choice_of(events, weather))
        path = tmp_path / "pack.pdf"
        texts = _printed(chromium, served, path, address=f"/pack?event={events[0]}", screen="dark phone", paper=paper)
    assert len(texts) == 2
    for words in ("Dipstick of Teapot", "Dipstick of Goose", "Dipstick of Turnip", "150 kg", "grows by", "then start"):
        assert words in " ".join(texts)
    _assert_on_paper(path, tmp_path)

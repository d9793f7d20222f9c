"""Small pictures of the pages for a README: `python -m tests.browser.readme_pictures [FOLDER]` (default: .pictures).

What a laptop or a phone shows of the demo days before any scrolling, as PNG.
"""

from __future__ import annotations

import argparse
import shutil
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from tests.browser.served import LAUNCH, Served

LAPTOP, PHONE = (1180, 760), (390, 844)


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture: file name, page with its query, window, theme, and how far to scroll [px]."""

    name: str
    address: str
    size: tuple[int, int] = LAPTOP
    theme: str = "light"
    scroll: int = 0


TRACK, SPRINT = "?event=events/teapot-ring-open-day.toml", "?event=events/goose-bank-sprint.toml"
SHOTS = (
    Shot("day", f"day{TRACK}"),
    Shot("day-dark", f"day{SPRINT}", theme="dark"),
    Shot("day-phone", f"day{TRACK}", PHONE),
    Shot("day-without-a-plan", "day?event=events/gherkin-hour.toml"),
    Shot("car", f"car{TRACK}"),
    Shot("courses", f"courses{TRACK}"),
    Shot("tank", f"tank{TRACK}"),
    Shot("pack", f"pack{TRACK}"),
    Shot("pit-phone", f"pit{TRACK}", PHONE),
)


def main() -> None:
    """Serve the demo days and write every picture."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path, nargs="?", default=Path(".pictures"))
    parser.add_argument("--only", default="", help="only pictures whose name holds this text")
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    with Served() as served, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=LAUNCH)
        for shot in SHOTS:
            if args.only in shot.name:
                _taken(browser, served, shot, args.folder)
        browser.close()


def _taken(browser: Browser, served: Served, shot: Shot, folder: Path) -> None:
    width, height = shot.size
    context = browser.new_context(viewport={"width": width, "height": height})
    screen = "narrow" if width < 700 else "wide"
    cookie = {"name": "fillmark-settings", "value": f"metric.{shot.theme}.{screen}", "url": served.address}
    context.add_cookies([cookie])
    page = context.new_page()
    page.goto(f"{served.address}/{shot.address}")
    page.wait_for_selector("#page > *", timeout=60_000)
    page.wait_for_load_state("networkidle")
    page.mouse.wheel(0, shot.scroll)
    path = folder / f"{shot.name}.png"
    page.screenshot(path=path)
    print(f"{path}: {path.stat().st_size / 1e3:.0f} kB")
    context.close()


if __name__ == "__main__":
    main()

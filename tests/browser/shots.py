"""Photographs every page of a workspace: `python tests/browser/shots.py OUT_FOLDER [WORKSPACE] [--only TEXT]`.

Each page in slices, at a phone's and a laptop's size, light and dark, prints what the console said.
"""

from __future__ import annotations

import argparse
import shutil
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[2]))
from tests.browser.served import LAUNCH, Served

SIZES = {"phone": (390, 844), "laptop": (1366, 768)}
SLICE = 1500  # [px] of a long page on one picture
PAGES = ("day", "car", "courses", "tank", "pack", "pit", "method")


def main() -> None:
    """Serve, photograph, report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("workspace", type=Path, nargs="?")
    parser.add_argument("--only", default="", help="only shots whose name holds this text")
    parser.add_argument("--pages", nargs="*", default=list(PAGES))
    parser.add_argument("--event", default="", help="path of the event within the workspace")
    args = parser.parse_args()
    args.out.mkdir(parents=True, exist_ok=True)
    with Served(args.workspace) as served, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=shutil.which("chromium"), args=LAUNCH)
        for size, (width, height) in SIZES.items():
            for theme in ("light", "dark"):
                for page in args.pages:
                    name = f"{page}-{size}-{theme}"
                    if args.only in name:
                        _shot(browser, served, name, (width, height), theme, page, args)
        browser.close()


def _shot(browser, served, name, size, theme, page, args) -> None:  # type: ignore[no-untyped-def]
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, device_scale_factor=1)
    narrow = "narrow" if size[0] < 700 else "wide"
    cookie = {"name": "fillmark-settings", "value": f"metric.{theme}.{narrow}", "url": served.address}
    context.add_cookies([cookie])
    tab = context.new_page()
    tab.on("console", lambda said: print(name, said.type, said.text[:300]) if said.type != "log" else None)
    tab.on("pageerror", lambda reason: print(name, "error", str(reason)[:300]))
    event = f"?event={args.event}" if args.event else ""
    tab.goto(f"{served.address}/{page}{event}")
    tab.wait_for_selector("#page > *")
    tab.wait_for_load_state("networkidle")
    width, height = size[0], tab.evaluate("document.documentElement.scrollHeight")
    tab.set_viewport_size({"width": width, "height": size[1]})
    for part, top in enumerate(range(0, height, SLICE), 1):
        clip = {"x": 0, "y": top, "width": width, "height": min(SLICE, height - top)}
        tab.screenshot(path=args.out / f"{name}-{part}.png", full_page=True, clip=clip)
    context.close()


if __name__ == "__main__":
    main()

"""A workspace with recordings that the tests of the page Courses share: invented, small."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from dashboard.presenters.course_draft import Drafted, drafted_courses
from dashboard.presenters.course_file import CourseFile, course_file
from dashboard.presenters.course_use import CourseView, course_view
from dashboard.presenters.workspace import Workspace
from tests.dashboard.days import write_workspace

RECORDED = """
# the loop, as driven in spring
[[course]]
name = "meadow"  # kept with the name
per = "lap"
logs = ["../logs/meadow-1.csv", "../logs/meadow-2.csv"]
"""


def write_log(path: Path, *, lift: float = 0.0, swing: float = 70.0, seed: int = 1, rows: int = 400) -> Path:
    """A recording of a lap at 10 Hz: boost between -40 and 100 kPa gauge, lifted so much [kPa]."""
    path.parent.mkdir(parents=True, exist_ok=True)
    time = 0.1 * np.arange(rows)
    boost = 30 + swing * np.sin(time / 3 + 0.05 * seed) + lift
    cells = "\n".join(f"{t:.1f},{b:.2f}" for t, b in zip(time, boost, strict=True))
    path.write_text(f"time_s,boost_kPa\n{cells}\n", encoding="utf-8")
    return path


def undecided(path: Path, seed: int = 1) -> Path:
    """A recording whose pressure may be gauge or absolute: 100 to 160 of its unit, kPa, for 20 s."""
    path.parent.mkdir(parents=True, exist_ok=True)
    time = 0.1 * np.arange(200)
    cells = "\n".join(f"{t:.1f},{130 + 30 * np.sin(t / 3 + seed):.2f}" for t in time)
    path.write_text(f"Time (s),Pressure (kPa)\n{cells}\n", encoding="utf-8")
    return path


def recorded_day(folder: Path) -> Path:
    """The day's event with a course of two recordings before its sketched one."""
    path = write_workspace(folder)
    for seed in (1, 2):
        write_log(folder / "logs" / f"meadow-{seed}.csv", seed=seed)
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace("\n[[course]]", f"{RECORDED}\n[[course]]", 1), encoding="utf-8")
    return path


class Page:
    """The page Courses without a browser: a draft that changes, and what is shown of it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.file: CourseFile = course_file(Workspace(path.parents[1]))
        self.base = self.file.form(path)
        self.draft: dict[str, Any] = {}

    def give(self, given: dict[str, Any]) -> None:
        """Change the draft as the browser does."""
        before = {part: dict(self.draft.get(part) or {}) for part in ("values", "grids")}
        for part in ("values", "grids"):
            self.draft[part] = {**before[part], **given.get(part, {})}
        self.draft["past"] = [*self.draft.get("past", []), {**before, "trial": {}}]
        self.draft.setdefault("fingerprint", self.base["fingerprint"])
        self.draft.setdefault("from", {"values": self.base["values"], "grids": self.base["grids"]})

    def type(self, key: str, text: str) -> None:
        """Type into a field."""
        self.give({"values": {key: text}})

    @property
    def made(self) -> Drafted:
        """What becomes of the draft."""
        return drafted_courses(self.path, self.draft, self.base, self.path.parents[1])

    def view(self, slot: str) -> CourseView:
        """A course as shown."""
        return course_view(self.made, slot)

    def save(self) -> str:
        """Save; the sentence that says so."""
        done = self.file.save(self.path, self.draft, self.base)
        self.draft, self.base = done.draft, done.form
        return done.says

    def undo(self) -> None:
        """Undo one step, as the browser does."""
        *past, last = self.draft["past"]
        self.draft = {**self.draft, **last, "past": past}

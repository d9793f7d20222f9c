"""The event's file as the page Courses edits it: saving also remembers how recordings are read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.course_draft import save_courses
from dashboard.presenters.course_form import PIECE_KEYS, TIME_KEYS, courses_base, slots_of
from dashboard.presenters.course_mapping import header_of_key
from dashboard.presenters.file_page import Done, FilePage, Outside
from dashboard.presenters.form import FieldSpec, GridSpec
from dashboard.presenters.merge import after_save, began_from
from dashboard.presenters.workspace import Workspace

_LABELS = {
    "name": "name", "per": "measure", "source": "comes from", "logs": "recordings", "spool": "spool time",
    "ambient": "air outside", "split": "cut in runs", "split.column": "column that cuts", "split.stops": "stops",
    "split.windows": "start and end times",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class CourseFile(FilePage):
    """The event's file; its fields are as many as it has courses. `inside` is the workspace's folder."""

    inside: Path = Path()

    def save(self, path: Path, draft: Mapping[str, Any], base: Mapping[str, Any]) -> Done:
        """Write a draft to the file and remember its mappings. Raises FillmarkError; nothing is written then."""
        says = save_courses(path, draft, {**base, **began_from(draft, base)}, self.inside)
        form = self.form(path)
        left = after_save(draft, base, form, self.fold)
        return Done(left if _in_place(draft, base) else {**left, "past": []}, form, says)

    def outside(self, path: Path, draft: Mapping[str, Any]) -> Outside | None:
        """What to say where the file changed while a draft of it is being edited; None where it did not."""
        began = draft.get("from") or {"values": {}, "grids": {}}
        specs = tuple(FieldSpec(key, label) for key in began["values"] if (label := _label(key)))
        grids = tuple(GridSpec(key, _columns(key)) for key in began["grids"])
        return FilePage.outside(FilePage(self.page, specs, grids, self.form), path, draft)


def _in_place(draft: Mapping[str, Any], base: Mapping[str, Any]) -> bool:
    """Whether the file's courses stand where they stood, so that earlier steps still mean the same ones."""
    old = [slot for slot in slots_of({}, base) if slot.startswith("c")]
    return slots_of(draft, base)[: len(old)] == old


def _label(key: str) -> str:
    slot, _, name = key.partition(".")
    if header_of_key(key) or name not in _LABELS:
        return ""
    return f"Course {slot.removeprefix('c')}, {_LABELS[name]}"


def _columns(key: str) -> tuple[FieldSpec, ...]:
    names = PIECE_KEYS if key.endswith("pieces") else TIME_KEYS
    return tuple(FieldSpec(name, name.capitalize()) for name in names)


def course_file(workspace: Workspace) -> CourseFile:
    """The page's file, mappings beside the workspace's recordings included."""

    def form(path: Path) -> dict[str, Any]:
        return courses_base(path, [workspace.folder / log for log in workspace.logs()])

    return CourseFile("courses", (), (), form, inside=workspace.folder)

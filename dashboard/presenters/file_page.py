"""What a page that edits a file does with it: save a draft, take a save back, meet a change from outside."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.presenters.form import FieldSpec, GridSpec, reason_text, save_draft
from dashboard.presenters.merge import (
    Draft,
    Fold,
    Form,
    after_save,
    began_from,
    differences,
    differences_table,
    given_up,
    has_edits,
    is_behind,
    on_top,
)
from dashboard.presenters.table import TableData
from planner.errors import BadInput
from planner.files.atomic import fingerprint_of
from planner.files.toml_text import read_content
from planner.files.undo import undo


def as_it_is(draft: Draft, form: Form) -> tuple[dict[str, Any], dict[str, Any]]:
    """The fold of a page that tries nothing: the draft's edits, and no rest."""
    return dict(draft), {}


@dataclass(frozen=True, slots=True)
class Outside:
    """A change of the file from outside: what to say, and what differs (None where the file cannot be read)."""

    says: str
    table: TableData | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """What an action leaves: the draft, the file's form, and a sentence."""

    draft: dict[str, Any]
    form: dict[str, Any]
    says: str


@dataclass(frozen=True, slots=True)
class FilePage:
    """A page's file: its fields and lists, how it is read as a form, and how a draft folds into edits of the file.

    `rest_says` is added to what is said after a save that leaves something tried.
    """

    page: str
    specs: Sequence[FieldSpec]
    grids: Sequence[GridSpec]
    form: Callable[[Path], dict[str, Any]]
    fold: Fold = as_it_is
    rest_says: str = ""

    def save(self, path: Path, draft: Draft, base: Form) -> Done:
        """Write a draft to the file. Raises FillmarkError with what stands in the way; nothing is written then."""
        whole, rest = self.fold(draft, {**base, **began_from(draft, base)})
        says = save_draft(path, whole, self.specs, self.grids)
        form = self.form(path)
        return Done(after_save(draft, base, form, self.fold), form, f"{says} {self.rest_says}" if rest else says)

    def take_back(self, path: Path, draft: Draft, base: Form) -> Done:
        """Undo the last save of the file; a draft stays, on top. Raises FillmarkError where it cannot be undone."""
        undo(path, base["fingerprint"])
        form = self.form(path)
        return Done(on_top(draft, form), form, f"The last save of {path.name} is taken back.")

    def keep_mine(self, path: Path, draft: Draft) -> Done:
        """The draft on top of the file as it is now; nothing is written. Raises BadInput for what is no TOML."""
        form = self.form(path)
        return Done(on_top(draft, form), form, f"Your changes stand on {path.name} as it is now. Save to write them.")

    def take_theirs(self, path: Path, draft: Draft) -> Done:
        """The file as it is now, the draft given up; an undo brings it back. Raises BadInput for what is no TOML."""
        form = self.form(path)
        return Done(given_up(draft, form), form, f"{path.name} is shown as it is now. Undo brings your changes back.")

    def changed_form(self, path: Path, base: Mapping[str, Any]) -> dict[str, Any] | None:
        """The file's form if it is no longer the base, else None. Raises BadInput for what cannot be read."""
        if fingerprint_of(read_content(path, path.name)) == base.get("fingerprint"):
            return None
        return self.form(path)

    def outside(self, path: Path, draft: Draft) -> Outside | None:
        """What to say where the file changed while a draft of it is being edited; None where it did not."""
        if not has_edits(draft):
            return None
        try:
            if fingerprint_of(read_content(path, path.name)) == draft.get("fingerprint"):
                return None
            form = self.form(path)
        except BadInput as reason:
            return Outside(f"{path.name} was changed outside. {' '.join(reason_text(reason))}")
        if not is_behind(draft, form):
            return None
        found = differences(draft, form, self.specs, self.grids)
        says = f"{path.name} was changed outside since you began."
        return Outside(says if found else f"{says} Nothing that this page shows differs.", differences_table(found))

    def fresh(self, path: Path, draft: Draft, base: Mapping[str, Any]) -> Done | None:
        """What an open page takes over where the file changed and no edit is in the way; None where nothing is new.

        Raises FillmarkError for a file that cannot be read.
        """
        form = self.changed_form(path, base)
        if form is None or is_behind(draft, form):
            return None
        if has_edits(draft):
            return Done(dict(draft), form, "")
        past = bool((draft or {}).get("past"))
        return Done(
            on_top(draft, form) if past else {}, form, f"{path.name} was changed outside; this is its new state."
        )

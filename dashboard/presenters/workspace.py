"""The workspace: a folder of cars, events and logs. Finds them, names them, and never leaves the folder."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, ClassVar

from planner.errors import FillmarkError
from planner.files.toml_text import kind_of
from planner.files.workspace import Workspace as FileWorkspace

MOST_FILES = 2000
DEEPEST = 4


@dataclass(frozen=True, slots=True)
class Entry:
    """An event or car file: `key` is its path within the workspace, `date` the event's or None."""

    key: str
    name: str
    date: date | None = None

    @property
    def label(self) -> str:
        """The name as a chooser shows it."""
        return f"{self.name} · {self.date.day} {self.date:%b %Y}" if self.date else self.name


@dataclass(frozen=True)
class Workspace:
    """A folder, looked at anew whenever it is asked; file heads are kept until the file changes."""

    folder: Path
    _heads: dict[Path, tuple[tuple[int, int], dict[str, Any]]] = field(default_factory=dict, repr=False, compare=False)

    # What a key or a file can be refused with; pages show its sentences.
    refusals: ClassVar[type[FillmarkError]] = FillmarkError

    def _files(self) -> Iterator[Path]:
        count = 0
        for path in sorted(self.folder.rglob("*.toml")):
            parts = path.relative_to(self.folder).parts
            if len(parts) > DEEPEST or any(part.startswith(".") for part in parts):
                continue
            count += 1
            if count > MOST_FILES:
                return
            yield path

    def _head(self, path: Path) -> dict[str, Any]:
        """The file's tables, or nothing where it cannot be read; kept until it changes."""
        try:
            status = path.stat()
            stamp = (status.st_mtime_ns, status.st_size)
            kept = self._heads.get(path)
            if kept is None or kept[0] != stamp:
                kept = (stamp, tomllib.loads(path.read_text(encoding="utf-8-sig")))
                self._heads[path] = kept
        except (OSError, ValueError, RecursionError):
            return {}
        return kept[1]

    def _entry(self, path: Path) -> Entry:
        head = self._head(path)
        name, day = head.get("name"), head.get("date")
        key = path.relative_to(self.folder).as_posix()
        return Entry(key, name if isinstance(name, str) else path.stem, day if isinstance(day, date) else None)

    def events(self) -> tuple[Entry, ...]:
        """Every event of the folder, by date; a file that cannot be read but lies in `events` is listed too."""
        found = [
            self._entry(path)
            for path in self._files()
            if kind_of(head := self._head(path)) == "event" or (not head and path.parent.name == "events")
        ]
        return tuple(sorted(found, key=lambda entry: (entry.date or date.max, entry.name)))

    def cars(self) -> tuple[Entry, ...]:
        """Every car of the folder, by name."""
        found = [self._entry(path) for path in self._files() if kind_of(self._head(path)) == "car"]
        return tuple(sorted(found, key=lambda entry: entry.name))

    def home_event(self) -> str | None:
        """The event shown when none is chosen: the first one that can be read, or None."""
        entries = self.events()
        dated = [entry for entry in entries if entry.date]
        return (dated or list(entries))[0].key if entries else None

    def path(self, key: str) -> Path:
        """The file of a key. Raises BadInput for a key that leads out of the workspace or to no file."""
        return FileWorkspace(self.folder).resolve(key)

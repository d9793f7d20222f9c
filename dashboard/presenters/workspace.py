"""The workspace as the pages choose from it: events by date, cars by name, and the file of a key."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path, PurePosixPath
from typing import ClassVar

from dashboard.presenters.form import reason_text
from planner.errors import BadInput, Fault, FillmarkError
from planner.files.workspace import Listing
from planner.files.workspace import Workspace as FileWorkspace


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


def _entry(listing: Listing) -> Entry:
    return Entry(listing.path, listing.name, listing.date)


@dataclass(frozen=True)
class Workspace:
    """A folder; `files` lists it, resolves its paths and finds free ones."""

    folder: Path

    # What a key or a file can be refused with; pages show its sentences.
    refusals: ClassVar[type[FillmarkError]] = FillmarkError

    @cached_property
    def files(self) -> FileWorkspace:
        """The folder's files."""
        return FileWorkspace(self.folder)

    def events(self) -> tuple[Entry, ...]:
        """Every event of the folder, by date; a file that cannot be read but lies in `events` is listed too."""
        broken = [one for one in self.files.broken() if PurePosixPath(one.path).parent.name == "events"]
        found = [_entry(one) for one in (*self.files.events(), *broken)]
        return tuple(sorted(found, key=lambda entry: (entry.date or date.max, entry.name)))

    def cars(self) -> tuple[Entry, ...]:
        """Every car of the folder, by name."""
        return tuple(sorted(map(_entry, self.files.cars()), key=lambda entry: entry.name))

    def logs(self) -> tuple[str, ...]:
        """The path within the workspace of every recording."""
        return self.files.logs()

    def home_event(self) -> str | None:
        """The event shown when none is chosen: the first one that can be read, or None."""
        entries = self.events()
        dated = [entry for entry in entries if entry.date]
        return (dated or list(entries))[0].key if entries else None

    def path(self, key: str) -> Path:
        """The file of a key. Raises BadInput for an empty one or one that leads out of the workspace or to no file."""
        if not key.strip():
            raise BadInput([Fault("", "", "", "no file is named; choose an event from the workspace's list")])
        return self.files.resolve(key)

    def shortened(self, fault: Fault) -> Fault:
        """A fault that names files from the folder on, one outside by its name alone: no page tells where they lie."""
        texts = (text.replace(f"{self.folder}{os.sep}", "") for text in (fault.key, fault.value, fault.remedy))
        return Fault(self._named(fault.file), *texts)

    def sentences(self, reason: FillmarkError) -> list[str]:
        """What was refused and why, files named from the folder on."""
        if isinstance(reason, BadInput):
            reason = BadInput([self.shortened(fault) for fault in reason.faults])
        return [sentence.replace(f"{self.folder}{os.sep}", "") for sentence in reason_text(reason)]

    def _named(self, file: str) -> str:
        if not os.path.isabs(file):
            return file
        path = Path(os.path.normpath(file))
        return path.relative_to(self.folder).as_posix() if path.is_relative_to(self.folder) else path.name

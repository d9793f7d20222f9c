"""A folder of cars, events and logs: what it holds, and paths that cannot lead out of it."""

from __future__ import annotations

import os
import re
import tomllib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any, Literal

from planner.errors import BadInput, Fault
from planner.files.toml_text import kind_of, read_text

LOG_SUFFIXES = (".csv", ".tsv", ".txt", ".log", ".parquet", ".xlsx", ".gz", ".zip")
_MOST_FILES = 5000
_DEEPEST = 8


@dataclass(frozen=True, slots=True)
class Listing:
    """A car or event file of a workspace: path from its folder, name and date as the file says, and any fault."""

    path: str
    name: str
    fault: str | None = None
    date: date | None = None


Kind = Literal["car", "event"]
_Examined = tuple[Kind | None, Listing]


@dataclass(frozen=True, slots=True)
class Workspace:
    """A folder that the dashboard works in, looked at anew when asked; what a file says is kept until it changes."""

    folder: Path
    _kept: dict[str, tuple[tuple[int, int], _Examined]] = field(default_factory=dict, repr=False, compare=False)

    def cars(self) -> tuple[Listing, ...]:
        """Every car file, by path."""
        return self._listed("car")

    def events(self) -> tuple[Listing, ...]:
        """Every event file, by path."""
        return self._listed("event")

    def broken(self) -> tuple[Listing, ...]:
        """Every .toml file that is neither, or that cannot be parsed, with its fault."""
        return self._listed(None)

    def logs(self) -> tuple[str, ...]:
        """The path of every recording."""
        return tuple(path for path in self._paths() if path.lower().endswith(LOG_SUFFIXES))

    def resolve(self, path: str, *, exists: bool = True) -> Path:
        """The file that a path from the folder names. Raises BadInput for one that leads out of it, or to no file."""
        if not _stays_inside(path):
            raise _refused(path, "leads out of the workspace; name a file inside it, such as events/day.toml")
        full = self.folder.resolve() / path
        if not full.resolve().is_relative_to(self.folder.resolve()):
            raise _refused(path, "leads out of the workspace through a link; name a file inside it")
        if exists and not full.is_file():
            raise _refused(path, "no such file in the workspace; choose one from its list")
        return full

    def path_of(self, file: Path) -> str:
        """The path from the folder of a file inside it. Raises BadInput for one outside."""
        try:
            return Path(os.path.abspath(file)).relative_to(os.path.abspath(self.folder)).as_posix()
        except ValueError:
            raise _refused(file.name, "lies outside the workspace; copy it into its folder") from None

    def free_path(self, folder: str, name: str, suffix: str) -> str:
        """A path in a folder of the workspace, made from a name, at which no file stands."""
        stem = _file_name(name)
        numbered = (f"{stem}-{count}" if count > 1 else stem for count in range(1, _MOST_FILES))
        paths = (f"{folder}/{stem}{suffix}" for stem in numbered)
        return next(path for path in paths if not self.resolve(path, exists=False).exists())

    def _listed(self, kind: Kind | None) -> tuple[Listing, ...]:
        found = (self._examined(path) for path in self._paths() if path.lower().endswith(".toml"))
        return tuple(listing for of, listing in found if of == kind)

    def _examined(self, path: str) -> _Examined:
        try:
            status = (self.folder / path).stat()
        except OSError:
            return _read(self.folder / path, path)
        stamp, kept = (status.st_mtime_ns, status.st_size), self._kept.get(path)
        if kept is None or kept[0] != stamp:
            kept = (stamp, _read(self.folder / path, path))
            self._kept[path] = kept
        return kept[1]

    def _paths(self) -> list[str]:
        """Paths from the folder of the files in it, sorted; hidden ones and those behind linked folders left out."""
        return sorted(path for path, _ in zip(_walk(self.folder), range(_MOST_FILES), strict=False))


def _read(file: Path, path: str) -> _Examined:
    """What a .toml file is, and what it says of itself."""
    stem = PurePosixPath(path).stem
    try:
        document = tomllib.loads(read_text(file, path))
    except BadInput as reason:
        return None, Listing(path, stem, reason.faults[0].remedy)
    except (ValueError, RecursionError) as reason:
        return None, Listing(path, stem, f"not TOML: {str(reason)[:120]}")
    kind = kind_of(document)
    fault = None if kind else "neither a car nor an event; it has no table of either"
    return kind, Listing(path, _name(document, stem), fault, _date(document))


def _name(document: dict[str, Any], stem: str) -> str:
    name = document.get("name")
    return name.strip() if isinstance(name, str) and name.strip() else stem


def _date(document: dict[str, Any]) -> date | None:
    day = document.get("date")
    return day if type(day) is date else None


def _walk(top: Path) -> Iterator[str]:
    for folder, folders, files in os.walk(top):
        below = Path(folder).relative_to(top)
        deeper = sorted(name for name in folders if not name.startswith("."))
        folders[:] = deeper if len(below.parts) < _DEEPEST else []
        for name in sorted(files):
            path = below / name
            if not name.startswith(".") and (top / path).resolve().is_relative_to(top.resolve()):
                yield path.as_posix()


def _stays_inside(path: str) -> bool:
    posix, windows = PurePosixPath(path), PureWindowsPath(path)
    plain = bool(path.strip()) and path.isprintable() and "\\" not in path
    rooted = posix.is_absolute() or windows.is_absolute() or windows.drive or windows.root
    return plain and not rooted and ".." not in posix.parts and not any(part.startswith(".") for part in posix.parts)


def _refused(path: str, remedy: str) -> BadInput:
    return BadInput([Fault("", "path", path[:80], remedy)])


def _file_name(name: str) -> str:
    """A name in plain small letters, digits and hyphens, which every file system takes."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:60].strip("-")
    return f"{stem}-file" if stem in _RESERVED else stem or "unnamed"


_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}

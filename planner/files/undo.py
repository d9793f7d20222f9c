"""What a file held before each change, kept beside it in .fillmark/, so that changes can be taken back."""

from __future__ import annotations

from pathlib import Path

from planner.errors import Conflict
from planner.files.atomic import content_if_unchanged, fingerprint_of, write_whole
from planner.files.locking import locked

KEPT = 100
_UNDO, _REDO = "undo", "redo"


def remember(path: Path, content: bytes) -> None:
    """Keep a file's content as it stood before a change; the oldest of over KEPT is dropped. Raises NotWritten."""
    _push(path, _UNDO, content)
    for old in _kept(path, _REDO):
        old.unlink(missing_ok=True)


def steps_back(path: Path) -> int:
    """How many changes of a file can be undone."""
    return len(_kept(path, _UNDO))


def steps_forward(path: Path) -> int:
    """How many undone changes of a file can be done again."""
    return len(_kept(path, _REDO))


def undo(path: Path, fingerprint: str) -> str:
    """Take a file's last change back; the new fingerprint.

    Raises Conflict if the file changed outside, or if there is nothing to undo; NotWritten.
    """
    return _swap(path, fingerprint, _UNDO, _REDO)


def redo(path: Path, fingerprint: str) -> str:
    """Do an undone change again; the new fingerprint. Raises as `undo` does."""
    return _swap(path, fingerprint, _REDO, _UNDO)


def _swap(path: Path, fingerprint: str, source: str, target: str) -> str:
    with locked(path):
        current = content_if_unchanged(path, fingerprint)
        kept = _kept(path, source)
        if not kept:
            raise Conflict(f"{path.name} has no change to {source}")
        content = kept[-1].read_bytes()
        write_whole(path, content)
        _push(path, target, current)
        kept[-1].unlink(missing_ok=True)
    return fingerprint_of(content)


def _folder(path: Path, kind: str) -> Path:
    return path.parent / ".fillmark" / kind / path.name


def _kept(path: Path, kind: str) -> list[Path]:
    """The contents kept of a file, oldest first."""
    folder = _folder(path, kind)
    return sorted(folder.glob("[0-9]*.toml")) if folder.is_dir() else []


def _push(path: Path, kind: str, content: bytes) -> None:
    folder = _folder(path, kind)
    folder.mkdir(parents=True, exist_ok=True)
    kept = _kept(path, kind)
    number = int(kept[-1].stem) + 1 if kept else 1
    write_whole(folder / f"{number:08d}.toml", content)
    for old in kept[: max(0, len(kept) + 1 - KEPT)]:
        old.unlink(missing_ok=True)

"""A recording sent by a browser: streamed to disk, looked at, and put into the workspace whole or not at all."""

from __future__ import annotations

import hashlib
import os
import tempfile
import threading
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from planner.driving.outline import Outline, outline_of
from planner.errors import BadInput, FillmarkError
from planner.files.workspace import LOG_SUFFIXES, Workspace

FOLDER = "logs"
MOST_BYTES = 500_000_000
BLOCK = 2**20
_PACKED = (".gz", ".zip")
_PART = ".part"
_STALE = 3600.0  # [s] after which an upload that was cut off is swept away
_NAMING = threading.Lock()


class Refused(FillmarkError):
    """An upload that is not taken, with the HTTP status that says so."""

    def __init__(self, sentence: str, status: int) -> None:
        self.status = status
        super().__init__(sentence)


@dataclass(frozen=True, slots=True)
class Taken:
    """A recording in the workspace: its path there, a sentence, and whether it lay there already."""

    file: str
    said: str
    already: bool = False


def megabytes(size: float) -> str:
    """A size [bytes] as text."""
    return f"{size / 1e6:.0f} MB" if size >= 1e7 else f"{size / 1e6:.1f} MB"


def too_large(name: str, most: int = MOST_BYTES) -> Refused:
    """The refusal of a file beyond the bound [bytes]."""
    return Refused(
        f"{shown_name(name)} is larger than {megabytes(most)}, the most that is taken here. "
        "Compress it (.gz or .zip), or cut the recording in parts.",
        413,
    )


def shown_name(name: str) -> str:
    """The last part of a name that a browser gave, as one line of text."""
    last = name.replace("\\", "/").rstrip("/").rpartition("/")[2]
    return "".join(sign for sign in last if sign.isprintable()).strip()[:120] or "The file"


def stem_and_suffix(name: str) -> tuple[str, str]:
    """A file's stem, and the suffix under which it is kept: one that recordings have, else .txt."""
    path = PurePosixPath(shown_name(name))
    suffix = path.suffix.lower()
    if suffix in _PACKED:
        inner = PurePosixPath(path.stem).suffix.lower()
        inner = inner if inner in LOG_SUFFIXES and inner not in _PACKED else ""
        return path.stem[: len(path.stem) - len(inner)], inner + suffix
    return (path.stem, suffix) if suffix in LOG_SUFFIXES else (path.name.strip("."), ".txt")


def take_upload(files: Workspace, name: str, stream: Any, most: int = MOST_BYTES) -> Taken:
    """Put a stream's bytes into the workspace's logs under a safe name. Raises Refused; nothing is left behind then."""
    folder = _folder(files)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _sweep(folder)
        handle, part = tempfile.mkstemp(dir=folder, prefix=".upload-", suffix=_PART)
    except OSError as reason:
        raise Refused(
            f"The workspace's folder cannot be written ({reason.strerror}); mend its permissions.", 507
        ) from reason
    try:
        digest, size = _stream_to(handle, stream, name, most)
        columns = len(_table(Path(part), name).columns)
        return _placed(files, name, Path(part), digest=digest, said=f"{columns} columns, {megabytes(size)}")
    except OSError as reason:
        raise Refused(
            f"{shown_name(name)} could not be written ({reason.strerror}); make room on the disk.", 507
        ) from reason
    finally:
        with suppress(OSError):
            os.unlink(part)


def _folder(files: Workspace) -> Path:
    """The folder of the recordings. Raises Refused where it is a link that leads out of the workspace."""
    try:
        return files.resolve(f"{FOLDER}/recording.csv", exists=False).parent
    except BadInput as reason:
        raise Refused(f"The folder {FOLDER} {reason.faults[0].remedy}. Nothing was kept.", 409) from reason


def _sweep(folder: Path) -> None:
    """Remove what uploads that were cut off long ago left behind."""
    for part in folder.glob(f".upload-*{_PART}"):
        with suppress(OSError):
            if time.time() - part.stat().st_mtime > _STALE:
                part.unlink()


def _stream_to(handle: int, stream: Any, name: str, most: int) -> tuple[str, int]:
    """The digest and size [bytes] of a stream written to a file, a block at a time."""
    digest, size = hashlib.sha256(), 0
    with os.fdopen(handle, "wb") as file:
        while block := stream.read(BLOCK):
            size += len(block)
            if size > most:
                raise too_large(name, most)
            digest.update(block)
            file.write(block)
    return digest.hexdigest(), size


def _table(part: Path, name: str) -> Outline:
    try:
        return outline_of(part)
    except BadInput as reason:
        fault = reason.faults[0]
        raise Refused(f"{shown_name(name)}: {fault.remedy}. Nothing was kept.", 422) from reason


def _placed(files: Workspace, name: str, part: Path, *, digest: str, said: str) -> Taken:
    """The file moved to a free name, or the same recording that lies there already."""
    with _NAMING:
        same = _same(files.folder / FOLDER, part, digest)
        if same is not None:
            return Taken(f"{FOLDER}/{same.name}", f"{same.name} holds the same recording already.", already=True)
        stem, suffix = stem_and_suffix(name)
        target = files.free_path(FOLDER, stem, suffix)
        part.chmod(0o644)
        part.replace(files.folder / target)
    return Taken(target, f"{PurePosixPath(target).name} is in the workspace: {said}.")


def _same(folder: Path, part: Path, digest: str) -> Path | None:
    """A recording in the folder with the same content."""
    size = part.stat().st_size
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or not path.is_file() or path.stat().st_size != size:
            continue
        with path.open("rb") as file:
            if hashlib.file_digest(file, "sha256").hexdigest() == digest:
                return path
    return None

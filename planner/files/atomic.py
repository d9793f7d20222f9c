"""Writing a file whole or not at all, and knowing whether it changed since."""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from pathlib import Path

from planner.errors import Conflict, NotWritten
from planner.files.looking import REFUSAL, may_only_look


def fingerprint_of(content: bytes) -> str:
    """A text that is the same for the same content alone."""
    return hashlib.sha256(content).hexdigest()


def content_if_unchanged(path: Path, fingerprint: str) -> bytes:
    """A file's content. Raises Conflict unless it still has the fingerprint."""
    try:
        content = path.read_bytes()
    except OSError as reason:
        remedy = "put it back, or save under another name; nothing was written"
        raise Conflict(f"{path.name} is gone or cannot be read ({reason.strerror}): {remedy}") from reason
    if fingerprint_of(content) != fingerprint:
        remedy = "load it again and repeat the change; nothing was written"
        raise Conflict(f"{path.name} was changed outside since it was read: {remedy}")
    return content


def write_whole(path: Path, content: bytes) -> None:
    """Replace a file's content at once, keeping its permissions. Raises NotWritten; the old content then stands."""
    if may_only_look():
        raise NotWritten(f"{path.name} is not written: {REFUSAL}")
    target = path.resolve()
    try:
        handle, temporary = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:60]}.", suffix=".new")
    except OSError as reason:
        raise NotWritten(_sentence(path, reason)) from reason
    try:
        _fill(handle, content)
        os.chmod(temporary, target.stat().st_mode & 0o7777 if target.exists() else 0o644)
        os.replace(temporary, target)
    except OSError as reason:
        with suppress(OSError):
            os.unlink(temporary)
        raise NotWritten(_sentence(path, reason)) from reason
    _settle(target.parent)


def _fill(handle: int, content: bytes) -> None:
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _settle(folder: Path) -> None:
    """Have the folder's entry on disk too, where the system can do that."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _sentence(path: Path, reason: OSError) -> str:
    return f"{path.name} could not be written ({reason.strerror}): check the disk's room and the folder's permissions"

"""One writer at a time in a folder, over all threads and processes that save there."""

from __future__ import annotations

import errno
import os
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from planner.errors import NotWritten

PATIENCE = 10.0  # [s] to wait for another writer
_PAUSE = 0.02
_BUSY = {errno.EACCES, errno.EAGAIN, errno.EDEADLK}
_WITHOUT_LOCKS = {errno.ENOLCK, errno.ENOSYS, errno.ENOTSUP}
_THREADS = threading.Lock()


@contextmanager
def locked(path: Path, patience: float | None = None) -> Iterator[None]:
    """Hold the lock of a file's folder, `.fillmark/lock`; a file system without locks is served by threads alone.

    patience: how long to wait [s], PATIENCE if None. Raises NotWritten where another program keeps the lock longer,
    or where the folder takes no file.
    """
    ends = time.monotonic() + (PATIENCE if patience is None else patience)
    with _THREADS:
        handle = _opened(path)
        try:
            while not _taken(handle):
                if time.monotonic() > ends:
                    remedy = "wait until it has finished, then save again"
                    raise NotWritten(f"{path.name} is being saved by another program: {remedy}")
                time.sleep(_PAUSE)
            yield
        finally:
            os.close(handle)  # closing gives the lock back, and so does the end of a process


def _opened(path: Path) -> int:
    place = path.resolve().parent / ".fillmark" / "lock"
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        return os.open(place, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as reason:
        remedy = "check the disk's room and the folder's permissions"
        raise NotWritten(f"{path.name} could not be written ({reason.strerror}): {remedy}") from reason


def _taken(handle: int) -> bool:
    """Whether the lock is ours now."""
    try:
        _take(handle)
    except OSError as reason:
        if reason.errno in _BUSY:
            return False
        if reason.errno not in _WITHOUT_LOCKS:
            raise
    return True


if sys.platform == "win32":
    import msvcrt

    def _take(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

"""The bytes of a recording: a file or an open stream, plain or compressed, within stated limits."""

from __future__ import annotations

import gzip
import io
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NoReturn

from planner.errors import BadInput, Fault

LARGEST_BYTES = 2 * 2**30
LARGEST_RATIO = 400
MOST_ROWS = 5_000_000
_UNCHECKED_BYTES = 4 * 2**20
HEAD_BYTES = 2**18


def refuse(file: str, remedy: str, *, key: str = "", value: str = "") -> NoReturn:
    """Raise BadInput with one fault."""
    raise BadInput([Fault(file, key, value, remedy)])


@dataclass(frozen=True, slots=True)
class Source:
    """A recording's bytes: `open()` gives a new stream from their start; `packed` is the size as stored [bytes]."""

    name: str
    packed: int
    open: Callable[[], BinaryIO]

    def head(self, size: int = HEAD_BYTES) -> bytes:
        """The first `size` bytes, or all of them where there are fewer."""
        with self.open() as stream:
            return stream.read(size)


class Bounded(io.RawIOBase):
    """A decompressing stream that refuses to grow beyond the limits, and names the file where it is damaged."""

    def __init__(self, inner: BinaryIO, name: str, packed: int) -> None:
        self._inner, self._name, self._packed, self._seen = inner, name, packed, 0

    def readable(self) -> bool:
        """It can be read."""
        return True

    def close(self) -> None:
        """Close the stream beneath too."""
        self._inner.close()
        super().close()

    def readinto(self, buffer: memoryview) -> int:  # type: ignore[override]
        """Fill the buffer. Raises BadInput beyond the limits, or where the compressed file is damaged."""
        try:
            block = self._inner.read(len(buffer))
        except (OSError, EOFError, zlib.error, zipfile.BadZipFile, RuntimeError, NotImplementedError) as reason:
            refuse(self._name, f"the compressed file is damaged or locked ({reason}); send it as a plain CSV")
        self._seen += len(block)
        if self._seen > min(LARGEST_BYTES, max(_UNCHECKED_BYTES, LARGEST_RATIO * self._packed)):
            refuse(
                self._name,
                f"it unpacks to more than {LARGEST_RATIO} times its size or 2 GiB; send the plain CSV, cut in parts",
            )
        buffer[: len(block)] = block
        return len(block)


def open_source(source: Path | str | BinaryIO, name: str | None = None) -> Source:
    """The bytes of a file or an open stream, unpacked from .gz or from a .zip holding one file.

    Raises BadInput where the file cannot be read, is empty, or exceeds the limits.
    """
    stored = _stored(source, name)
    if stored.packed == 0:
        refuse(stored.name, "the file is empty; record again or choose another file")
    if stored.packed > LARGEST_BYTES:
        refuse(stored.name, "the file is larger than 2 GiB; cut it in parts")
    magic = stored.head(4)
    if magic[:2] == b"\x1f\x8b":
        return _unpacked(stored, lambda stream: gzip.GzipFile(fileobj=stream))
    if magic == b"PK\x03\x04":
        return _from_zip(stored)
    return stored


def _stored(source: Path | str | BinaryIO, name: str | None) -> Source:
    if isinstance(source, (str, Path)):
        path = Path(source)
        try:
            with path.open("rb"):
                return Source(name or str(path), path.stat().st_size, lambda: path.open("rb"))
        except OSError as reason:
            refuse(name or str(path), f"cannot be read ({reason.strerror}); give the path of a recording")
    data = source.read(LARGEST_BYTES + 1)
    label = name or str(getattr(source, "name", "") or "recording")
    return Source(label, len(data), lambda: io.BytesIO(data))


def _unpacked(stored: Source, unpack: Callable[[BinaryIO], object]) -> Source:
    def opened() -> BinaryIO:
        inner = unpack(stored.open())
        return io.BufferedReader(Bounded(inner, stored.name, stored.packed), 2**20)  # type: ignore[arg-type]

    return Source(stored.name, stored.packed, opened)


def _from_zip(stored: Source) -> Source:
    try:
        with stored.open() as stream, zipfile.ZipFile(stream) as archive:
            names = [entry.filename for entry in archive.infolist() if not entry.is_dir()]
    except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as reason:
        refuse(stored.name, f"the zip file is damaged ({reason}); pack it again or send the plain CSV")
    if "[Content_Types].xml" in names:
        return stored
    if len(names) != 1:
        listed = ", ".join(names[:4]) or "none"
        refuse(stored.name, f"the zip file holds {len(names)} files ({listed}); pack exactly one recording")

    def member(stream: BinaryIO) -> object:
        try:
            return zipfile.ZipFile(stream).open(names[0])
        except (RuntimeError, NotImplementedError, zipfile.BadZipFile) as reason:
            refuse(stored.name, f"the zip file cannot be unpacked ({reason}); pack it without a password")

    return _unpacked(stored, member)

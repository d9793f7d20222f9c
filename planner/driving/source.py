"""The bytes of a recording: a file or an open stream, plain or compressed, within stated limits."""

from __future__ import annotations

import gzip
import io
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO, NoReturn

from planner.errors import BadInput, Fault

LARGEST_BYTES = 2 * 2**30
LARGEST_RATIO = 400
MOST_ROWS = 5_000_000
HEAD_BYTES = 2**16
_UNCHECKED_BYTES = 4 * 2**20
_DAMAGED = (OSError, EOFError, zlib.error, zipfile.BadZipFile, RuntimeError, NotImplementedError, ValueError)


def refuse(file: str, remedy: str, *, key: str = "", value: str = "") -> NoReturn:
    """Raise BadInput with one fault, each part of it on one line."""
    raise BadInput([Fault(file, _one_line(key, 200), _one_line(value, 200), _one_line(remedy, 2000))])


def _one_line(text: str, longest: int) -> str:
    """A text without line breaks and control characters, cut where it is too long."""
    plain = " ".join("".join(ch if ch.isprintable() else " " for ch in text).split())
    return plain if len(plain) <= longest else plain[: longest - 1] + "…"


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


class Limited(io.RawIOBase):
    """A stream that refuses to grow beyond the limits, and names the file where its compression is damaged."""

    def __init__(self, inner: Any, name: str, most_bytes: int) -> None:
        self._inner, self._name, self._most = inner, name, most_bytes
        self._seen = self._lines = 0

    def readable(self) -> bool:
        """It can be read."""
        return True

    def close(self) -> None:
        """Close the stream beneath too."""
        self._inner.close()
        super().close()

    def readinto(self, buffer: Any) -> int:
        """Fill the buffer. Raises BadInput beyond the limits, or where the compressed file is damaged."""
        try:
            block = self._inner.read(len(buffer))
        except _DAMAGED as reason:
            refuse(self._name, f"the compressed file is damaged or locked ({reason}); send it as a plain CSV")
        self._seen += len(block)
        self._lines += block.count(b"\n")
        if self._seen > self._most:
            refuse(self._name, f"unpacks to more than {self._most // 2**20} MiB; send the plain CSV, cut in parts")
        if self._lines > MOST_ROWS:
            refuse(self._name, f"has more than {MOST_ROWS:,} rows; cut it in parts")
        buffer[: len(block)] = block
        return len(block)


def open_source(source: Path | str | BinaryIO, name: str | None = None) -> Source:
    """The bytes of a file or an open stream, unpacked from .gz or from a .zip holding one file.

    Raises BadInput where the file cannot be read, is empty, or exceeds the limits: 2 GiB, 5 million rows, and
    400 times its compressed size.
    """
    stored = _stored(source, name)
    if stored.packed == 0:
        refuse(stored.name, "the file is empty; record again or choose another file")
    if stored.packed > LARGEST_BYTES:
        refuse(stored.name, "the file is larger than 2 GiB; cut it in parts")
    magic = stored.head(4)
    if magic[:2] == b"\x1f\x8b":
        return _limited(stored, lambda stream: gzip.GzipFile(fileobj=stream))
    if magic == b"PK\x03\x04" or magic == b"PK\x05\x06":
        return _from_zip(stored)
    return stored


def _stored(source: Path | str | BinaryIO, name: str | None) -> Source:
    if isinstance(source, (str, Path)):
        return _file(Path(source), name or str(source))
    data = source.read(LARGEST_BYTES + 1)
    label = name or str(getattr(source, "name", "") or "recording")
    return Source(label, len(data), lambda: io.BytesIO(data))


def _file(path: Path, name: str) -> Source:
    try:
        size = path.stat().st_size
        with path.open("rb"):
            pass
    except (OSError, ValueError) as reason:
        said = getattr(reason, "strerror", None) or reason
        refuse(name, f"cannot be read ({said}); give the path of a recording")
    stored = Source(name, size, lambda: path.open("rb"))
    return _limited(stored, lambda stream: stream) if size > 2**26 and not _columnar(stored) else stored


def _columnar(stored: Source) -> bool:
    """Whether the file is one that is read by jumping in it."""
    return stored.head(4) in (b"PAR1", b"PK\x03\x04")


def _limited(stored: Source, unpack: Callable[[BinaryIO], Any]) -> Source:
    most = min(LARGEST_BYTES, max(_UNCHECKED_BYTES, LARGEST_RATIO * stored.packed))

    def opened() -> BinaryIO:
        return io.BufferedReader(Limited(unpack(stored.open()), stored.name, most), 2**20)

    return Source(stored.name, stored.packed, opened)


def _hidden(name: str) -> bool:
    """Whether a file in an archive is one that a desktop put there unasked: their names begin with a point."""
    return name.rsplit("/", 1)[-1].startswith(".")


def _from_zip(stored: Source) -> Source:
    try:
        with stored.open() as stream, zipfile.ZipFile(stream) as archive:
            names = [entry.filename for entry in archive.infolist() if not entry.is_dir()]
            names = [name for name in names if not _hidden(name)]
    except _DAMAGED as reason:
        refuse(stored.name, f"the zip file is damaged ({reason}); pack it again or send the plain CSV")
    if "[Content_Types].xml" in names:
        return stored
    if len(names) != 1:
        shown = ", ".join(names[:4]) or "none"
        refuse(stored.name, f"the zip file holds {len(names)} files ({shown}); pack exactly one recording")

    def member(stream: BinaryIO) -> Any:
        try:
            return zipfile.ZipFile(stream).open(names[0])
        except _DAMAGED as reason:
            refuse(stored.name, f"the zip file cannot be unpacked ({reason}); pack it without a password")

    return _limited(stored, member)

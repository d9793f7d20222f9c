"""The rows of a text table as a stream of bytes that a plain CSV parser understands."""

from __future__ import annotations

import io
import re
from typing import Any, BinaryIO

from planner.driving.dialect import Dialect
from planner.driving.source import Source

_BLOCK = 2**20
_BLANKS = re.compile(r"[ \t]+")
_EDGES = re.compile(r"(?m)^ | $")


class Rewritten(io.RawIOBase):
    """Text in any encoding and with any line ends as UTF-8 lines; runs of blanks become one blank if `squeezed`."""

    def __init__(self, inner: BinaryIO, encoding: str, *, squeezed: bool) -> None:
        self._text = io.TextIOWrapper(inner, encoding=encoding, errors="replace", newline=None)
        self._squeezed = squeezed
        self._ready = b""

    def readable(self) -> bool:
        """It can be read."""
        return True

    def close(self) -> None:
        """Close the stream beneath too."""
        self._text.close()
        super().close()

    def readinto(self, buffer: Any) -> int:
        """Fill the buffer with rewritten bytes."""
        if not self._ready:
            self._ready = self._next_lines().encode("utf-8", errors="replace")
        part, self._ready = self._ready[: len(buffer)], self._ready[len(buffer) :]
        buffer[: len(part)] = part
        return len(part)

    def _next_lines(self) -> str:
        text = self._text.read(_BLOCK)
        if text and not text.endswith("\n"):
            text += self._text.readline(_BLOCK)
        return _EDGES.sub("", _BLANKS.sub(" ", text)) if self._squeezed else text


class Headed(io.RawIOBase):
    """A stream with a line put in front of it."""

    def __init__(self, line: bytes, inner: BinaryIO) -> None:
        self._ready, self._inner = line, inner

    def readable(self) -> bool:
        """It can be read."""
        return True

    def readinto(self, buffer: Any) -> int:
        """Fill the buffer from the line, then from the stream."""
        part = self._ready[: len(buffer)] or self._inner.read(len(buffer))
        self._ready = self._ready[len(part) :]
        buffer[: len(part)] = part
        return len(part)


def data_stream(source: Source, dialect: Dialect) -> BinaryIO:
    """The table's bytes from its first row of data on, in UTF-8."""
    stream = source.open()
    stream.read(dialect.bom)
    if not dialect.plain:
        rewritten = Rewritten(stream, dialect.encoding, squeezed=dialect.separator == " ")
        stream = io.BufferedReader(rewritten, _BLOCK)
    for _ in range(dialect.first_row):
        stream.readline()
    return stream

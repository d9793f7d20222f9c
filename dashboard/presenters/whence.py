"""A number and where it comes from: its inputs, formula and source."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Whence:
    """`text` as shown with its unit; `title` what it is; `inputs` as pairs (name, value) of text."""

    text: str
    title: str
    inputs: tuple[tuple[str, str], ...] = ()
    formula: str = ""
    source: str = ""


Part = str | Whence


def words(parts: Part | Sequence[Part]) -> str:
    """What is shown of a text, a number, or several in a row, as plain text."""
    if isinstance(parts, str | Whence):
        parts = (parts,)
    return "".join(part if isinstance(part, str) else part.text for part in parts)


def as_parts(cell: Part | Sequence[Part]) -> tuple[Part, ...]:
    """A cell, or several parts of one, as parts."""
    return (cell,) if isinstance(cell, str | Whence) else tuple(cell)

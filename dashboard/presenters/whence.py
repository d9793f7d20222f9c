"""A number and where it comes from: its inputs, formula and source."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Whence:
    """`text` as shown with its unit; `title` what it is; `inputs` as pairs (name, value) of text."""

    text: str
    title: str
    inputs: tuple[tuple[str, str], ...] = ()
    formula: str = ""
    source: str = ""

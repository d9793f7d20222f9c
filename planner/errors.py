"""The exceptions of Fillmark: one base, and one class for each thing a caller can do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class FillmarkError(Exception):
    """Base of every exception that Fillmark raises on purpose."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with an input: where it stands, what stands there, and what would be right."""

    file: str
    key: str
    value: str
    remedy: str

    def line(self) -> str:
        """The fault as one line of text."""
        place = ": ".join(part for part in (self.file, self.key) if part)
        shown = f" = {self.value}" if self.value else ""
        return f"{place}{shown}: {self.remedy}" if place or shown else self.remedy


class BadInput(FillmarkError):
    """Input that cannot be used; holds every fault found, not only the first."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(fault.line() for fault in self.faults))


class UnitError(FillmarkError, ValueError):
    """A text that is not a quantity of the dimension asked for."""


class OutsideModel(FillmarkError, ValueError):
    """A question that the physics cannot answer, such as a density at 200 degC."""


@dataclass(frozen=True, slots=True)
class Mend:
    """A change that would make a plan possible: its kind, a sentence, and the value to set (SI) or None.

    kind is tank, confidence, gap, extra or none.
    """

    kind: str
    text: str
    value: float | None = None


class NoPlan(FillmarkError):
    """Sound input for which no plan exists: the session (from 1) that breaks it, and what would mend it."""

    def __init__(self, message: str, *, session: int, mends: Sequence[Mend] = ()) -> None:
        self.message = message
        self.session = session
        self.mends = tuple(mends)
        super().__init__("\n".join((message, *(mend.text for mend in mends))))


class Conflict(FillmarkError):
    """A file that changed outside since it was read; nothing was written."""


class NotWritten(FillmarkError):
    """A file that could not be written; what stood there before stands unchanged."""
